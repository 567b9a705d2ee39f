"""`recheck` of an archive by worker processes and on a Dask cluster of two processes: the same bytes.

A worker is killed in the middle, the command itself is killed later and goes on from its file; every revision is
judged once. Runs where the extra `dask` is installed.
"""

import json
import os
import pty
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import httpx

from service.demo import condition_names, read_condition, read_vessel
from tests.cli.dask_cluster import ENVIRONMENT, ROOT, running_cluster
from tests.endurance.server import ServerProcess

SHIPS = ("halvenmoor", "ostrel")
SECONDS = 3600
PROGRESS = re.compile(rb"([\d,]+) conditions, ([\d,]+) a second.*?(\d+:\d\d:\d\d)", re.DOTALL)


def run(database: str, conditions: int) -> dict[str, object]:
    """Judge so many conditions again; seconds by each way. Raises AssertionError where one differs."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _fill(database, conditions)
        asked = ("--database", database, "--latest-data", "--all-revisions", "--json")
        began = time.monotonic()
        by_pool = _output(_recheck(*asked))
        pool_seconds = time.monotonic() - began
        assert by_pool[0] == 1, by_pool[2]
        with running_cluster(folder) as (address, workers):
            there = (*asked, "--scheduler", address)
            began = time.monotonic()
            assert _output(_recheck(*there)) == by_pool
            cluster_seconds = time.monotonic() - began
            _lose_a_worker(there, folder, workers[0], by_pool, conditions)
            _interrupt(there, folder, by_pool, conditions)
            _look(there)
    return {
        "conditions": conditions,
        "moved": by_pool[1].count(b"\n"),
        "seconds_by_pool": round(pool_seconds, 1),
        "seconds_by_cluster": round(cluster_seconds, 1),
    }


def _fill(database: str, conditions: int) -> None:
    """An archive of both ships in equal parts; one has a higher lightship today."""
    with (
        ServerProcess(database) as server,
        httpx.Client(base_url=server.address, timeout=SECONDS, trust_env=False) as http,
    ):
        for number, ship in enumerate(SHIPS):
            document = json.loads(read_vessel(ship))
            http.post("/v1/vessels", json={**document, "id": ship}).raise_for_status()
            share = range(number, conditions, len(SHIPS))
            body = b"".join(json.dumps(line).encode() + b"\n" for line in _conditions(ship, share))
            address = f"/v1/vessels/{ship}/conditions/bulk"
            answer = http.post(address, content=body, headers={"Content-Type": "application/x-ndjson"})
            end = json.loads(answer.raise_for_status().content.splitlines()[-1])
            assert (end["count"], end["failed"]) == (len(share), 0), end
        document["lightship"]["vcg"] += 0.4
        tag = http.get(f"/v1/vessels/{ship}").headers["ETag"]
        http.put(
            f"/v1/vessels/{ship}", json={**document, "id": ship}, headers={"If-Match": tag}
        ).raise_for_status()


def _conditions(ship: str, numbers: range) -> Iterator[dict[str, Any]]:
    known = [json.loads(read_condition(ship, name)) for name in condition_names(ship)]
    known = [each for each in known if "plan" not in each]
    for number in numbers:
        condition = dict(known[number % len(known)])
        yield {**condition, "title": f"Case {number}", "reference": f"{ship}-{number}"}


def _recheck(
    *arguments: object, out: int = subprocess.PIPE, error: int = subprocess.PIPE
) -> subprocess.Popen[bytes]:
    environment = {**ENVIRONMENT, "LOADING_WORKER_PROCESSES": "2", "COLUMNS": "160"}
    command = [sys.executable, "-m", "service", "recheck", *map(str, arguments)]
    return subprocess.Popen(command, cwd=ROOT, env=environment, stdout=out, stderr=error)


def _output(process: subprocess.Popen[bytes]) -> tuple[int, bytes, bytes]:
    out, told = process.communicate(timeout=SECONDS)
    return process.returncode, out, told


def _wait_for(file: Path, lines: int, process: subprocess.Popen[bytes]) -> None:
    """Until so many reports are in the file."""
    until = time.monotonic() + SECONDS
    while not file.exists() or file.read_bytes().count(b"\n") <= lines:
        assert time.monotonic() < until
        assert process.poll() is None, "the run was over before"
        time.sleep(0.05)


def _lose_a_worker(
    there: tuple[str, ...],
    folder: Path,
    worker: subprocess.Popen[bytes],
    by_pool: tuple[int, bytes, bytes],
    conditions: int,
) -> None:
    resume, junit = folder / "lost-worker", folder / "report.xml"
    process = _recheck(*there, "--resume", resume, "--junit", junit)
    _wait_for(resume, conditions // 5, process)
    os.kill(worker.pid, signal.SIGKILL)
    code, out, told = _output(process)
    assert (code, out) == by_pool[:2]
    assert b"Traceback" not in told, told
    assert _judged(resume) == conditions
    suite = ElementTree.parse(junit).getroot()
    assert suite.get("tests") == str(conditions)
    assert suite.get("errors") == "0"


def _interrupt(
    there: tuple[str, ...], folder: Path, by_pool: tuple[int, bytes, bytes], conditions: int
) -> None:
    """Killed in the middle; the same command goes on, and what was there stays."""
    resume = folder / "interrupted"
    process = _recheck(*there, "--resume", resume)
    _wait_for(resume, conditions // 3, process)
    process.kill()
    process.communicate()
    before = resume.read_bytes()
    again = _output(_recheck(*there, "--resume", resume))
    assert again[:2] == by_pool[:2]
    after = resume.read_bytes()
    assert after.startswith(before[: before.rindex(b"\n")])
    assert _judged(resume) == conditions


def _judged(resume: Path) -> int:
    """How many reports a file holds, each of another revision."""
    requests = [json.loads(line)["request"] for line in resume.read_bytes().splitlines()[1:]]
    assert len(set(requests)) == len(requests)
    return len(requests)


def _look(there: tuple[str, ...]) -> None:
    """Somebody who looks sees how many are done, the rate and the time that is left."""
    ours, theirs = pty.openpty()
    process = _recheck(*there, out=subprocess.DEVNULL, error=theirs)
    os.close(theirs)
    shown = b""
    try:
        while block := _read(ours):
            shown += block
    finally:
        os.close(ours)
    assert _output(process)[0] == 1
    assert any(int(found[1].replace(b",", b"")) > 0 for found in PROGRESS.finditer(shown)), shown[-2000:]


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 65536)
    except OSError:  # the other end is closed
        return b""


def why_not() -> str | None:
    """What is missing to do this; None where nothing is."""
    return None if find_spec("distributed") else "needs the extra `dask` of this package"
