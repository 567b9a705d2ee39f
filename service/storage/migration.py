"""Bring a database to the newest schema. The steps lie in `migrations/`, beside the package or inside it."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from alembic.script.revision import ResolutionError
from alembic.util import CommandError
from sqlalchemy.exc import DBAPIError

from .engine import parse
from .errors import Conflict, storage_errors
from .roles import grant_service_roles

_INSUFFICIENT_PRIVILEGE = "42501"
"""PostgreSQL documentation, appendix A."""


def folder() -> Path:
    """Where the migrations are: `service/_migrations` when installed, top-level `migrations/` in the source tree.

    Raises FileNotFoundError when neither is there.
    """
    package = Path(__file__).resolve().parents[1]
    for place in (package / "_migrations", package.parent / "migrations"):
        if (place / "env.py").is_file():
            return place
    raise FileNotFoundError("the migrations are neither inside the package nor beside it")


def config(url: str) -> Config:
    """An alembic configuration without a file, for the given database."""
    made = _config()
    made.attributes["url"] = parse(url)
    return made


def migrate(url: str, to: str = "head") -> None:
    """Upgrade (all steps or none), creating a SQLite file that does not exist.

    Safe when several processes call it at once: they take the lock of writers, and the later ones find nothing to
    do. Raises Conflict for a database of a newer release, and the other errors of `errors`.
    """
    try:
        with storage_errors():
            command.upgrade(config(url), to)
    except CommandError as error:
        if isinstance(error.__cause__, ResolutionError):
            raise Conflict(
                "the database stands at a schema this release does not know; it is a newer one"
            ) from error
        raise
    except DBAPIError as error:
        if getattr(error.orig, "sqlstate", None) != _INSUFFICIENT_PRIVILEGE:
            raise
        raise Conflict(
            "the schema is an older one and this role may not change it; run `python -m service migrate` with the role "
            "that owns it"
        ) from error


def migrate_for(url: str, service_role: str | None) -> tuple[str, list[str]]:
    """Upgrade with the role that owns the schema, and give `service_role`, like those that had them before, the rights
    to serve; the schema the database stands at now, and the names of the roles. Raises the errors of `errors`."""
    migrate(url)
    return newest(), grant_service_roles(url, service_role)


def newest() -> str:
    """The schema a migrated database stands at."""
    head = ScriptDirectory.from_config(_config()).get_current_head()
    assert head is not None
    return head


def usable(schema: str | None) -> bool:
    """True when this release can work on a database at `schema` (`Storage.schema_revision`).

    That is the newest schema it knows, or one it does not know: a newer release migrated the database while this one
    runs, and every step leaves the release before it working.
    """
    if schema is None:
        return False
    script = ScriptDirectory.from_config(_config())
    return schema == script.get_current_head() or schema not in {
        step.revision for step in script.walk_revisions()
    }


def _config() -> Config:
    made = Config()
    made.set_main_option("script_location", str(folder()).replace("%", "%%"))
    return made
