"""What the further parts of a condition cost: a voyage, strength, greatest VCG, the working.

    python -m tests.benchmarks.blocks

Each beside its floor of the same run, over HTTP by id; greatest VCG by processor time in this process. Half a minute,
on 127.0.0.1 only. A missed goal is printed; the exit code stays 0.
"""

import json
import os
import tempfile
import time
from collections.abc import Iterator
from statistics import median
from typing import Any

from service.actions.assess import Assessor
from service.demo import read_condition, read_vessel
from service.translation.prepared_vessel import prepare_vessel
from service.translation.vcg_limits import vcg_limits
from tests.benchmarks.comparison import HEAD, MILLISECOND, Row, interleaved, line
from tests.benchmarks.kept_connection import KeptConnection, request_bytes
from tests.benchmarks.server_process import free_port, post, server_process

STAGES, TURNS, FEW = 20, 30, 3
VOYAGE_GOAL, STRENGTH_GOAL, LIMITS_SECONDS, WORKING_BYTES = 15.0, 1.6, 1.0, 200_000
Document = dict[str, Any]


def vessel() -> Document:
    """Halvenmoor with every block she has."""
    document: Document = json.loads(read_vessel("halvenmoor"))
    return document


def aboard() -> Document:
    """Her homogeneous departure."""
    document: Document = json.loads(read_condition("halvenmoor", "departure-homogeneous"))
    return document


def voyage() -> Document:
    """The departure with twenty stages of a day: two points a stage at most, with its start."""
    plan = {
        "kind": "voyage",
        "consumption": [
            {"contents": "fuel_oil", "mass_per_day": 4.0, "order": [["fo-db-5-p", "fo-db-5-s"]], "leave": 2.0}
        ],
        "stages": [{"name": f"Day {day + 1}", "days": 1.0} for day in range(STAGES)],
    }
    return {**aboard(), "plan": plan}


def limits() -> Row:
    """Greatest VCG of 20 drafts by all her rows for intact stability, in this process."""
    ready = prepare_vessel(vessel())
    question = {
        "vessel_id": "her",
        "units": "metric",
        "drafts": [round(2.0 + 0.24 * step, 2) for step in range(20)],
        "water_density": 1.025,
    }
    assessor, body = Assessor(lambda vessel_id, revision: ready), json.dumps(question).encode()
    (took,) = interleaved([lambda turn: assessor.answer_about_vessel(body, vcg_limits)], FEW, 10.0)
    return Row("greatest VCG of 20 drafts, processor time; floor: the limit", LIMITS_SECONDS, took, 1.0)


def over_http() -> Iterator[Row | str]:
    """A voyage, strength and the working, each asked in turn with its floor."""
    port = free_port()
    environment = {**os.environ, "LOADING_ACCESS_LOG": "false"}
    with (
        tempfile.TemporaryDirectory() as folder,
        server_process(["-m", "tests.benchmarks.floor_app", str(port)], port, folder, environment),
    ):
        bare = vessel()
        bare.pop("strength")
        named, without = (
            {"vessel_id": json.loads(post(port, "/v1/vessels", json.dumps(ship).encode()))["vessel"]}
            for ship in (vessel(), bare)
        )

        def asked(path: str, ship: Document, condition: Document) -> bytes:
            return request_bytes("POST", path, json.dumps({**ship, "condition": condition}).encode())

        assessments = "/v1/assessments"
        one, light = (asked(assessments, ship, aboard()) for ship in (named, without))
        rows = (
            (
                f"voyage of {STAGES} stages; floor: one assessment",
                one,
                asked(assessments, named, voyage()),
                VOYAGE_GOAL,
            ),
            ("one assessment with strength; floor: without", light, one, STRENGTH_GOAL),
            (
                "one with its working; floor: without",
                one,
                asked(f"{assessments}?working=true", named, aboard()),
                None,
            ),
        )
        with KeptConnection(port) as connection:
            for name, floor, request, goal in rows:
                floors: list[float] = []
                times: list[float] = []
                for turn in range(TURNS):
                    for each, column in ((floor, floors), (request, times)):
                        began = time.perf_counter()
                        status, body = connection.ask(each)
                        assert status == 200, body[:300]
                        if turn:
                            column.append(time.perf_counter() - began)
                yield Row(name, median(floors), median(times), goal, MILLISECOND)
                if "working" in name:
                    size = len(json.dumps(json.loads(body)["working"], separators=(",", ":")).encode())
                    yield f"size of the working: {size / 1000:.0f} kB, goal {WORKING_BYTES / 1000:.0f} kB"


def main() -> None:
    """Measure everything and print the table."""
    print("load average", *(f"{load:.1f}" for load in os.getloadavg()))
    print(HEAD)
    print(line(*limits().columns()), flush=True)
    for row in over_http():
        print(row if isinstance(row, str) else line(*row.columns()), flush=True)


if __name__ == "__main__":
    main()
