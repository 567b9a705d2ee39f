"""Full disk, read-only file, locked database, database gone and back: a clear error, nothing half kept,
then on again.
"""

import os
import subprocess
import sys
import textwrap
import threading
from pathlib import Path
from typing import Any

import psycopg
import pytest
from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from service.storage import Busy, Conflict, Full, ReadOnly, Storage, Unavailable, migrate, verify
from service.storage.engine import sqlite_path
from service.storage.errors import as_storage_error
from tests.postgres import Server
from tests.storage.records import vessel


def add(storage: Storage, name: str = "Brise", size: int = 0) -> str:
    with storage.transaction(write=True) as tx:
        return tx.vessels.create(vessel(name, document="x" * size or "{}")).vessel


def names(storage: Storage) -> list[str]:
    with storage.transaction() as tx:
        return [ship.name for ship in tx.vessels.list(limit=10_000)]


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Busy time-outs of one second, so that the tests need not wait for five."""
    for function in ("_sqlite", "connect_sqlite", "_postgresql"):
        monkeypatch.setitem(
            getattr(__import__("service.storage.engine", fromlist=["_"]), function).__kwdefaults__,
            "patience",
            1,
        )


def test_a_locked_database_is_busy_and_goes_on_afterwards(impatient: None, migrated_url: str) -> None:
    holder, other = Storage(migrated_url), Storage(migrated_url)
    with holder.transaction(write=True) as tx:
        tx.vessels.create(vessel("Held"))
        with pytest.raises(Busy) as busy:
            add(other)
        assert busy.value.retry_after == 1
        assert names(other) == []
    add(other, "Second")
    assert sorted(names(other)) == ["Held", "Second"]
    verify(other)
    holder.close()
    other.close()


def test_threads_of_one_process_wait_for_each_other(impatient: None, storage: Storage) -> None:
    held, go = threading.Event(), threading.Event()

    def hold() -> None:
        with storage.transaction(write=True) as tx:
            tx.vessels.create(vessel("Held"))
            held.set()
            go.wait(10)

    thread = threading.Thread(target=hold)
    thread.start()
    held.wait(10)
    opened = Storage(storage.url.render_as_string(hide_password=False))
    with pytest.raises(Busy):
        add(opened)
    go.set()
    thread.join(10)
    add(opened, "Second")
    opened.close()
    assert sorted(names(storage)) == ["Held", "Second"]


def test_a_deleted_file_takes_no_more_writes(sqlite_storage: Storage, tmp_path: Path) -> None:
    add(sqlite_storage, "Before")
    path = sqlite_path(sqlite_storage.url)
    assert path is not None
    sqlite_storage.close()  # so that all of it is in the file and none in its journal
    add(sqlite_storage, "Also")
    parked = tmp_path / "parked"
    parked.mkdir()
    files = list(tmp_path.glob(path.name + "*"))
    for file in files:
        file.rename(parked / file.name)
    for _ in range(2):
        with pytest.raises(Unavailable) as gone:
            add(sqlite_storage, "Lost")
        with pytest.raises(Unavailable):
            names(sqlite_storage)
        assert gone.value.retry_after == 5
    assert not path.exists()
    for file in files:
        (parked / file.name).rename(file)
    add(sqlite_storage, "After")
    assert names(sqlite_storage) == ["Before", "Also", "After"]
    assert verify(sqlite_storage).changes == 3


def test_a_file_replaced_under_a_writer_is_noticed_before_the_commit(
    sqlite_storage: Storage, tmp_path: Path
) -> None:
    path = sqlite_path(sqlite_storage.url)
    assert path is not None
    other = tmp_path / "other.db"
    migrate(f"sqlite:///{other}")
    with pytest.raises(Unavailable), sqlite_storage.transaction(write=True) as tx:  # noqa: PT012
        tx.vessels.create(vessel("Lost"))
        other.replace(path)
    assert names(sqlite_storage) == []


def limited(url: str, program: str, *options: str) -> str:
    """What another process prints that has less rights or room than we have."""
    code = textwrap.dedent("""
        import resource, signal, sys
        from service.storage import ReadOnly, Storage, Unavailable
        from tests.storage.test_errors import add, names
        storage = Storage(sys.argv[1])
    """) + textwrap.dedent(program)
    done = subprocess.run(
        [*options, sys.executable, "-c", code, url],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        cwd=Path(__file__).parents[2],
        env={**os.environ, "PYTHONPATH": "."},
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_full_disk_loses_nothing_acknowledged_and_room_makes_it_work_again(sqlite_storage: Storage) -> None:
    """A limit on the size of files stands for the disk: the write of a commit fails half way."""
    add(sqlite_storage, "First")
    printed = limited(
        sqlite_storage.url.render_as_string(),
        """
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (600_000, resource.RLIM_INFINITY))
        kept, refused = 0, 0
        for number in range(60):
            try:
                add(storage, f"Ship {number}", size=20_000)
                kept += 1
            except Unavailable as full:
                refused += 1
                assert full.retry_after
        assert kept and refused, (kept, refused)
        assert len(names(storage)) == kept + 1
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        add(storage, "After", size=20_000)
        print(kept + 2)
        """,
    )
    assert len(names(sqlite_storage)) == int(printed)
    assert verify(sqlite_storage).changes == int(printed)


def test_sqlite_reports_a_full_database_as_full(sqlite_storage: Storage) -> None:
    """SQLITE_FULL itself, by the limit SQLite keeps on the number of pages."""
    with pytest.raises(Full), sqlite_storage.transaction(write=True) as tx:  # noqa: PT012
        tx.connection.exec_driver_sql("PRAGMA max_page_count = 100")
        for _ in range(40):
            tx.vessels.create(vessel(document="x" * 20_000))
    sqlite_storage.close()
    add(sqlite_storage)
    assert len(names(sqlite_storage)) == 1


@pytest.mark.skipif(sys.platform != "linux", reason="rights are dropped with setpriv")
def test_a_read_only_file_refuses_writes_and_takes_them_again(
    sqlite_storage: Storage, tmp_path: Path
) -> None:
    add(sqlite_storage, "First")
    sqlite_storage.close()
    path = sqlite_path(sqlite_storage.url)
    assert path is not None
    # root may write anything until it gives up that right
    options = ["setpriv", "--bounding-set=-dac_override"] if os.geteuid() == 0 else []
    path.chmod(0o444)
    try:
        printed = limited(
            sqlite_storage.url.render_as_string(),
            """
            try:
                add(storage)
            except ReadOnly as refused:
                print(refused.retry_after, names(storage))
            """,
            *options,
        )
    finally:
        path.chmod(0o644)
    assert printed.strip() == "30 ['First']"
    add(sqlite_storage, "Second")
    assert names(sqlite_storage) == ["First", "Second"]


def test_a_damaged_file_is_unavailable(sqlite_storage: Storage) -> None:
    path = sqlite_path(sqlite_storage.url)
    assert path is not None
    sqlite_storage.close()
    with path.open("r+b") as file:
        file.seek(16)
        file.write(b"\xff" * 2000)
    with pytest.raises(Unavailable):
        names(sqlite_storage)


def test_postgresql_gone_and_back(postgres_server: Server) -> None:
    url = postgres_server.create()
    migrate(url)
    storage = Storage(url)
    add(storage, "Before")
    name = url.rpartition("/")[2]
    disconnect = f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{name}'"
    # while nobody works: not even noticed
    postgres_server.execute(disconnect)
    add(storage, "Second")
    # in the middle of a transaction: nothing of it is kept
    with pytest.raises(Unavailable), storage.transaction(write=True) as tx:  # noqa: PT012
        tx.vessels.create(vessel("Lost"))
        postgres_server.execute(disconnect)
        tx.vessels.create(vessel("Lost too"))
    # nobody is let in
    postgres_server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false")
    postgres_server.execute(disconnect)
    for _ in range(2):
        with pytest.raises(Unavailable):
            add(storage, "Lost as well")
    postgres_server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true")
    add(storage, "After")
    assert names(storage) == ["Before", "Second", "After"]
    assert verify(storage).changes == 3
    storage.close()
    postgres_server.drop(url)


def test_no_postgresql_at_all() -> None:
    storage = Storage("postgresql+psycopg://nobody@127.0.0.1:9/none")
    with pytest.raises(Unavailable):
        names(storage)


class _SqliteError(Exception):
    def __init__(self, code: int) -> None:
        self.sqlite_errorcode = code


@pytest.mark.parametrize(
    ("code", "kind"),
    [
        (5, Busy),
        (261, Busy),  # SQLITE_BUSY_RECOVERY
        (8, ReadOnly),
        (1032, ReadOnly),  # SQLITE_READONLY_DBMOVED
        (10, Unavailable),
        (266, Unavailable),  # SQLITE_IOERR_READ
        (778, Full),  # SQLITE_IOERR_WRITE
        (1034, Full),  # SQLITE_IOERR_FSYNC
        (11, Unavailable),
        (13, Full),
        (14, Unavailable),
        (26, Unavailable),
    ],
)
def test_codes_of_sqlite(code: int, kind: type) -> None:
    """sqlite.org/rescode.html"""
    assert type(as_storage_error(DBAPIError("", (), _SqliteError(code)))) is kind


@pytest.mark.parametrize(
    ("state", "kind"),
    [
        ("25006", ReadOnly),
        ("53100", Full),
        ("53300", Busy),
        ("53200", Busy),
        ("55P03", Busy),
        ("57014", Busy),
        ("40001", Busy),
        ("40P01", Busy),
        ("08006", Unavailable),
        ("57P01", Unavailable),
        ("57P03", Unavailable),
        ("3D000", Unavailable),
    ],
)
def test_codes_of_postgresql(state: str, kind: type) -> None:
    """PostgreSQL 15 documentation, appendix A"""
    error = psycopg.errors.lookup(state)()
    assert type(as_storage_error(DBAPIError("", (), error))) is kind


def test_other_errors_keep_their_meaning() -> None:
    assert isinstance(as_storage_error(PoolTimeout()), Busy)
    assert isinstance(as_storage_error(IntegrityError("", (), _SqliteError(19))), Conflict)
    fault: Any = psycopg.errors.lookup("42601")()  # a fault in our SQL is no state of the database
    assert as_storage_error(DBAPIError("", (), fault)) is None
