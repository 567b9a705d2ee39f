"""How long `GET /livez` takes while the service is given whatever keeps it busiest: goal 0.1 s at the 99th percentile.

    python -m tests.benchmarks.livez [WORDS]      two minutes; only the loads whose names hold the words

Loads run one after the other against a server, on 127.0.0.1 only, from a process of their own: over kept connections,
one request after the other on each. `/livez` is asked over one more, some twenty times a second, from this process.
"""

import json
import os
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from multiprocessing import get_context
from typing import Any

import numpy as np

from tests.benchmarks.comparison import HEAD, MILLISECOND, Row, line
from tests.benchmarks.kept_connection import KeptConnection, request_bytes
from tests.benchmarks.reference_case import NAMED, conditions, request_bodies, vessel_document
from tests.benchmarks.server_process import free_port, post, server_process

SECONDS, LIMIT_SECONDS = 6.0, 0.1
Requests = Callable[[int], Iterator[bytes]]


def loads(
    vessel: str, condition: str, edits: list[tuple[str, int, str]]
) -> Iterator[tuple[str, int, Requests]]:
    """Name, number of connections, and what the n-th of them asks; of a stored vessel and condition.

    edits: name, connections and address of further pages."""
    document, named = vessel_document(), {"vessel_id": vessel}
    aboard = next(conditions(document, 1))
    box = {"name": "x", "category": "cargo", "mass": 0.001, "lcg": 50.0, "vcg": 5.0, "tcg": 0.0}

    def posted(path: str, body: bytes) -> Requests:
        def forever(number: int) -> Iterator[bytes]:
            request = request_bytes("POST", path, body)
            while True:
                yield request

        return forever

    def asked(path: str) -> Requests:
        return lambda number: iter([request_bytes("GET", path)] * 100_000)

    def form(path: str, body: bytes) -> Requests:
        request = request_bytes("POST", path, body, "application/x-www-form-urlencoded")
        return lambda number: iter([request] * 100_000)

    def new_vessels(number: int) -> Iterator[bytes]:
        count = 0
        while True:
            count += 1
            other = {**document, "name": f"Ship {number}-{count}"}
            body = json.dumps({"vessel": other, "condition": aboard}).encode()
            yield request_bytes("POST", "/v1/assessments", body)

    def with_weights(count: int) -> bytes:
        weights = [*aboard["weights"], *({**box, "name": f"Box {n}"} for n in range(count))]
        return json.dumps({**named, "condition": {**aboard, "weights": weights}}).encode()

    by_id = request_bodies(1, vessel=named)[0]
    wrong = json.dumps({**NAMED, "condition": {"weights": [{}] * 600_000}}).encode()
    yield "nothing else", 0, new_vessels
    yield "64 small requests at a time", 64, posted("/v1/assessments", by_id)
    yield (
        "64 conditions stored at a time",
        64,
        posted(f"/v1/vessels/{vessel}/conditions", json.dumps(aboard).encode()),
    )
    yield "16 requests of 4,000 weights at a time", 16, posted("/v1/assessments", with_weights(4_000))
    stages = [{"name": "Passage", "days": 298.0, "phase": "in_port"}]
    plan = {"kind": "voyage", "every_days": 1.0, "stages": stages}
    body = json.dumps({**named, "condition": {**aboard, "plan": plan}}).encode()
    yield "8 plans of 300 points at a time", 8, posted("/v1/assessments", body)
    yield "8 new inline vessels at a time", 8, new_vessels
    yield "20 new inline vessels at a time", 20, new_vessels
    yield "8 texts of 2 MB, refused, at a time", 8, posted("/v1/assessments", wrong[:1_990_000])
    yield (
        "8 numbers of 2 MB, refused, at a time",
        8,
        posted("/v1/assessments", b'{"a":[' + b"1," * 990_000 + b"1]}"),
    )
    page = f"/conditions/{condition}/revisions/1"
    yield "8 pages of a condition at a time", 8, asked(page)
    yield "8 reports of a condition at a time", 8, asked(f"{page}/report.pdf")
    large = {
        "weights": [{**box, "name": f"Box {n}"} for n in range(5_000)],
        "tanks": [{"tank": tank["id"], "fill": 50.0} for tank in document["tanks"]],
    }
    yield (
        "4 conditions of 5,000 weights stored at a time",
        4,
        posted(f"/v1/vessels/{vessel}/conditions", json.dumps({**aboard, **large}).encode()),
    )
    errors = {**named, "condition": {**aboard, "weights": [{str(n): 1 for n in range(30)}] * 5_000}}
    yield "4 texts of 150,000 errors at a time", 4, posted("/v1/assessments", json.dumps(errors).encode())
    marks = b'{"a":"' + "e\u0301".encode() * 600_000 + b'"}'
    yield "8 texts of 2 MB of combining characters at a time", 8, posted("/v1/assessments", marks)
    yield "8 forms of 2 MB at a time", 8, form("/sign-in", b"kept=" + b"%5b%22a" * 280_000)
    for name, count, edited in edits:
        yield f"{count} {name} at a time", count, asked(edited)
    lines = b"\n".join([by_id] * 4_000)
    batch = request_bytes("POST", "/v1/assessments/batch", lines, "application/x-ndjson")
    yield "4 batches of 4,000 lines at a time", 4, lambda number: iter([batch] * 1_000)


def livez_times(port: int, connections: int, requests: Requests) -> list[float]:
    """Seconds of each `/livez` while the load runs."""
    asking = get_context("fork").Process(target=_ask, args=(port, connections, requests), daemon=True)
    asking.start()
    time.sleep(0.5)
    end = time.perf_counter() + SECONDS
    times, livez = [], request_bytes("GET", "/livez")
    with KeptConnection(port) as connection:
        while time.perf_counter() < end:
            began = time.perf_counter()
            status, _ = connection.ask(livez)
            times.append(time.perf_counter() - began)
            assert status == 200
            time.sleep(0.04)
    asking.kill()
    asking.join()
    return times


def _ask(port: int, connections: int, requests: Requests) -> None:
    """Ask for ever, in as many threads as there are connections."""

    def ask(number: int) -> None:
        with KeptConnection(port) as connection:
            for request in requests(number):
                connection.ask(request)

    threads = [threading.Thread(target=ask, args=(number,)) for number in range(connections)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def largest_edit_page(port: int) -> str:
    """Address of the edit page of a condition with 5,000 weights on a ship with 500 tanks, entered for it."""
    document = vessel_document()
    tanks = document["tanks"]
    single = [{name: value for name, value in tank.items() if name != "pair"} for tank in tanks]
    many = [{**single[n % len(single)], "id": f"t-{n}", "name": f"Tank {n}"} for n in range(500)]
    body = json.dumps({**document, "name": "Many tanks", "tanks": many}).encode()
    vessel = json.loads(post(port, "/v1/vessels", body))["vessel"]
    aboard = next(conditions(document, 1))
    weights = [
        {"name": f"Box {n}", "category": "cargo", "mass": 0.001, "lcg": 50.0, "vcg": 5.0, "tcg": 0.0}
        for n in range(5_000)
    ]
    fills = [{"tank": f"t-{n}", "fill": 1.0} for n in range(500)]
    text = json.dumps({**aboard, "tanks": fills, "weights": [*aboard["weights"], *weights][:5_000]}).encode()
    condition = json.loads(post(port, f"/v1/vessels/{vessel}/conditions", text))["condition"]
    return f"/conditions/{condition}/edit"


def measured(only: str = "") -> Iterator[Row]:
    """A row for each load whose name has `only` in it; the floor is the limit."""
    port = free_port()
    environment = {**os.environ, "LOADING_ACCESS_LOG": "false"}
    with (
        tempfile.TemporaryDirectory() as folder,
        server_process(["-m", "tests.benchmarks.floor_app", str(port)], port, folder, environment),
    ):
        vessel: Any = json.loads(post(port, "/v1/vessels", json.dumps(vessel_document()).encode()))["vessel"]
        aboard = json.dumps(next(conditions(vessel_document(), 1))).encode()
        condition = json.loads(post(port, f"/v1/vessels/{vessel}/conditions", aboard))["condition"]
        edits = [("edit pages of 500 tanks and 5,000 weights", 4, largest_edit_page(port))]
        for name, connections, requests in loads(vessel, condition, edits):
            if only not in name:
                continue
            times = livez_times(port, connections, requests)
            p99 = float(np.percentile(times, 99))
            yield Row(f"/livez, p99 of {len(times)}, with {name}", LIMIT_SECONDS, p99, 1.0, MILLISECOND)


def main() -> None:
    """Measure everything and print the table."""
    print("load average", *(f"{load:.1f}" for load in os.getloadavg()))
    print(HEAD)
    for row in measured(" ".join(sys.argv[1:])):
        print(line(*row.columns()), flush=True)


if __name__ == "__main__":
    main()
