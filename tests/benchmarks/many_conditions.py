"""Many conditions by one process, by the worker pool and on a Dask cluster of two workers, in turn in one run.

    .venv/bin/python -m tests.benchmarks.many_conditions [CONDITIONS]

Loopback only; ends by itself. Not a test: a missed goal is printed, and the exit code stays 0. The first block, in
which processes start, counts for nobody.
"""

import gc
import json
import os
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from service.actions.assess import Assessor
from service.actions.demo_vessel import find_demo_vessel
from service.running.many_conditions import CONDITIONS_OF_A_TASK, Requests, results_in_order
from tests.benchmarks import reference_case
from tests.cli.dask_cluster import running_cluster

BLOCKS = 2
"""Few and long ones: worker processes start anew in each."""
POOL_GOAL, DASK_GOAL = 1.6, 0.8


def main(conditions: int) -> None:
    """Measure and print."""
    vessel = reference_case.vessel_document()
    around = b'{"vessel":' + json.dumps(vessel).encode() + b","
    lines = [
        json.dumps(document).encode() for document in reference_case.conditions(vessel, CONDITIONS_OF_A_TASK)
    ]
    tasks = max(4, conditions // BLOCKS // CONDITIONS_OF_A_TASK)
    seconds = dict.fromkeys(("one process", "two workers", "Dask"), 0.0)
    with tempfile.TemporaryDirectory() as folder, running_cluster(Path(folder)) as (address, _):
        ways = {
            "one process": {"processes": 1},
            "two workers": {"processes": 2},
            "Dask": {"processes": 1, "scheduler": address},
        }
        for block in range(BLOCKS + 1):
            for name, way in ways.items():
                gc.collect()
                took = _seconds(lines, around, tasks if block else 4, way)
                seconds[name] += took if block else 0.0
    count = BLOCKS * tasks * CONDITIONS_OF_A_TASK
    print(f"{count:,} conditions each, load {os.getloadavg()[0]:.1f}")
    for name, took in seconds.items():
        print(f"  {name:12} {count / took:7,.0f} conditions a second, after the first answers")
    one, pool, dask = seconds.values()
    for words, ratio, goal in (
        ("two workers / one process", one / pool, POOL_GOAL),
        ("Dask / two workers", pool / dask, DASK_GOAL),
    ):
        print(f"  {words:26} {ratio:.2f}, goal {goal}, {'met' if ratio >= goal else 'missed'}")


def _seconds(lines: list[bytes], around: bytes, tasks: int, way: dict[str, object]) -> float:
    """From the third task's results on: where processes start, they are there by then."""

    def all_tasks() -> Iterator[Requests]:
        for _ in range(tasks + 2):
            yield Requests(lines, around, "summary")

    results = results_in_order(all_tasks(), Assessor(find_demo_vessel), **way)  # type: ignore[arg-type]
    began, done = 0.0, 0
    for number, (_, answers) in enumerate(results):
        assert all(isinstance(answer, bytes) for answer in answers)
        if number == 1:
            began = time.perf_counter()
        done += number > 1
    return (time.perf_counter() - began) * tasks / done


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
