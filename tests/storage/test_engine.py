"""Engines: which SQLite may use WAL, what every connection is set to, how time and ids look."""

import re
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from service.storage import Busy, Storage, Unavailable, as_text, now
from service.storage.engine import parse, wal_is_safe
from service.storage.schema import METADATA
from service.storage.table import new_id


@pytest.mark.parametrize(
    ("version", "safe"),
    [
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 45, 0), False),
        ((3, 49, 2), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 0), False),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 53, 4), True),
        ((4, 0, 0), True),
    ],
)
def test_the_gate_for_wal(version: tuple[int, int, int], safe: bool) -> None:
    """Range of the fault as reported: 3.7.0 to 3.51.2, backports 3.44.6 and 3.50.7."""
    assert wal_is_safe(version) is safe


def test_an_affected_library_gets_the_rollback_journal_and_says_so(
    sqlite_storage: Storage, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert sqlite_storage.facts().journal == "wal"
    sqlite_storage.close()
    monkeypatch.setattr("service.storage.engine.wal_is_safe", lambda version: False)
    storage = Storage(sqlite_storage.url.render_as_string())
    facts = storage.facts()
    assert (facts.journal, facts.synchronous) == ("delete", "extra")
    assert "pysqlite3" in facts.warning
    storage.close()


def test_facts(storage: Storage) -> None:
    facts = storage.facts()
    if facts.database == "sqlite":
        assert (facts.journal, facts.synchronous, facts.processes) == ("wal", "full", "one")
    else:
        assert facts.version.startswith("15.")
        assert facts.processes == "several"
        assert "fsync" in facts.warning  # the throw-away server runs without it


def test_every_sqlite_connection_is_safe(sqlite_storage: Storage) -> None:
    wanted = {"foreign_keys": 1, "synchronous": 2, "trusted_schema": 0, "busy_timeout": 5000}
    for write in (False, True):
        with sqlite_storage.transaction(write=write) as tx:
            found = {n: tx.connection.exec_driver_sql(f"PRAGMA {n}").scalar_one() for n in wanted}
            assert found == wanted
            assert tx.connection.exec_driver_sql("PRAGMA query_only").scalar_one() == (not write)


def test_every_table_is_strict(sqlite_storage: Storage) -> None:
    with sqlite_storage.transaction() as tx:
        rows = tx.connection.exec_driver_sql("PRAGMA table_list").mappings()
        strict = {row["name"]: row["strict"] for row in rows if row["schema"] == "main"}
    for name in ("sqlite_schema", "alembic_version"):
        strict.pop(name)
    assert strict.keys() == METADATA.tables.keys()
    assert all(strict.values())


def test_a_reader_sees_one_snapshot_and_cannot_write(storage: Storage) -> None:
    from tests.storage.records import vessel

    with storage.transaction() as reading:
        assert reading.vessels.list() == []
        with storage.transaction(write=True) as writing:
            writing.vessels.create(vessel())
        assert reading.vessels.list() == []
    with pytest.raises(Unavailable), storage.transaction() as reading:
        reading.vessels.create(vessel())
    with storage.transaction() as reading:
        assert len(reading.vessels.list()) == 1


@pytest.mark.parametrize("url", ["sqlite://", "sqlite:///:memory:", "mysql://localhost/x", "nonsense"])
def test_other_databases_are_refused(url: str) -> None:
    with pytest.raises(Exception, match=r"file|SQLite|parse"):
        Storage(url)


def test_a_plain_postgresql_url_means_psycopg() -> None:
    assert parse("postgresql://u@h/d").drivername == "postgresql+psycopg"


def test_one_server_on_a_file(sqlite_storage: Storage) -> None:
    sqlite_storage.occupy()
    sqlite_storage.occupy()
    other = Storage(sqlite_storage.url.render_as_string())
    with pytest.raises(Busy, match="PostgreSQL"):
        other.occupy()
    assert other.schema_revision()  # reading beside the server is no trouble


def test_a_time_is_utc_with_six_decimals_and_z() -> None:
    assert as_text(datetime(2026, 3, 12, 1, 2, 3, tzinfo=UTC)) == "2026-03-12T01:02:03.000000Z"
    east = timezone(timedelta(hours=5, minutes=30))
    assert as_text(datetime(2026, 3, 12, 1, 2, 3, 45, tzinfo=east)) == "2026-03-11T19:32:03.000045Z"
    with pytest.raises(ValueError, match="zone"):
        as_text(datetime(2026, 3, 12))
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z", now())


def test_ids_are_of_version_7_and_sort_by_their_making() -> None:
    made = [new_id() for _ in range(1000)]
    assert len(set(made)) == 1000
    assert all(
        re.fullmatch(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", id)
        for id in made
    )
    assert [id[:13] for id in made] == sorted(id[:13] for id in made)


def test_no_file_is_made_by_opening(tmp_path: Path) -> None:
    storage = Storage(f"sqlite:///{tmp_path / 'none.db'}")
    with pytest.raises(Unavailable), storage.transaction():
        pass
    assert list(tmp_path.iterdir()) == []
