"""What keeping costs: stored revisions beside bare inserts of the same bytes, reads beside an answer made before,
lists beside their limit, a comparison beside an assessment. All over HTTP, on this machine, in one run.

    python -m tests.benchmarks.records            about three minutes; names of parts, as entering_in_bulk, for some
"""

import json
import os
import shutil
import sqlite3
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from typing import Any

import httpx

from service.demo import read_condition, read_vessel
from service.storage import ConditionEntry, Storage, VesselEntry, canonical, migrate
from service.storage.engine import connect_sqlite
from tests.benchmarks.comparison import HEAD, MILLISECOND, Row, line
from tests.benchmarks.kept_connection import KeptConnection, request_bytes
from tests.benchmarks.server_process import free_port, processor_time, server_process

SHIP = "halvenmoor"
WRITERS, BLOCKS, BLOCK_SECONDS = {1: 0.07, 16: 0.20, 64: 0.30}, 7, 1.5
"""Goals by the number of writers: stored revisions a second over bare inserts a second, at least."""
BULK_LINES, BULK_GOAL = 500, 0.30
READS = 400
VESSELS, FIRST_DEPTH, DEPTH = 1_000, 10, 100
LIMIT_SECONDS = 0.050
DATABASE = "benchmark.sqlite3"  # as server_process names it
LISTS = {
    "list of 100 conditions": "/v1/conditions?limit=100",
    "list of 100 by verdict": "/v1/conditions?limit=100&verdict=pass&review_state=unreviewed",
    "fleet of 1,000": "/v1/fleet?limit=1000",
}


def _server(folder: str, **settings: str) -> Any:
    port = free_port()
    environment = {**os.environ, **{f"LOADING_{name}": value for name, value in settings.items()}}
    return port, server_process(["-m", "tests.benchmarks.floor_app", str(port)], port, folder, environment)


def storing(folder: str) -> Iterator[Row]:
    """Revisions stored per second against one insert and commit per row of the same bytes."""
    port, serving = _server(folder, ACCESS_LOG="false")
    with serving, httpx.Client(base_url=f"http://127.0.0.1:{port}", trust_env=False, timeout=30) as http:
        vessel = http.post("/v1/vessels", json=json.loads(read_vessel(SHIP))).json()["vessel"]
        body = json.loads(read_condition(SHIP, "departure-homogeneous"))
        kept = http.post(f"/v1/vessels/{vessel}/conditions", json=body).json()
        row = (canonical(kept["document"]), json.dumps(kept["assessment"], separators=(",", ":")))
        request = request_bytes("POST", f"/v1/vessels/{vessel}/conditions", json.dumps(body).encode())
        for _ in range(3):  # the workers start
            _posts(port, request, max(WRITERS))
        for writers, goal in WRITERS.items():
            bare, service = [], []
            for _ in range(BLOCKS):
                bare.append(_bare_inserts(Path(folder) / "bare.db", row))
                service.append(_posts(port, request, writers))
            yield Row(
                f"revisions ({len(row[0]) + len(row[1])} bytes) a second, writers: {writers}; floor: bare inserts",
                1.0 / median(bare),
                1.0 / median(service),
                goal,
                MILLISECOND,
                inverse=True,
            )


def entering_in_bulk(folder: str) -> Iterator[Row]:
    """Conditions entered in one stream against one insert and commit per row of the same bytes, which judges nothing:
    the floor is what the disk and the database take."""
    port, serving = _server(folder, ACCESS_LOG="false")
    address = f"http://127.0.0.1:{port}"
    with serving as server, httpx.Client(base_url=address, trust_env=False, timeout=120) as http:
        vessel = http.post("/v1/vessels", json=json.loads(read_vessel(SHIP))).json()["vessel"]
        body = json.loads(read_condition(SHIP, "departure-homogeneous"))
        kept = http.post(f"/v1/vessels/{vessel}/conditions", json=body).json()
        row = (canonical(kept["document"]), json.dumps(kept["assessment"], separators=(",", ":")))
        bare, service, spent, spent_bare = [], [], [], []
        for block in range(-1, BLOCKS):  # the first one starts the workers
            lines = [json.dumps({**body, "reference": f"{block}-{n}"}) for n in range(BULK_LINES)]
            before = time.process_time()
            floor = _bare_inserts(Path(folder) / "bare.db", row)
            of_floor = (time.process_time() - before) / (floor * BLOCK_SECONDS)
            began, before = time.perf_counter(), processor_time(server.pid)
            answer = http.post(
                f"/v1/vessels/{vessel}/conditions/bulk",
                content="\n".join(lines),
                headers={"Content-Type": "application/x-ndjson"},
            )
            took = time.perf_counter() - began
            assert json.loads(answer.text.splitlines()[-1])["failed"] == 0
            if block >= 0:
                bare.append(floor)
                service.append(BULK_LINES / took)
                spent.append((processor_time(server.pid) - before) / BULK_LINES)
                spent_bare.append(of_floor)
    yield Row(
        f"conditions a second, {BULK_LINES} in one stream; floor: bare inserts",
        1.0 / median(bare),
        1.0 / median(service),
        BULK_GOAL,
        MILLISECOND,
        inverse=True,
    )
    name = "  processor time of a condition, workers included; floor: of an insert"
    yield Row(name, median(spent_bare), median(spent), None, MILLISECOND)


def _bare_inserts(path: Path, row: tuple[str, str]) -> float:
    """Rows per second of a loop that inserts and commits: WAL, synchronous=FULL, as the service's own connection."""
    path.unlink(missing_ok=True)
    connection = connect_sqlite(path, mode="rwc")
    connection.execute("CREATE TABLE rows (id INTEGER PRIMARY KEY, document TEXT, assessment TEXT) STRICT")
    count, began = 0, time.perf_counter()
    while (took := time.perf_counter() - began) < BLOCK_SECONDS:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("INSERT INTO rows (document, assessment) VALUES (?, ?)", row)
        connection.execute("COMMIT")
        count += 1
    connection.close()
    return count / took


def _posts(port: int, request: bytes, writers: int) -> float:
    """Answers per second of `writers` that each wait for their own."""
    counts = [0] * writers
    end = time.perf_counter() + BLOCK_SECONDS

    def write(number: int) -> None:
        with KeptConnection(port) as connection:
            while time.perf_counter() < end:
                status, _ = connection.ask(request)
                assert status == 201
                counts[number] += 1

    threads = [threading.Thread(target=write, args=(number,)) for number in range(writers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sum(counts) / BLOCK_SECONDS


def reading(folder: str) -> Iterator[Row]:
    """Reading the latest revision beside a canned answer; a comparison beside an assessment."""
    port, serving = _server(folder, ACCESS_LOG="false")
    with serving, httpx.Client(base_url=f"http://127.0.0.1:{port}", trust_env=False, timeout=30) as http:
        vessel = http.post("/v1/vessels", json=json.loads(read_vessel(SHIP))).json()["vessel"]
        first = json.loads(read_condition(SHIP, "departure-homogeneous"))
        made = http.post(f"/v1/vessels/{vessel}/conditions", json=first)
        condition = made.headers["Location"]
        second = json.loads(read_condition(SHIP, "timber-loll"))
        http.put(condition, json=second, headers={"If-Match": made.headers["ETag"]}).raise_for_status()
        assessment = {"vessel_id": vessel, "condition": first}
        noop, read, compared, assessed = _interleaved(
            port,
            request_bytes("POST", "/noop", b'{"a":1}'),
            request_bytes("GET", condition),
            request_bytes("GET", f"{condition}/comparison"),
            request_bytes("POST", "/v1/assessments", json.dumps(assessment).encode()),
        )
    yield Row("read of the latest revision; floor: canned answer", noop, read, 2.5)
    yield Row("comparison of two revisions; floor: one assessment", assessed, compared, 3.0)


def _interleaved(port: int, *requests: bytes) -> list[float]:
    """Median seconds of each request, asked in turn."""
    times: list[list[float]] = [[] for _ in requests]
    with KeptConnection(port) as connection:
        for turn in range(READS):
            for request, column in zip(requests, times, strict=True):
                began = time.perf_counter()
                status, _ = connection.ask(request)
                if turn >= READS // 10:
                    column.append(time.perf_counter() - began)
                assert status == 200
    return [median(column) for column in times]


def listing(folder: str) -> Iterator[Row]:
    """Lists over a large fleet: under the limit, and no slower with ten times the history."""
    shallow, deep = Path(folder) / "shallow", Path(folder) / "deep"
    heads = None
    for place, depth in ((shallow, FIRST_DEPTH), (deep, DEPTH - FIRST_DEPTH)):
        place.mkdir()
        if heads is not None:
            shutil.copy(shallow / DATABASE, place)
        url = f"sqlite:///{place / DATABASE}"
        migrate(url)
        storage = Storage(url)
        heads = _fill(storage, heads, depth)
        storage.close()
    first, serving_first = _server(str(shallow), ACCESS_LOG="false", MAX_PAGE_SIZE="1000")
    second, serving_second = _server(str(deep), ACCESS_LOG="false", MAX_PAGE_SIZE="1000")
    with serving_first, serving_second:
        for name, path in LISTS.items():
            little, much = _list_times((first, second), request_bytes("GET", path))
            history = f"{VESSELS} vessels x {DEPTH} revisions"
            yield Row(f"{name}, {history}; floor: the limit", LIMIT_SECONDS, much, 1.0)
            yield Row(f"{name}; floor: with {FIRST_DEPTH} revisions each", little, much, 1.25)


def _fill(storage: Storage, heads: dict[str, str] | None, depth: int) -> dict[str, str]:
    """Vessels with one condition each, or more revisions of those; texts are short, lists never read them."""
    author = {"author_key": "mate", "author_name": "Chief mate"}
    entry = ConditionEntry(
        title="Departure", phase="departure", voyage="17/2", verdict="pass", smallest_margin=4.0,
        smallest_margin_criterion="is-code-2008-a-2.2.4-initial-gm", displacement=5123.0, gm_corrected=0.61,
        vessel_revision=1, rule_sets="[]", calculation_version="1", document="{}", assessment="{}" + " " * 2000,
        **author,
    )  # fmt: skip
    if heads is None:
        heads = {}
        with storage.transaction(write=True) as tx:
            for number in range(VESSELS):
                vessel = tx.vessels.create(VesselEntry(name=f"Ship {number}", document="{}", **author))
                made = tx.conditions.create(vessel.vessel, entry)
                heads[made.condition] = made.digest
        depth -= 1
    for _ in range(depth):
        with storage.transaction(write=True) as tx:
            for condition, digest in heads.items():
                heads[condition] = tx.conditions.append(condition, entry, expected=digest).digest
    return heads


def _list_times(ports: tuple[int, int], request: bytes, times: int = 60) -> tuple[float, ...]:
    """Median seconds at each server, asked in turn."""
    columns: tuple[list[float], ...] = ([], [])
    with KeptConnection(ports[0]) as first, KeptConnection(ports[1]) as second:
        for turn in range(times):
            for connection, column in zip((first, second), columns, strict=True):
                began = time.perf_counter()
                status, _ = connection.ask(request)
                if turn >= 5:
                    column.append(time.perf_counter() - began)
                assert status == 200
    return tuple(median(column) for column in columns)


def main() -> None:
    """Measure everything and print the table."""
    print("SQLite", connect_version(), "load average", *(f"{load:.1f}" for load in os.getloadavg()))
    print(HEAD)
    parts = {part.__name__: part for part in (storing, entering_in_bulk, reading, listing)}
    for part in (parts[name] for name in sys.argv[1:] or parts):
        with tempfile.TemporaryDirectory() as folder:
            for found in part(folder):
                print(line(*found.columns()) if isinstance(found, Row) else found, flush=True)


def connect_version() -> str:
    """Version of the library that the service's driver brings."""
    from service.storage.engine import driver

    return str(getattr(driver(), "sqlite_version", sqlite3.sqlite_version))


if __name__ == "__main__":
    main()
