"""A Dask cluster on this machine: a scheduler and worker processes, each started as an installation starts them."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
START_SECONDS = 90.0
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT), "DASK_DISTRIBUTED__LOGGING__DISTRIBUTED": "error"}


@contextmanager
def running_cluster(folder: Path, workers: int = 2) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """Its address and the processes of its workers, one thread each."""
    with ExitStack() as stack:
        note = folder / "scheduler.json"
        here = ("--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", note)
        stack.enter_context(_process(folder, "distributed.cli.dask_scheduler", *here))
        address = _address(note)
        plain = (
            "--nthreads",
            "1",
            "--no-nanny",
            "--no-dashboard",
            "--host",
            "127.0.0.1",
            "--death-timeout",
            "60",
        )
        given = [
            stack.enter_context(_process(folder, "distributed.cli.dask_worker", address, *plain))
            for _ in range(workers)
        ]
        yield address, given


@contextmanager
def _process(folder: Path, module: str, *arguments: object) -> Iterator[subprocess.Popen[bytes]]:
    with (folder / "cluster.log").open("ab") as log:
        command = [sys.executable, "-m", module, *map(str, arguments)]
        process = subprocess.Popen(command, cwd=folder, env=ENVIRONMENT, stdout=log, stderr=log)
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def _address(note: Path) -> str:
    until = time.monotonic() + START_SECONDS
    while time.monotonic() < until:
        try:
            address: str = json.loads(note.read_text())["address"]
        except (OSError, ValueError):
            time.sleep(0.1)
        else:
            return address
    raise AssertionError("the scheduler did not start")
