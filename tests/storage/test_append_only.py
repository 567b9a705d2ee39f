"""The database itself refuses to change or remove what was kept, whoever asks with plain SQL."""

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError, IntegrityError

from service.storage import AuditEntry, Storage, append_only, migrate
from service.storage.engine import migration_engine
from tests.postgres import Server
from tests.storage.records import filled, state

KEPT = (
    *("vessel_revisions", "condition_revisions", "reviews", "changes", "audit"),
    *("row_digests", "pepper_checks", "condition_states", "vessel_states"),
)


@pytest.fixture
def full(storage: Storage) -> Storage:
    ship, _ = filled(storage)
    with storage.transaction(write=True) as tx:
        tx.states.append_vessel(ship, state("withdrawn"))
        tx.audit.append(AuditEntry(key_id="k", key_name="Mate", action="create_vessel", status=201))
        tx.keys.add("k", name="Mate", role="ship", secret_hash="00")
        tx.pepper.append("check value")
    return storage


def refused(storage: Storage, statement: str) -> str:
    """The message with which a statement of another program is refused."""
    engine = migration_engine(storage.url)
    try:
        with pytest.raises(DBAPIError) as error, engine.begin() as connection:
            connection.execute(text(statement))
    finally:
        engine.dispose()
    assert isinstance(error.value, IntegrityError)
    return str(error.value.orig)


@pytest.mark.parametrize("table", KEPT)
def test_no_update_and_no_delete(full: Storage, table: str) -> None:
    column = "created"
    assert "append-only" in refused(full, f"UPDATE {table} SET {column} = {column}")
    assert "append-only" in refused(full, f"DELETE FROM {table}")


@pytest.mark.parametrize("table", ["vessels", "conditions", "keys"])
def test_heads_and_keys_are_not_deleted(full: Storage, table: str) -> None:
    assert "append-only" in refused(full, f"DELETE FROM {table}")


@pytest.mark.parametrize(
    "change",
    [
        "conditions SET head_number = head_number - 1",
        "conditions SET head_number = head_number + 2",
        "conditions SET head_digest = 'other'",
        "conditions SET reviews = 0, review_digest = NULL",
        "conditions SET review_digest = NULL",
        "conditions SET states = states + 2",
        "conditions SET state_digest = 'other'",
        "vessels SET states = 0",
        "conditions SET id = 'other'",
        "conditions SET vessel = 'other'",
        "conditions SET created = 'other'",
        "vessels SET head_number = 1",
        "vessels SET head_number = head_number, head_digest = 'other'",
        "vessels SET id = 'other'",
        "vessels SET created = 'other'",
    ],
)
def test_a_head_only_moves_forward(full: Storage, change: str) -> None:
    assert "only moves forward" in refused(full, f"UPDATE {change}")


def test_postgresql_refuses_truncate(postgres_server: Server) -> None:
    url = postgres_server.create()
    migrate(url)
    storage = Storage(url)
    for table in (*KEPT, "vessels", "conditions", "keys"):
        assert "append-only" in refused(storage, f"TRUNCATE {table} CASCADE")
    storage.close()
    postgres_server.drop(url)


def test_every_trigger_is_there(storage: Storage) -> None:
    with storage.transaction() as tx:
        assert append_only.present(tx.connection) == append_only.AT_HEAD


def test_records_know_no_other_verb() -> None:
    from service.storage.audit import AuditRepository
    from service.storage.change import ChangeRepository
    from service.storage.condition import ConditionRepository
    from service.storage.review import ReviewRepository
    from service.storage.state import StateRepository
    from service.storage.vessel import VesselRepository

    verbs = {
        "create",
        "append",
        "append_vessel",
        "of_vessel",
        "in_force",
        "keep",
        "record",
        "get",
        "revision",
        "history",
        "figures_in_feed",
        "list",
        "of",
        "after",
        "head",
        "head_number",
        "with_imo_number",
        "is_taken",
        "names",
        "latest",
        "taken",
        "lines",
        "count",
    }
    for repository in (
        VesselRepository,
        ConditionRepository,
        ReviewRepository,
        StateRepository,
        ChangeRepository,
        AuditRepository,
    ):
        assert {name for name in vars(repository) if not name.startswith("_")} <= verbs
