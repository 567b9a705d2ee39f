"""The schema is what the migrations build: up and down with data in it, all steps or none, several callers at once."""

import json
import shutil
import textwrap
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from service.storage import (
    AuditEntry,
    Broken,
    Conflict,
    Storage,
    Unavailable,
    append_only,
    cover,
    migrate,
    newest,
    usable,
    verify,
)
from service.storage.digest import SINCE_FORM_2, digest
from service.storage.engine import migration_engine, parse
from service.storage.migration import config, folder
from service.storage.schema import METADATA, TABLES
from tests.storage.records import condition, filled, kept_by_1_0_0, vessel
from tests.storage.workers import together, upgrade

STEPS = (
    *("records", "address_and_age", "dangers_and_margins", "row_digests", "pepper_checks"),
    *("chosen_ids", "imo_numbers", "references", "states", "unfinished", "webhooks", "visits"),
    *("unfinished_booklets", "list_indexes", "fleet_columns", "fleets", "notices", "sign_ins", "letters"),
)


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


def test_each_step_up_keeps_the_records(database_url: str) -> None:
    """Of 1.0.0: they are of form 1, which every schema can hold. Only the newest schema is verified by this release."""
    migrate(database_url, STEPS[0])
    fill_as_1_0_0(database_url)
    rows = revisions(database_url)
    for step in STEPS[1:]:
        migrate(database_url, step)
        assert revisions(database_url) == rows
    storage = Storage(database_url)
    assert verify(storage).condition_revisions == 4
    with storage.transaction() as tx:
        assert append_only.present(tx.connection) == append_only.AT_HEAD
    storage.close()


ROW = {
    "vessels": "vessels (id, created, updated, head_number, head_digest, name) VALUES ('v', 'c', 'c', 1, 'd', 'n')",
    "keys": "keys (id, name, role, secret_hash, created) VALUES ('k', 'Mate', 'ship', '00', 'c')",
    "audit": "audit (created, key_id, key_name, action, status) VALUES ('c', 'k', 'Mate', 'create_key', 201)",
    "kept_answers": "kept_answers (key_id, idempotency_key, fingerprint, status, created, headers, body)"
    " VALUES ('k', 'n', 'f', 201, 'c', '{}', '{}')",
}


@pytest.mark.parametrize(
    ("step", "table"), [*((step, "audit") for step in STEPS), *((STEPS[-1], table) for table in ROW)]
)
def test_no_step_down_where_anything_is_kept(database_url: str, step: str, table: str) -> None:
    migrate(database_url, step)
    engine = migration_engine(parse(database_url))
    with engine.begin() as connection:
        connection.exec_driver_sql(
            f"INSERT INTO {ROW[table]}".replace("'c'", "'2026-11-25T11:00:00.000000Z'")
        )
    engine.dispose()
    before = schema(database_url)
    for target in ("-1", "base"):
        with pytest.raises(RuntimeError, match=f"{table} holds rows"):
            command.downgrade(config(database_url), target)
        assert schema(database_url) == before
    storage = Storage(database_url)
    assert storage.schema_revision() == step
    storage.close()


def test_rows_of_an_older_release_are_covered_by_the_step(database_url: str) -> None:
    migrate(database_url, "dangers_and_margins")
    engine = migration_engine(parse(database_url))
    with engine.begin() as connection:
        for table in ("keys", "audit", "kept_answers"):
            row = ROW[table].replace("'c'", "'2026-11-25T11:00:00.000000Z'")
            connection.exec_driver_sql(f"INSERT INTO {row}")
    engine.dispose()
    migrate(database_url)
    storage = Storage(database_url)
    found = verify(storage)
    assert (found.keys, found.audit_lines, found.kept_answers) == (1, 1, 1)
    storage.close()


def revisions(url: str) -> list[dict[str, object]]:
    """What every schema holds of the kept condition revisions."""
    engine = migration_engine(parse(url))
    with engine.begin() as connection:
        rows = connection.exec_driver_sql("SELECT * FROM condition_revisions ORDER BY condition, number")
        found = [
            {name: value for name, value in row.items() if name not in SINCE_FORM_2}
            for row in rows.mappings()
        ]
    engine.dispose()
    return found


def test_records_of_1_0_0_hold_after_the_step_and_are_added_to(database_url: str) -> None:
    """A database that release 1.0.0 filled: its columns, its digests, its schema."""
    migrate(database_url, STEPS[1])
    id, head = fill_as_1_0_0(database_url)
    migrate(database_url)
    storage = Storage(database_url)
    assert verify(storage).condition_revisions == 4
    with storage.transaction() as tx:
        [line] = tx.conditions.list()
        assert (line.id, line.head_digest, line.dangers, line.figures_number) == (id, head, None, None)
    with storage.transaction(write=True) as tx:
        tx.conditions.append(id, condition("After"), expected=head)
    verify(storage)
    storage.close()


def fill_as_1_0_0(url: str) -> tuple[str, str]:
    """Write the kept history into the schema of 1.0.0, heads and feed too; the condition and the digest of its head."""
    file = json.loads(kept_by_1_0_0())
    vessels, found = file["vessel"]["revisions"], file["condition"]
    first, last = found["revisions"][0], found["revisions"][-1]
    ship = {"id": file["vessel"]["id"], "created": vessels[0]["created"], "updated": vessels[-1]["created"]}
    ship |= {"head_number": 1, "head_digest": vessels[-1]["digest"], "name": vessels[-1]["name"]}
    names = (
        *("title", "phase", "voyage", "verdict", "smallest_margin", "smallest_margin_criterion"),
        *("displacement", "gm_corrected", "vessel", "vessel_revision", "calculation_version"),
        *("author_key", "author_name"),
    )
    head = {name: last[name] for name in names} | {"id": found["id"], "created": first["created"]}
    head |= {"updated": last["created"], "head_number": last["number"], "head_digest": last["digest"]}
    head |= {"review_state": "unreviewed", "reviews": 1, "review_digest": found["reviews"][0]["digest"]}
    rows = {"vessels": [ship], "vessel_revisions": vessels, "conditions": [head]}
    rows |= {"condition_revisions": found["revisions"], "reviews": found["reviews"]}
    rows["changes"] = feed_of(vessels, found)
    engine = migration_engine(parse(url))
    with engine.begin() as connection:
        for table, records in rows.items():
            for record in records:
                columns, places = ", ".join(record), ", ".join(f":{name}" for name in record)
                connection.execute(sa.text(f"INSERT INTO {table} ({columns}) VALUES ({places})"), record)
    engine.dispose()
    return found["id"], last["digest"]


def feed_of(vessels: list[dict[str, Any]], found: dict[str, Any]) -> list[dict[str, Any]]:
    """The feed of the kept history, its digests by the rule."""
    events = [("vessel_revision", row, None, None) for row in vessels]
    events += [("condition_revision", row, None, row["verdict"]) for row in found["revisions"]]
    events += [("review", row, row["decision"], None) for row in found["reviews"]]
    lines: list[dict[str, Any]] = []
    for event, row, decision, verdict in events:
        review = row["number"] if event == "review" else None
        revision = row["revision"] if event == "review" else row["number"]
        line = {
            "id": len(lines) + 1,
            "created": row["created"],
            "event": event,
            "vessel": vessels[0]["vessel"],
        }
        line |= {"condition": row.get("condition"), "revision": revision, "review": review}
        line |= {"verdict": verdict, "decision": decision, "subject": row["digest"], "form": 1}
        line["previous"] = lines[-1]["digest"] if lines else None
        lines.append(line | {"digest": digest("change", line)})
    return lines


def test_a_step_down_that_would_break_digests_is_refused(migrated_url: str) -> None:
    storage = Storage(migrated_url)
    filled(storage)
    before = verify(storage)
    with pytest.raises(RuntimeError, match="holds rows"):
        command.downgrade(config(migrated_url), STEPS[1])
    assert storage.schema_revision() == STEPS[-1]
    assert verify(storage) == before
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
    with storage.transaction(write=True) as tx:
        tx.audit.append(AuditEntry(key_id="k", key_name="Mate", action="create_vessel", status=201))
    with storage.transaction(write=True) as tx:  # the older code again: its ids do not meet ours
        tx.connection.exec_driver_sql(
            "INSERT INTO audit (created, key_id, key_name, action, status)"
            " VALUES ('2026-11-25T11:00:00.000000Z', 'k', 'Mate', 'create_vessel', 201)"
        )
    with pytest.raises(Broken, match="has no digest") as found:
        verify(storage)
    assert (found.value.kind, found.value.id) == ("audit", "1")
    with storage.transaction(write=True) as tx:
        assert cover(tx.connection, tx.now) == [("audit", "1"), ("audit", "3")]
    assert verify(storage).audit_lines == 3
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
            heads = [("head_number", "head_digest"), ("reviews", "review_digest"), ("states", "state_digest")]
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
