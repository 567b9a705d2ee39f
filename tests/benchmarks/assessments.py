"""How fast assessments are made, against floors measured in the same run.

    .venv/bin/python -m tests.benchmarks.assessments [core] [http] [stream] [start]

Reference case: 40 tanks, 20 weights, 81 heels, general and weather criteria, full answer (see `reference_case`).
Takes two to three minutes, listens on 127.0.0.1 only, ends by itself. Not a test: a missed goal is printed, and the
exit code stays 0. Rows without a goal are for information.
"""

import gc
import json
import os
import platform
import subprocess
import sys
import tempfile
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager
from math import isinf
from time import monotonic, sleep
from typing import Any

import numpy as np

from service.actions.assess import Assessor, PreparedVessel, as_json, prepare_vessel
from service.core.assessment import assess
from service.core.condition import Condition
from service.translation.condition import condition_of
from service.wire.condition import Condition as ConditionDocument
from tests.benchmarks import reference_case
from tests.benchmarks.comparison import HEAD, MICROSECOND, SECOND, Row, interleaved, line
from tests.benchmarks.plain_python import PlainVessel, Result
from tests.benchmarks.server_process import ROOT, family, free_port, peak_memory, post, server_process
from tests.benchmarks.start_up import start_up

LOOP, PART = 1024, 128
ROUNDS = 200
COMPARED = 128
AGREEMENT = 1e-9
LINES, WARM_UP_LINES, MEMORY_GOAL = 10_000, 500, 64 * 2**20
WAKING_SECONDS = 4.0


class ReferenceShip:
    """The reference ship prepared by the service and in plain Python, with conditions enough for every timing."""

    def __init__(self) -> None:
        self.document = reference_case.vessel_document()
        self.prepared: PreparedVessel = prepare_vessel(self.document)
        self.plain = PlainVessel(self.document)
        self.documents = list(reference_case.conditions(self.document, LOOP))
        self.conditions = [self.condition(document) for document in self.documents]

    def condition(self, document: dict[str, Any]) -> Condition:
        """A condition document as the core takes it."""
        wire = ConditionDocument.model_validate(document)
        return condition_of(wire, self.prepared.vessel, self.prepared.axes)


def agree(ship: ReferenceShip) -> float:
    """Greatest relative difference between service and plain Python; raises where it exceeds 1e-9."""
    assessor = Assessor(lambda vessel_id, revision: ship.prepared)
    ours, theirs = [], []
    for document, condition in zip(ship.documents[:COMPARED], ship.conditions):
        answer = assessor.assessment({**reference_case.NAMED, "condition": document})
        assert len(answer["tanks"]) == reference_case.TANKS
        assert len(answer["righting_lever"]["levers"]) == reference_case.HEELS
        ours.append(_of_answer(answer))
        theirs.append(_of_plain(ship.plain.assess(condition), answer["righting_lever"]["side"]))
    core, plain = np.array(ours, dtype=float), np.array(theirs, dtype=float)
    difference = np.abs(core - plain) / np.maximum(1.0, np.abs(plain))
    worst = float(np.where(np.isnan(core) & np.isnan(plain), 0.0, difference).max())
    if not worst <= AGREEMENT:
        raise RuntimeError(f"the service and plain Python differ by {worst:.1e}: nothing is timed")
    return worst


def _of_answer(answer: dict[str, Any]) -> list[float]:
    flotation = answer["flotation"]
    criteria = {row["id"]: row for row in answer["criteria"]}
    judged = [row for name, row in criteria.items() if name.startswith("is-code-2008-a-")]
    edge = _details(criteria["is-code-2008-a-2.3.1-steady-wind"])["deck_edge_angle"]
    marks = [value for key, value in _details(criteria["load-lines-draft"]).items() if "permitted/" in key]
    lever = answer["righting_lever"]
    drafts = [flotation[f"draft_{place}"] for place in ("forward", "midship", "aft")]
    areas = _details(criteria["is-code-2008-a-2.3.1-areas"])
    return [
        answer["displacement"],
        answer["free_surface_moment"],
        answer["stability"]["gm_corrected"],
        *drafts,
        flotation["trim"],
        flotation["list"]["angle"],
        edge,
        lever["down_flooding"]["angle"],
        criteria["afloat-openings"]["attained"],
        min(marks),
        max(marks),
        criteria["load-lines-low-side"]["attained"],
        *lever["levers"],
        (lever["beyond"] or lever)["vanishing_angle"],
        *(row["attained"] for row in judged[:7]),
        areas["area_a"],
        areas["area_b"],
    ]


def _details(criterion: dict[str, Any]) -> dict[str, Any]:
    return {detail["key"]: detail["value"] for detail in criterion["details"]}


def _of_plain(result: Result, side: str) -> list[float | None]:
    head = [
        result.displacement,
        result.free_surface,
        result.gm,
        *result.drafts,
        result.trim,
        result.list_angle,
    ]
    floods = None if isinf(result.floods[side]) else result.floods[side]
    rest = [result.deck_edge, floods, result.opening, *result.permitted, result.low_side]
    curve = [*result.levers, result.vanishing, *result.criteria, result.area_a, result.area_b]
    return [*head, *rest, *curve]


def single(ship: ReferenceShip) -> list[Row]:
    """One condition at a time, against `json.loads` of the request that carries it."""
    inline = reference_case.request_bodies(ROUNDS + 1, seed=2)
    by_id = reference_case.request_bodies(ROUNDS + 1, seed=2, vessel=reference_case.NAMED)
    requests = [json.loads(body) for body in by_id]
    conditions = [ship.condition(request["condition"]) for request in requests]
    assessor = Assessor(lambda vessel_id, revision: ship.prepared)
    parse_inline, parse_by_id, plain, core, answer = interleaved(
        [
            lambda turn: json.loads(inline[turn]),
            lambda turn: json.loads(by_id[turn]),
            lambda turn: ship.plain.assess(conditions[turn]),
            lambda turn: assess(ship.prepared.vessel, conditions[turn]),
            lambda turn: as_json(assessor.assessment(requests[turn])),
        ],
        ROUNDS,
    )
    again, prepared = interleaved(
        [
            lambda turn: json.loads(inline[turn]),
            lambda turn: assess(prepare_vessel(ship.document).vessel, conditions[turn]),
        ],
        20,
    )
    return [
        Row("core, one condition / json.loads, vessel inline", parse_inline, core, 0.20),
        Row("core, one condition / plain Python", plain, core, 0.9, MICROSECOND),
        Row("  the same / json.loads, vessel by id", parse_by_id, core, None),
        Row("  with vessel validated and prepared / json.loads, inline", again, prepared, None),
        Row("  answer bytes from parsed request / json.loads, inline", parse_inline, answer, None),
    ]


def loop(ship: ReferenceShip) -> Row:
    """What a line of a batch costs in the core alone: conditions one after another, no two alike, against plain
    Python; a condition at most 140 us, for information."""
    parts = [ship.conditions[i : i + PART] for i in range(0, len(ship.conditions), PART)]
    plain, core = interleaved(
        [
            lambda turn: [ship.plain.assess(condition) for condition in parts[turn % len(parts)]],
            lambda turn: [assess(ship.prepared.vessel, condition) for condition in parts[turn % len(parts)]],
        ],
        40,
    )
    name = "core, a line of a batch (at most 140 us) / plain Python"
    return Row(name, plain / PART, core / PART, None, MICROSECOND)


@contextmanager
def floor_server(ship: ReferenceShip) -> Generator[tuple[int, subprocess.Popen[bytes], str]]:
    """Port and process of a server with the floor routes, and the id it keeps the reference ship under."""
    port = free_port()
    with (
        tempfile.TemporaryDirectory() as folder,
        server_process(["-m", "tests.benchmarks.floor_app", str(port)], port, folder) as process,
    ):
        kept = json.loads(post(port, "/v1/vessels", json.dumps(ship.document).encode()))
        yield port, process, kept["vessel"]


def http(ship: ReferenceShip) -> Iterator[Row]:
    """POST /v1/assessments against the route that only parses, in one server; median and 99th percentile."""
    with floor_server(ship) as (port, server, vessel):
        for shape, named, half in (("inline", None, 1.8), ("by id", {"vessel_id": vessel}, 2.5)):
            for concurrency, blocks, size in ((1, 8, 100), (8, 8, 160)):
                load = _load("requests", port, server.pid, json.dumps(named), concurrency, blocks, size)
                yield from _latencies(f"HTTP, vessel {shape}, {concurrency} at a time", load, half)


def _latencies(where: str, load: dict[str, dict[str, list[float]]], half: float) -> Iterator[Row]:
    """Median and 99th percentile; half: the goal of the median."""
    floor, subject = load["/noop"], load["/v1/assessments"]
    for name, part, goal in (("p50", 50, half), ("p99", 99, 3.0)):
        low, high = (float(np.percentile(path["seconds"], part)) for path in (floor, subject))
        yield Row(f"{where}, {name} / no-op route", low, high, goal)
    low, high = (float(np.median(path["processor"])) for path in (floor, subject))
    yield Row("  processor time of the server per request", low, high, None)


def stream(ship: ReferenceShip, rounds: int) -> Iterator[Row | str]:
    """10,000 conditions as NDJSON against the route that only parses, and how the server's memory grew."""
    floors, subjects, summaries = [], [], []
    with floor_server(ship) as (port, server, vessel):
        to = (port, server.pid, json.dumps({"vessel_id": vessel}))
        for _ in range(2):  # the first one wakes the workers, if there are any
            _stream(*to, "/v1/assessments/batch", WARM_UP_LINES)
            sleep(WAKING_SECONDS)
        processes, before = len(family(server.pid)), peak_memory(server.pid)
        for turn in range(rounds):
            subjects.append(_stream(*to, "/v1/assessments/batch", LINES))
            if turn == 0:
                growth = peak_memory(server.pid) - before
            floors.append(_stream(*to, "/noop/batch", LINES))
            summaries.append(_stream(*to, "/v1/assessments/batch?detail=summary", LINES))
    floor, subject, summary = (np.median(column, axis=0) for column in (floors, subjects, summaries))
    for detail, found, goal in (("full", subject, 3.5), ("summary", summary, 2.2)):
        name = f"NDJSON, 10,000 conditions, {detail} / parse and canned"
        yield Row(name, float(floor[0]), float(found[0]), goal, SECOND)
        yield Row("  processor time of the server", float(floor[1]), float(found[1]), None, SECOND)
    verdict = "met" if growth < MEMORY_GOAL else "MISSED"
    memory = (
        f"server memory, peak after {LINES} lines less peak after {WARM_UP_LINES}: {growth / 2**20:.1f} MiB"
    )
    yield f"{memory} ({processes} processes, {before / 2**20:.0f} MiB before); goal under 64 MiB: {verdict}"


def _stream(port: int, pid: int, vessel: str, path: str, lines: int) -> tuple[float, float]:
    """Seconds by the clock and of the server's processor; every line sent must have come back assessed."""
    result = _load("batch", port, pid, vessel, path, lines)
    assert (result["lines"], result["count"], result["failed"]) == (lines, lines, 0), result
    return result["seconds"], result["processor"]


def _load(*arguments: str | int) -> Any:
    """What the client in its own process measured."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.http_load", *map(str, arguments)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        check=True,
        timeout=120.0,
    )
    return json.loads(done.stdout)


def core(ship: ReferenceShip) -> Iterator[Row | str]:
    """The rows without HTTP, once service and plain Python are found to agree."""
    yield f"plain Python and the service agree to {agree(ship):.1e} on {COMPARED} conditions"
    gc.collect()
    gc.freeze()  # as the service does when it starts
    yield from single(ship)
    yield loop(ship)


PARTS: dict[str, Callable[[ReferenceShip], Iterable[Row | str]]] = {
    "core": core,
    "http": http,
    "stream": lambda ship: stream(ship, 3),
    "start": lambda ship: start_up(5),
}


def measured(parts: Sequence[str]) -> Iterator[Row | str]:
    """Every line of the table, as soon as it is known."""
    ship = ReferenceShip()
    yield HEAD
    for part in parts:
        yield from PARTS[part](ship)


def main() -> None:
    """Measure everything and print the table."""
    began = monotonic()
    print(f"Python {platform.python_version()}, numpy {np.__version__}, {os.cpu_count()} processors")
    print("load average before:", *os.getloadavg())
    for found in measured(sys.argv[1:] or list(PARTS)):
        print(line(*found.columns()) if isinstance(found, Row) else found, flush=True)
    print("load average after:", *os.getloadavg(), f"({monotonic() - began:.0f} s)")


if __name__ == "__main__":
    main()
