"""A disk that is full while writers write: a clear refusal, nothing acknowledged lost, on again when there is room.

The disk is a tmpfs of a few megabytes, which takes the right to mount one (`can_mount`). A SQLite database lies on it
with its journal; a PostgreSQL database has its tablespace there.
"""

import json
import os
import shutil
import subprocess
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx

from service.demo import read_condition, read_vessel
from service.storage import Storage, verify
from tests.endurance.server import ServerProcess
from tests.postgres import Server

SHIP = "halvenmoor"
WRITERS = 3
REFUSALS = 3
SQLITE_MEGABYTES, POSTGRESQL_MEGABYTES = 2, 12
MORE_MEGABYTES = 6
"""More than the journal of SQLite holds (1,000 pages): its contents move into the file first."""
_AS_ROOT = () if os.geteuid() == 0 else ("sudo", "-n")


@dataclass
class Disk:
    """A tmpfs that can be made larger."""

    folder: Path
    megabytes: int

    def grow(self) -> None:
        """Make room."""
        self.megabytes += MORE_MEGABYTES
        _mount("remount", self.megabytes, self.folder)


@dataclass
class Outcome:
    """What writers were told while the disk was full again and again."""

    rounds: int
    kept: dict[str, str] = field(default_factory=dict)
    """Condition by the name of its request."""
    refused: int = 0
    verified: int = 0

    def __str__(self) -> str:
        return (
            f"{self.rounds} times full: {len(self.kept)} conditions acknowledged, all there and none twice; "
            f"{self.refused} refused with 503 and Retry-After; {self.verified} revisions verified"
        )


def can_mount() -> bool:
    """Whether this process may mount a small disk."""
    try:
        with small_disk(1):
            return True
    except (OSError, subprocess.CalledProcessError):
        return False


@contextmanager
def small_disk(megabytes: int) -> Iterator[Disk]:
    """A disk of that size, gone at the end."""
    folder = Path(tempfile.mkdtemp(prefix="disk"))
    folder.chmod(0o755)
    try:
        _mount("", megabytes, folder)
        try:
            yield Disk(folder, megabytes)
        finally:
            subprocess.run([*_AS_ROOT, "umount", folder], check=True, capture_output=True)
    finally:
        with suppress(OSError):
            folder.rmdir()


@contextmanager
def database_on_disk(server: Server | None) -> Iterator[tuple[str, Disk]]:
    """The URL of an empty database on a small disk: SQLite, or on that PostgreSQL server."""
    if server is None:
        with small_disk(SQLITE_MEGABYTES) as disk:
            yield f"sqlite:///{disk.folder}/records.db", disk
        return
    with small_disk(POSTGRESQL_MEGABYTES) as disk:
        place = disk.folder / "tablespace"
        place.mkdir()
        if os.geteuid() == 0:
            shutil.chown(place, "postgres", "postgres")
        name = f"small{os.getpid()}"
        server.execute(f"CREATE TABLESPACE {name} LOCATION '{place}'")
        try:
            server.execute(f"CREATE DATABASE {name} TABLESPACE {name}")
            try:
                yield server.url(name), disk
            finally:
                server.drop(server.url(name))
        finally:
            server.execute(f"DROP TABLESPACE {name}")


def run(database: str, disk: Disk, rounds: int) -> Outcome:
    """Fill the disk and make room, `rounds` times. Raises AssertionError where a promise was broken."""
    outcome = Outcome(rounds)
    body = json.loads(read_condition(SHIP, "ballast-departure"))
    with (
        ServerProcess(database) as server,
        httpx.Client(base_url=server.address, timeout=60, trust_env=False) as http,
    ):
        made = http.post("/v1/vessels", json=json.loads(read_vessel(SHIP)))
        assert made.status_code == 201, made.text
        path = f"/v1/vessels/{made.json()['vessel']}/conditions"
        pending: dict[int, str] = {}
        for number in range(rounds):
            writers = [
                threading.Thread(
                    target=_write, args=(server.address, path, body, outcome, pending, number, n)
                )
                for n in range(WRITERS)
            ]
            for writer in writers:
                writer.start()
            for writer in writers:
                writer.join(120)
                assert not writer.is_alive()
            assert sorted(pending) == list(range(WRITERS)), "a writer ended before the disk was full"
            assert http.get(path, params={"limit": 1}).status_code == 200  # readers go on
            assert http.get("/livez").status_code == 200
            disk.grow()
            _send_again(http, path, body, outcome, pending)
        kept = _listed(http, path)
    assert kept == sorted(outcome.kept.values())  # each acknowledged one is there, and none twice
    storage = Storage(database)
    outcome.verified = verify(storage).condition_revisions
    storage.close()
    assert outcome.verified == len(outcome.kept)
    return outcome


def _write(
    address: str,
    path: str,
    body: dict[str, Any],
    outcome: Outcome,
    pending: dict[int, str],
    number: int,
    writer: int,
) -> None:
    """Enter conditions until the same request was refused a few times; its name is left in `pending`."""
    refused, count = 0, 0
    with httpx.Client(base_url=address, timeout=60, trust_env=False) as http:
        while refused < REFUSALS:
            name = f"{number}-{writer}-{count}"
            answer = http.post(path, json=body, headers={"Idempotency-Key": name})
            if answer.status_code == 201:
                outcome.kept[name] = answer.json()["condition"]
                pending.pop(writer, None)
                refused, count = 0, count + 1
                continue
            assert answer.status_code == 503, answer.text
            assert answer.json()["code"] in ("records_unavailable", "records_busy")
            assert answer.json()["detail"].startswith("Nothing was stored")
            assert int(answer.headers["Retry-After"]) >= 1
            pending[writer] = name
            outcome.refused += 1
            refused += 1


def _send_again(
    http: httpx.Client, path: str, body: dict[str, Any], outcome: Outcome, pending: dict[int, str]
) -> None:
    """What was refused is taken now that there is room."""
    for writer in list(pending):
        name = pending.pop(writer)
        answer = http.post(path, json=body, headers={"Idempotency-Key": name})
        assert answer.status_code == 201, answer.text
        assert "Idempotency-Replayed" not in answer.headers  # nothing of it had been kept
        outcome.kept[name] = answer.json()["condition"]


def _listed(http: httpx.Client, path: str) -> list[str]:
    found: list[str] = []
    address: str | None = f"{path}?limit=200"
    while address:
        page = http.get(address).json()
        found += [item["id"] for item in page["items"]]
        address = page["next"]
    return sorted(found)


def _mount(option: str, megabytes: int, folder: Path) -> None:
    options = ",".join(filter(None, (option, f"size={megabytes}m", "mode=777")))
    command = [*_AS_ROOT, "mount", "-t", "tmpfs", "-o", options, "tmpfs", folder]
    subprocess.run(command, check=True, capture_output=True)
