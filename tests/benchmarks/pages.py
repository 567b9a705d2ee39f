"""How fast the pages are, each against the same as JSON measured in the same run.

    .venv/bin/python -m tests.benchmarks.pages

One client on 127.0.0.1, the demonstration ships and a fleet of 1,000; requests alternate between page and JSON, of
each the median counts. Takes a few minutes, most of them to enter the fleet, and ends by itself. Not a test: a missed
goal is printed.
"""

import gzip
import json
import statistics
import tempfile
import time
from http.client import HTTPConnection

from tests.benchmarks.comparison import HEAD, Row, line
from tests.benchmarks.server_process import free_port, processor_time, server_process

ROUNDS = 200
GOAL = 2.0
FLEET_BYTES = 100_000
SHIPS = 1000
FLEET_ROUNDS, FIRST_BYTE_MS = 40, 100


def main() -> None:
    """Print the table."""
    port = free_port()
    with (
        tempfile.TemporaryDirectory() as folder,
        server_process(["-m", "service", "serve", "--demo", "--port", str(port)], port, folder) as server,
    ):
        connection = HTTPConnection("127.0.0.1", port, timeout=30.0)
        listed = json.loads(get(connection, "/v1/conditions"))["items"]
        slack = next(item["id"] for item in listed if "every tank slack" in item["title"])
        print(HEAD)
        compare(connection, "condition page, 34 slack tanks: its JSON twin", f"/conditions/{slack}", GOAL)
        compare(connection, "the same compressed", f"/conditions/{slack}", GOAL, packed=True)
        compare(connection, "history: its JSON twin", f"/conditions/{slack}/revisions", None)
        compare(connection, "vessel page: its JSON twin", "/vessels/halvenmoor", None)
        compare(connection, "fleet page, the demonstration ships: its JSON twin", "/", None, "/v1/fleet")
        enter_fleet(connection)
        compare(
            connection, f"fleet page, {SHIPS} ships: 200 of them as JSON", "/", None, "/v1/fleet?limit=200"
        )
        size = len(gzip.compress(get(connection, "/"), 1))
        print(f"fleet page of {SHIPS} ships compressed: {size} bytes, at most {FLEET_BYTES}")
        print(first_byte(connection, server.pid))


def first_byte(connection: HTTPConnection, pid: int) -> str:
    """When the head of the compressed fleet page is there, and what a page costs the server alone."""
    times, worked = [], processor_time(pid)
    for _ in range(FLEET_ROUNDS):
        began = time.perf_counter()
        connection.request("GET", "/", headers={"Accept-Encoding": "gzip"})
        answer = connection.getresponse()
        times.append(time.perf_counter() - began)
        answer.read()
    each = (processor_time(pid) - worked) / FLEET_ROUNDS
    return (
        f"its first byte: median {statistics.median(times) * 1000:.0f} ms, least {min(times) * 1000:.0f} "
        f"(goal {FIRST_BYTE_MS}); processor time of the server a page: {each * 1000:.0f} ms"
    )


def compare(
    connection: HTTPConnection, name: str, page: str, goal: float | None, twin: str = "", packed: bool = False
) -> None:
    """One row: the JSON is the floor."""
    paths, times = (twin or f"/v1{page}", page), ([], [])  # type: tuple[str, str], tuple[list[float], list[float]]
    for turn in range(ROUNDS + 5):
        for path, column in zip(paths, times, strict=True):
            began = time.perf_counter()
            get(connection, path, packed)
            if turn >= 5:
                column.append(time.perf_counter() - began)
    floor, subject = (statistics.median(column) for column in times)
    print(line(*Row(name, floor, subject, goal).columns()))


def get(connection: HTTPConnection, path: str, packed: bool = False) -> bytes:
    """The body of one answer; raises where it is not a success."""
    headers = {"Accept": "*/*"} | ({"Accept-Encoding": "gzip"} if packed else {})
    connection.request("GET", path, headers=headers)
    answer = connection.getresponse()
    body = answer.read()
    if answer.status != 200:
        raise RuntimeError(f"{path} answered {answer.status}")
    return body


def enter_fleet(connection: HTTPConnection) -> None:
    """Ships with a condition each, until there are `SHIPS`."""
    vessel = json.loads(get(connection, "/v1/vessels/ostrel"))["document"]
    listed = json.loads(get(connection, "/v1/vessels/ostrel/conditions"))["items"]
    condition = json.loads(get(connection, f"/v1/conditions/{listed[0]['id']}"))["document"]
    for n in range(SHIPS - 2):
        kept = post(connection, "/v1/vessels", {**vessel, "name": f"Ship {n:04d}"})
        post(connection, f"/v1/vessels/{kept['vessel']}/conditions", {**condition, "title": f"Voyage {n}"})


def post(connection: HTTPConnection, path: str, document: object) -> dict[str, str]:
    """What one POST kept."""
    connection.request("POST", path, json.dumps(document), {"Content-Type": "application/json"})
    answer = connection.getresponse()
    body = answer.read()
    if answer.status != 201:
        raise RuntimeError(f"{path} answered {answer.status}: {body[:200]!r}")
    kept: dict[str, str] = json.loads(body)
    return kept


if __name__ == "__main__":
    main()
