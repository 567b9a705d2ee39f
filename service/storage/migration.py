"""Bring a database to the newest schema. The steps lie in `migrations/`, beside the package or inside it."""

from pathlib import Path

from alembic import command
from alembic.config import Config

from .engine import parse
from .errors import storage_errors


def folder() -> Path:
    """Where the migrations are: top-level `migrations/` of the source tree, `service/_migrations` when
    installed.

    Raises FileNotFoundError when neither is there.
    """
    package = Path(__file__).resolve().parents[1]
    for place in (package.parent / "migrations", package / "_migrations"):
        if (place / "env.py").is_file():
            return place
    raise FileNotFoundError("the migrations are neither beside nor inside the package")


def config(url: str) -> Config:
    """An alembic configuration without a file, for the given database."""
    made = Config()
    made.set_main_option("script_location", str(folder()).replace("%", "%%"))
    made.attributes["url"] = parse(url)
    return made


def migrate(url: str, to: str = "head") -> None:
    """Upgrade (all steps or none), creating a SQLite file that does not exist.

    Safe when several processes call it at once: they take the lock of writers, and the later ones find
    nothing to do. Raises the errors of `errors`.
    """
    with storage_errors():
        command.upgrade(config(url), to)


def newest() -> str:
    """The revision a migrated database stands at."""
    from alembic.script import ScriptDirectory

    made = Config()
    made.set_main_option("script_location", str(folder()).replace("%", "%%"))
    head = ScriptDirectory.from_config(made).get_current_head()
    assert head is not None
    return head
