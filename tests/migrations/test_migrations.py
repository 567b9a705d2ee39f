"""The schema is what the migrations build: up and down with data in it, all steps or none, several callers at once."""

import shutil
import textwrap
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from service.storage import Conflict, Storage, Unavailable, append_only, migrate, newest, usable, verify
from service.storage.engine import migration_engine, parse
from service.storage.migration import config, folder
from service.storage.schema import METADATA, TABLES
from tests.storage.records import condition, filled, vessel
from tests.storage.workers import together, upgrade

STEPS = ("records", "address_and_age")


def schema(url: str) -> list[tuple[str, ...]]:
    """Everything the engine knows of the schema: tables, columns, indexes, constraints, triggers."""
    engine = migration_engine(parse(url))
    with engine.begin() as connection:
        if connection.dialect.name == "sqlite":
            rows = connection.exec_driver_sql(
                "SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL"
            )
        else:
            rows = connection.exec_driver_sql(
                "SELECT 'column', table_name || '.' || column_name, data_type || is_nullable"
                " FROM information_schema.columns WHERE table_schema = 'public'"
                " UNION ALL SELECT 'index', indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'"
                " UNION ALL SELECT 'constraint', conname, pg_get_constraintdef(oid) FROM pg_constraint"
                " WHERE connamespace = 'public'::regnamespace"
                " UNION ALL SELECT 'trigger', tgname, pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal"
                " UNION ALL SELECT 'function', proname, prosrc FROM pg_proc"
                " WHERE pronamespace = 'public'::regnamespace"
            )
        found = sorted(tuple(str(value) for value in row) for row in rows)
    engine.dispose()
    return found


def test_the_tables_are_those_of_the_classes_after_up_down_up(database_url: str) -> None:
    migrate(database_url)
    first = schema(database_url)
    command.check(config(database_url))
    command.downgrade(config(database_url), "base")
    assert [row for row in schema(database_url) if "alembic_version" not in "".join(row)] == []
    migrate(database_url)
    command.check(config(database_url))
    assert schema(database_url) == first


def test_the_comparison_would_notice_a_difference(migrated_url: str) -> None:
    other = sa.MetaData(naming_convention=METADATA.naming_convention)
    for table in TABLES:
        table.to_metadata(other)
    other.tables["keys"].append_column(sa.Column("extra", sa.Text()))
    engine = migration_engine(parse(migrated_url))
    with engine.begin() as connection:
        found = compare_metadata(MigrationContext.configure(connection), other)
    engine.dispose()
    assert [entry[0] for entry in found] == ["add_column"]


def test_each_step_down_and_up_keeps_the_records(migrated_url: str) -> None:
    storage = Storage(migrated_url)
    filled(storage)
    before = verify(storage)
    for step in reversed(STEPS[:-1]):
        command.downgrade(config(migrated_url), step)
        assert storage.schema_revision() == step
        assert verify(storage) == before
    for step in STEPS[1:]:
        migrate(migrated_url, step)
        assert verify(storage) == before
    with storage.transaction() as tx:
        assert append_only.present(tx.connection) == append_only.AT_HEAD
    storage.close()


def test_the_previous_release_runs_on_the_new_schema(migrated_url: str) -> None:
    """The code of the first schema wrote these columns of the audit log and no others."""
    storage = Storage(migrated_url)
    with storage.transaction(write=True) as tx:
        tx.connection.exec_driver_sql(
            "INSERT INTO audit (created, key_id, key_name, action, status)"
            " VALUES ('2026-11-25T11:00:00.000000Z', 'k', 'Mate', 'create_vessel', 201)"
        )
    with storage.transaction() as tx:
        assert tx.audit.list()[0].address is None
    storage.close()


def test_four_processes_upgrade_at_once(database_url: str) -> None:
    assert together(upgrade, [(database_url,)] * 4) == [newest()] * 4


@pytest.fixture
def with_step(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Adds a step after the newest one, for this test alone."""
    copied = tmp_path / "migrations"

    def add(body: str) -> None:
        shutil.copytree(folder(), copied, ignore=shutil.ignore_patterns("__pycache__"))
        lines = [
            "import sqlalchemy as sa",
            "from alembic import op",
            "from service.storage import append_only",
        ]
        lines += ["revision = 'trial'", f"down_revision = {newest()!r}", textwrap.dedent(body)]
        (copied / "versions" / "trial.py").write_text("\n".join(lines))
        monkeypatch.setattr("service.storage.migration.folder", lambda: copied)

    return add


def test_a_step_that_fails_half_way_leaves_nothing(
    migrated_url: str, with_step: Callable[[str], None]
) -> None:
    storage = Storage(migrated_url)
    filled(storage)
    before, held, stood = schema(migrated_url), verify(storage), storage.schema_revision()
    with_step("""
        def upgrade():
            op.create_table("half", sa.Column("id", sa.Integer(), primary_key=True))
            op.add_column("keys", sa.Column("half", sa.Text()))
            op.execute("UPDATE keys SET half = 'x'")
            raise RuntimeError("power cut")
    """)
    for _ in range(2):
        with pytest.raises(RuntimeError, match="power cut"):
            migrate(migrated_url)
        assert schema(migrated_url) == before
        assert storage.schema_revision() == stood
        assert verify(storage) == held
    storage.close()


BATCH = """
    def upgrade():
        dialect = op.get_bind().dialect.name
        with op.batch_alter_table("conditions", recreate="always" if dialect == "sqlite" else "auto") as batch:
            batch.add_column(sa.Column("port", sa.Text()))
        {again}
"""
AGAIN = """
        if dialect == "sqlite":
            heads = [("head_number", "head_digest"), ("reviews", "review_digest")]
            for statement in (
                append_only.refuse(dialect, "conditions", "delete")
                + append_only.refuse_step_back(dialect, "conditions", ("id", "vessel", "created"), heads)
            ):
                op.execute(sa.text(statement))
"""


def test_a_rebuilt_table_keeps_its_children_and_gets_its_triggers_again(
    migrated_url: str, with_step: Callable[[str], None]
) -> None:
    storage = Storage(migrated_url)
    _, kept = filled(storage)
    before = verify(storage)
    with_step(textwrap.dedent(BATCH).format(again=textwrap.dedent(AGAIN).strip().replace("\n", "\n    ")))
    migrate(migrated_url)
    assert storage.schema_revision() == "trial"
    assert verify(storage) == before
    with storage.transaction() as tx:
        assert append_only.present(tx.connection) == append_only.AT_HEAD
    engine = migration_engine(parse(migrated_url))
    for statement in ("DELETE FROM conditions", "UPDATE conditions SET head_number = head_number - 1"):
        with pytest.raises(sa.exc.IntegrityError), engine.begin() as connection:
            connection.exec_driver_sql(statement)
    engine.dispose()
    with storage.transaction(write=True) as tx:
        head = tx.conditions.get(kept)
        tx.conditions.append(kept, condition("After"), expected=head.head_digest)
    verify(storage)
    storage.close()


def test_a_rebuilt_table_without_its_triggers_is_noticed(
    tmp_path: Path, with_step: Callable[[str], None]
) -> None:
    """Why the test above matters: batch mode on SQLite drops triggers without a word."""
    url = f"sqlite:///{tmp_path / 'records.db'}"
    with_step(textwrap.dedent(BATCH).format(again=""))
    migrate(url)
    storage = Storage(url)
    with storage.transaction() as tx:
        missing = append_only.AT_HEAD - append_only.present(tx.connection)
    storage.close()
    assert missing == {"conditions_refuses_delete", "conditions_refuses_step_back"}


def test_a_step_that_leaves_children_without_parents_is_undone(
    tmp_path: Path, with_step: Callable[[str], None]
) -> None:
    url = f"sqlite:///{tmp_path / 'records.db'}"
    migrate(url)
    storage = Storage(url)
    filled(storage)
    before = verify(storage)
    with_step("""
        def upgrade():
            op.execute("DROP TRIGGER vessels_refuses_delete")
            op.execute("DELETE FROM vessels")
    """)
    with pytest.raises(RuntimeError, match="without their parents"):
        migrate(url)
    assert verify(storage) == before
    storage.close()


def test_a_server_without_a_schema_says_so(tmp_path: Path) -> None:
    path = tmp_path / "records.db"
    storage = Storage(f"sqlite:///{path}")
    with pytest.raises(Unavailable):
        storage.schema_revision()
    assert not path.exists()
    migrate(f"sqlite:///{path}")
    assert storage.schema_revision() == newest() == STEPS[-1]
    with storage.transaction(write=True) as tx:
        tx.vessels.create(vessel())
    storage.close()


def test_a_database_of_a_newer_release_is_usable_and_not_migrated(migrated_url: str) -> None:
    storage = Storage(migrated_url)
    filled(storage)
    assert usable(storage.schema_revision())
    with storage.transaction(write=True) as tx:
        tx.connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'of_next_year'")
    with pytest.raises(Conflict, match="newer"):
        migrate(migrated_url)
    assert usable(storage.schema_revision())
    assert not usable(STEPS[0])
    assert not usable(None)
    verify(storage)
    storage.close()


def test_steps_form_one_line_and_files_are_dated() -> None:
    script = ScriptDirectory.from_config(config("sqlite:///unused.db"))
    assert tuple(step.revision for step in reversed(list(script.walk_revisions()))) == STEPS
    names = sorted(path.name for path in (folder() / "versions").glob("*.py"))
    assert [name[16:-3] for name in names] == list(STEPS)
    assert all(name[:4].isdigit() and name[4] == name[7] == name[10] == "_" for name in names)


def test_the_command_line_finds_the_same_folder() -> None:
    project = tomllib.loads((folder().parent / "pyproject.toml").read_text())
    assert project["tool"]["alembic"]["script_location"] == "%(here)s/migrations"
    assert not list(folder().parent.glob("alembic.ini"))
