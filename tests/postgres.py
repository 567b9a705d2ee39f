"""Databases for tests on both engines: a SQLite file, or a database on a throw-away PostgreSQL.

Use: in the conftest.py of a test folder

    from tests.postgres import database_url, migrated_url, postgres_server  # noqa: F401

and in tests the fixture `database_url` (an empty database) or `migrated_url` (the newest schema, nothing in
it). Both run each test twice, as [sqlite] and [postgresql], and give a URL for `Storage` or `migrate`. A
test for PostgreSQL alone asks for `postgres_server` and calls `postgres_server.create()`.

One server serves all workers of pytest-xdist. It is Debian's PostgreSQL 15 (or the one whose folder of
programs is in POSTGRESQL_BIN), on a free loopback port in a folder of its own, run as user postgres when we
are root. Every user holds a shared lock; a watcher process stops the server and removes its folder when the
last lock is gone, also after a crash. Without the programs the tests are skipped, or fail when REQUIRE_ALL
is set.
"""

import fcntl
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import IO

import psycopg
import pytest

PROGRAMS = Path(os.environ.get("POSTGRESQL_BIN", "/usr/lib/postgresql/15/bin"))
ENGINES = ("sqlite", "postgresql")


@dataclass(frozen=True)
class Server:
    """A running server on 127.0.0.1; `folder` holds data and log."""

    port: int
    folder: str

    def url(self, database: str) -> str:
        return f"postgresql+psycopg://postgres@127.0.0.1:{self.port}/{database}"

    def create(self, template: str = "template1") -> str:
        """The URL of a new database, a copy of `template`."""
        name = "t" + uuid.uuid4().hex
        self.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
        return self.url(name)

    def drop(self, url: str) -> None:
        """Remove a database, whoever is connected."""
        self.execute(f"DROP DATABASE IF EXISTS {url.rpartition('/')[2]} WITH (FORCE)")

    def execute(self, statement: str, database: str = "postgres") -> None:
        conninfo = f"host=127.0.0.1 port={self.port} user=postgres dbname={database}"
        with psycopg.connect(conninfo, autocommit=True) as connection:
            connection.execute(statement.encode())


@pytest.fixture(scope="session")
def postgres_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The shared server; skips where PostgreSQL is not installed."""
    if not (PROGRAMS / "postgres").is_file():
        reason = f"no PostgreSQL in {PROGRAMS} (set POSTGRESQL_BIN)"
        if os.environ.get("REQUIRE_ALL"):
            pytest.fail(reason)
        pytest.skip(reason)
    base = tmp_path_factory.getbasetemp()
    # Workers of xdist have folders beside each other; their parent is that of the whole run.
    shared = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
    with _in_use(shared), _locked(shared / "postgres.start"):
        server = _running(shared) or _start(shared)
    users = _hold(shared)
    try:
        yield server
    finally:
        users.close()


@contextmanager
def throw_away_server() -> Iterator[Server]:
    """A server for a command, stopped and removed at the end."""
    shared = Path(tempfile.mkdtemp())
    with _in_use(shared):
        yield _start(shared)


@cache
def _migrated_database(server: Server) -> str:
    """The name of a database to copy, one for each worker."""
    from service.storage import migrate

    url = server.create()
    migrate(url)
    return url.rpartition("/")[2]


@cache
def _migrated_file(folder: Path) -> Path:
    """A SQLite file to copy."""
    from service.storage import migrate

    path = folder / "migrated.db"
    migrate(f"sqlite:///{path}")
    return path


@pytest.fixture(params=ENGINES)
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """An empty database of each engine; the SQLite file does not exist yet."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'records.db'}"
        return
    server: Server = request.getfixturevalue("postgres_server")
    url = server.create()
    yield url
    server.drop(url)


@pytest.fixture(params=ENGINES)
def migrated_url(
    request: pytest.FixtureRequest, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[str]:
    """A database of each engine at the newest schema."""
    if request.param == "sqlite":
        path = tmp_path / "records.db"
        shutil.copyfile(_migrated_file(tmp_path_factory.getbasetemp()), path)
        yield f"sqlite:///{path}"
        return
    server: Server = request.getfixturevalue("postgres_server")
    url = server.create(_migrated_database(server))
    yield url
    server.drop(url)


def _hold(shared: Path) -> IO[str]:
    """The lock that says: somebody uses the server."""
    users = (shared / "postgres.users").open("a")
    fcntl.flock(users, fcntl.LOCK_SH)
    return users


@contextmanager
def _in_use(shared: Path) -> Iterator[None]:
    with _hold(shared):
        yield


@contextmanager
def _locked(path: Path) -> Iterator[None]:
    with path.open("a") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


def _running(shared: Path) -> Server | None:
    """The server another worker started, if it is still there (the watcher removes the note first)."""
    note = shared / "postgres.json"
    return Server(**json.loads(note.read_text())) if note.is_file() else None


def _start(shared: Path) -> Server:
    # Under /tmp and not in pytest's folder: that one belongs to root alone and makes socket paths too long.
    folder = tempfile.mkdtemp(prefix="postgres")
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres", "postgres")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        server = Server(probe.getsockname()[1], folder)
    with (shared / "postgres.log").open("a") as log:
        watcher = subprocess.Popen(
            [sys.executable, __file__, str(shared), str(server.port), folder],
            start_new_session=True,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=log,
        )
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            server.execute("SELECT 1")
        except psycopg.OperationalError:
            assert watcher.poll() is None, (shared / "postgres.log").read_text()[-2000:]
            time.sleep(0.05)
        else:
            # The watcher outlives this process; its end is not ours to wait for.
            watcher.returncode = 0
            (shared / "postgres.json").write_text(json.dumps({"port": server.port, "folder": folder}))
            return server
    raise AssertionError(f"PostgreSQL did not answer within a minute, see {shared / 'postgres.log'}")


def _watch(shared: Path, port: str, folder: Path) -> None:
    """Run the server until nobody holds the lock of users (the body of the watcher process)."""
    data = folder / "data"
    lower = ["setpriv", "--reuid=postgres", "--regid=postgres", "--init-groups"] if os.geteuid() == 0 else []
    initdb = [PROGRAMS / "initdb", "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync"]
    subprocess.run([*lower, *initdb, "--locale=C.UTF-8"], check=True, cwd=folder, stdout=sys.stderr)
    options = {
        "listen_addresses": "127.0.0.1",
        "unix_socket_directories": str(folder),
        "max_connections": "200",
        "shared_buffers": "64MB",
        # No power cut happens to a throw-away server; it lives in a test run.
        "fsync": "off",
        "full_page_writes": "off",
    }
    settings = [part for name, value in options.items() for part in ("-c", f"{name}={value}")]
    server = subprocess.Popen(
        [*lower, PROGRAMS / "postgres", "-D", data, "-p", port, *settings], cwd=folder, stdout=sys.stderr
    )
    with (shared / "postgres.users").open("a") as users:
        while server.poll() is None:
            try:
                fcntl.flock(users, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except BlockingIOError:
                time.sleep(0.2)
        (shared / "postgres.json").unlink(missing_ok=True)
        if server.poll() is None:
            server.send_signal(signal.SIGINT)  # fast shutdown
            server.wait(30)
    shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    _watch(Path(sys.argv[1]), sys.argv[2], Path(sys.argv[3]))
