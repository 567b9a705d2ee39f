"""Backups beside a writer, restored and compared; what is no backup is refused."""

import subprocess
import threading
from pathlib import Path
from typing import Any

import pytest

from service.storage import (
    Broken,
    Busy,
    Conflict,
    Storage,
    StorageError,
    append_only,
    backup,
    migrate,
    restore,
    verify,
)
from tests.postgres import PROGRAMS, Server
from tests.storage.records import condition, filled, vessel


def url(path: Path) -> str:
    return f"sqlite:///{path}"


def test_a_backup_under_write_load_holds_all_that_was_kept_before_it(
    sqlite_storage: Storage, tmp_path: Path
) -> None:
    ship, _ = filled(sqlite_storage)
    stop = threading.Event()
    kept: list[str] = []

    def write() -> None:
        while not stop.is_set():
            with sqlite_storage.transaction(write=True) as tx:
                made = tx.conditions.create(ship, condition(assessment="x" * 20_000))
            kept.append(made.condition)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(3):
            while len(kept) < 20 * (number + 1):
                stop.wait(0.01)
            before = list(kept)
            target = tmp_path / f"backup{number}.db"
            held = backup(sqlite_storage.url.render_as_string(), target)
            restored = tmp_path / f"restored{number}.db"
            assert restore(target, url(restored), head=held.head) == held
            storage = Storage(url(restored))
            with storage.transaction() as tx:
                assert {line.id for line in tx.conditions.list(limit=100_000)} >= set(before)
            # and the restored database goes on
            with storage.transaction(write=True) as tx:
                tx.vessels.create(vessel())
            verify(storage, held.head)
            storage.close()
    finally:
        stop.set()
        writer.join(30)
    assert verify(sqlite_storage).condition_revisions == 3 + len(kept)
    assert [path.name for path in tmp_path.iterdir() if "part" in path.name] == []


def test_a_backup_replaces_nothing(sqlite_storage: Storage, tmp_path: Path) -> None:
    source = sqlite_storage.url.render_as_string()
    target = tmp_path / "backup.db"
    backup(source, target)
    content = target.read_bytes()
    with pytest.raises(Conflict, match="replaces nothing"):
        backup(source, target)
    with pytest.raises(Conflict, match="exists"):
        restore(target, source)
    assert target.read_bytes() == content


def test_a_restore_sets_the_present_database_aside(sqlite_storage: Storage, tmp_path: Path) -> None:
    filled(sqlite_storage)
    source = sqlite_storage.url.render_as_string()
    old = backup(source, tmp_path / "backup.db")
    filled(sqlite_storage)
    present = verify(sqlite_storage)
    assert restore(tmp_path / "backup.db", source, replace=True) == old
    # The open storage notices that its file was replaced instead of writing into the void.
    with pytest.raises(StorageError), sqlite_storage.transaction(write=True) as tx:
        tx.vessels.create(vessel())
    assert verify(sqlite_storage) == old
    aside = Storage(url(tmp_path / "alone.db.replaced"))
    assert verify(aside) == present
    aside.close()
    with pytest.raises(Conflict, match="replaced exists"):
        restore(tmp_path / "backup.db", source, replace=True)


def test_no_restore_while_a_server_runs(sqlite_storage: Storage, tmp_path: Path) -> None:
    source = sqlite_storage.url.render_as_string()
    backup(source, tmp_path / "backup.db")
    sqlite_storage.occupy()
    second = Storage(source)
    with pytest.raises(Busy):
        second.occupy()
    with pytest.raises(Busy):
        restore(tmp_path / "backup.db", source, replace=True)
    sqlite_storage.close()
    second.occupy()
    second.close()


def test_a_damaged_or_foreign_file_is_not_restored(sqlite_storage: Storage, tmp_path: Path) -> None:
    filled(sqlite_storage)
    whole = tmp_path / "whole.db"
    held = backup(sqlite_storage.url.render_as_string(), whole)
    target = tmp_path / "target.db"
    data = whole.read_bytes()
    spoilt = tmp_path / "spoilt.db"
    spoilt.write_bytes(data.replace(b"Chief mate", b"Third mate", 1))
    with pytest.raises(Broken):
        restore(spoilt, url(target))
    spoilt.write_bytes(data[: len(data) // 2])
    with pytest.raises(StorageError):
        restore(spoilt, url(target))
    spoilt.write_text("a letter")
    with pytest.raises(StorageError):
        restore(spoilt, url(target))
    with pytest.raises(StorageError):
        restore(tmp_path / "none.db", url(target))
    empty = tmp_path / "empty.db"
    migrate(url(empty))
    with pytest.raises(Broken, match="cut off"):
        restore(empty, url(target), head=held.head)
    assert not target.exists()
    assert [path.name for path in tmp_path.iterdir() if "part" in path.name] == []


def test_postgresql_is_left_to_its_own_tools(tmp_path: Path) -> None:
    with pytest.raises(Conflict, match="pg_dump"):
        backup("postgresql+psycopg://nobody@127.0.0.1/none", tmp_path / "backup.db")


def test_postgresql_under_write_load_by_its_own_tools(postgres_server: Server, tmp_path: Path) -> None:
    """The two commands of service/storage/backup_file.py."""
    url = postgres_server.create()
    migrate(url)
    storage = Storage(url)
    ship, _ = filled(storage)
    exported = verify(storage)
    stop = threading.Event()

    def write() -> None:
        while not stop.is_set():
            with storage.transaction(write=True) as tx:
                tx.conditions.create(ship, condition())

    writer = threading.Thread(target=write)
    writer.start()
    dump, other = tmp_path / "records.dump", postgres_server.create()
    source, target = (address.replace("+psycopg", "") for address in (url, other))
    try:
        run: dict[str, Any] = {"check": True, "capture_output": True, "timeout": 60}
        subprocess.run([PROGRAMS / "pg_dump", "--format=custom", f"--file={dump}", source], **run)
    finally:
        stop.set()
        writer.join(30)
    subprocess.run([PROGRAMS / "pg_restore", "--exit-on-error", f"--dbname={target}", dump], **run)
    restored = Storage(other)
    found = verify(restored, exported.head)
    assert exported.changes <= found.changes <= verify(storage).changes
    with restored.transaction() as tx:
        assert append_only.present(tx.connection) == append_only.AT_HEAD
    with restored.transaction(write=True) as tx:
        tx.vessels.create(vessel())
    for opened in (storage, restored):
        opened.close()
        postgres_server.drop(opened.url.render_as_string(hide_password=False))
