"""The latest revision of a stored vessel is found without a query where this process alone can write, and is never an
old one."""

import json
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import Engine, event

from service.actions.records.lifecycle import close_records, open_records
from service.actions.records.transactions import Records, write_together
from service.actions.stored_vessels import StoredVessels
from service.cli import care
from service.demo import read_vessel
from service.storage import Storage, Transaction, VesselEntry, canonical
from service.storage.transaction import LOOKED_AT_SECONDS
from service.wire.refusal import Refusal
from tests.postgres import Server, database_url, migrated_url, postgres_server  # noqa: F401
from tests.storage.records import MATE

FIRST = json.loads(read_vessel("ostrel"))


def entry(name: str) -> VesselEntry:
    return VesselEntry(name=name, source="booklet", document=canonical({**FIRST, "name": name}), **MATE)


def revise(tx: Transaction, id: str, name: str) -> int:
    return tx.vessels.append(id, entry(name), expected=tx.vessels.get(id).head_digest).number


@pytest.fixture
def records(migrated_url: str) -> Iterator[Records]:  # noqa: F811
    records = open_records(migrated_url)
    yield records
    close_records(records)


@pytest.fixture
def ship(records: Records) -> str:
    with records.writing() as tx:
        return tx.vessels.create(entry("First")).vessel


def remembers(records: Records) -> bool:
    """SQLite has one server; PostgreSQL any number."""
    return records.storage.url.get_backend_name() == "sqlite"


def name_of(vessels: StoredVessels, id: str, revision: int | None = None) -> tuple[str, int | None]:
    reference = vessels.find(id, revision).reference
    return reference["name"], reference["revision"]


@contextmanager
def statements(*engines: Engine | None) -> Iterator[list[str]]:
    """What is sent to a database meanwhile."""
    sent: list[str] = []

    def note(connection: object, cursor: object, statement: str, *rest: object) -> None:
        sent.append(statement)

    listened = [engine for engine in engines if engine is not None]
    for engine in listened:
        event.listen(engine, "before_cursor_execute", note)
    yield sent
    for engine in listened:
        event.remove(engine, "before_cursor_execute", note)


def test_a_vessel_found_is_ready_where_nobody_else_writes(records: Records, ship: str) -> None:
    vessels = StoredVessels(records)
    assert vessels.ready(ship) is None
    assert vessels.ready(ship, 1) is None
    found = vessels.find(ship)
    assert vessels.ready(ship, 1) is found
    assert vessels.ready(ship) is (found if remembers(records) else None)
    assert vessels.ready("nobody") is None
    storage = records.storage
    with statements(storage._read, storage._write, storage._heads) as sent:
        assert vessels.find(ship) is found
        assert vessels.find(ship, 1) is found
    assert len(sent) == (0 if remembers(records) else 1), sent


def test_a_write_of_ours_is_seen_by_the_next_request(records: Records, ship: str) -> None:
    vessels = StoredVessels(records)
    assert name_of(vessels, ship) == ("First", 1)
    with records.writing() as tx:
        revise(tx, ship, "Second")
        assert name_of(vessels, ship) == ("First", 1), "not committed yet"
    assert vessels.ready(ship) is None
    assert name_of(vessels, ship) == ("Second", 2)
    assert name_of(vessels, ship, 1) == ("First", 1)
    write_together(records, [lambda tx: revise(tx, ship, "Third")])
    assert name_of(vessels, ship) == ("Third", 3)
    (failed,) = write_together(records, [lambda tx: revise(tx, ship, "Fourth") // 0])
    assert isinstance(failed, ZeroDivisionError)
    assert name_of(vessels, ship) == ("Third", 3)


def test_a_write_while_the_head_is_read_is_not_missed(
    records: Records, ship: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The number is read, a revision is committed, and only then the number would be remembered."""
    vessels, read = StoredVessels(records), records.storage.vessel_head

    def read_and_be_overtaken(id: str) -> int | None:
        number = read(id)
        monkeypatch.undo()
        with records.writing() as tx:
            revise(tx, ship, "Second")
        return number

    monkeypatch.setattr(records.storage, "vessel_head", read_and_be_overtaken)
    assert name_of(vessels, ship) == ("First", 1), "as it was when it was read"
    assert vessels.ready(ship) is None
    assert name_of(vessels, ship) == ("Second", 2)


def test_a_write_of_another_vessel_or_none_changes_nothing(records: Records, ship: str) -> None:
    vessels = StoredVessels(records)
    vessels.find(ship)
    with records.writing() as tx:
        tx.keys.add("key", name="Mate", role="ship", secret_hash="x", created_by="x")
    assert (vessels.ready(ship) is not None) is remembers(records)
    with records.writing() as tx:
        other = tx.vessels.create(entry("Other")).vessel
    assert name_of(vessels, ship) == ("First", 1)
    assert name_of(vessels, other) == ("Other", 1)


def test_unknown_vessels_and_revisions(records: Records, ship: str) -> None:
    vessels = StoredVessels(records)
    vessels.find(ship)
    asked: list[tuple[str, int | None]] = [
        ("nobody", None),
        (ship, 2),
        (ship, -1),
        (ship, 2**60),
        ("a\0", None),
    ]
    for id, revision in asked:
        with pytest.raises(Refusal) as refused:
            vessels.find(id, revision)
        assert refused.value.code == "unknown_vessel"
    with records.writing() as tx:
        tx.vessels.create(entry("Late"), id="nobody")
    assert name_of(vessels, "nobody") == ("Late", 1)


def test_nothing_is_remembered_beside_a_server(records: Records, ship: str, migrated_url: str) -> None:  # noqa: F811
    """A command does not occupy the database: what it reads may change under it."""
    storage = Storage(migrated_url)
    vessels = StoredVessels(Records(storage))
    assert name_of(vessels, ship) == ("First", 1)
    assert vessels.ready(ship) is None
    with records.writing() as tx:
        revise(tx, ship, "Second")
    assert name_of(vessels, ship) == ("Second", 2)
    storage.close()


def test_a_replaced_file_is_no_longer_ours(tmp_path: Path) -> None:
    records = open_records(f"sqlite:///{tmp_path}/records.db")
    with records.writing() as tx:
        ship = tx.vessels.create(entry("First")).vessel
    vessels = StoredVessels(records)
    vessels.find(ship)
    assert vessels.ready(ship) is not None
    file = tmp_path / "records.db"
    file.with_name("copy.db").write_bytes(file.read_bytes())
    file.with_name("copy.db").replace(file)
    time.sleep(LOOKED_AT_SECONDS * 1.1)
    assert vessels.ready(ship) is None
    with pytest.raises(Refusal) as refused:
        vessels.find(ship)
    assert refused.value.code == "records_unavailable"
    vessels.find(ship)
    assert vessels.ready(ship) is None, "found anew every time from now on"
    close_records(records)


def test_a_history_is_not_read_in_beside_a_server_of_the_same_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    url = f"sqlite:///{tmp_path}/records.db"
    (tmp_path / "history.json").write_text("{}")
    records = open_records(url)
    assert care.import_(url, str(tmp_path / "history.json")) != 0
    assert "another server has this file open" in capsys.readouterr().err
    close_records(records)
    assert care.import_(url, str(tmp_path / "history.json")) != 0
    assert "Not a file of a condition's history" in capsys.readouterr().err


def test_servers_on_one_postgresql_see_one_another(postgres_server: Server) -> None:  # noqa: F811
    url = postgres_server.create()
    first, second = open_records(url), open_records(url)
    with first.writing() as tx:
        ship = tx.vessels.create(entry("First")).vessel
    vessels = StoredVessels(second)
    assert name_of(vessels, ship) == ("First", 1)
    with first.writing() as tx:
        revise(tx, ship, "Second")
    assert name_of(vessels, ship) == ("Second", 2)
    postgres_server.execute(
        f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{url.rpartition('/')[2]}'"
    )
    assert name_of(vessels, ship) == ("Second", 2), "a broken connection is replaced"
    for records in (first, second):
        close_records(records)
    postgres_server.drop(url)
