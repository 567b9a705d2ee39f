"""`check` of many conditions, and `recheck`: worker processes, a Dask cluster and a run that was stopped all give the
same lines."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner

from service.cli.main import app
from service.demo import condition_names, read_condition
from tests.api.office import condition_document, running_office, vessel_document
from tests.cli.dask_cluster import ENVIRONMENT, ROOT, running_cluster

CONDITIONS = 900


def _check(*arguments: str | Path, processes: int = 2, out: int = subprocess.PIPE) -> subprocess.Popen[bytes]:
    return _run("check", *arguments, processes=processes, out=out)


def _run(
    name: str, *arguments: str | Path, processes: int = 2, out: int = subprocess.PIPE
) -> subprocess.Popen[bytes]:
    environment = {**ENVIRONMENT, "LOADING_WORKER_PROCESSES": str(processes)}
    command = [sys.executable, "-m", "service", name, *map(str, arguments)]
    # unbuffered: a line may be read before all the rest is
    return subprocess.Popen(command, 0, cwd=ROOT, env=environment, stdout=out, stderr=subprocess.PIPE)


def _output(process: subprocess.Popen[bytes]) -> tuple[int, bytes, bytes]:
    out, told = process.communicate(timeout=110)
    return process.returncode, out, told


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Conditions of both demonstration ships and lines that are refused, each another one."""
    ships = ("halvenmoor", "ostrel")
    documents = [
        (ship, json.loads(read_condition(ship, name))) for ship in ships for name in condition_names(ship)
    ]
    lines = []
    for number in range(CONDITIONS):
        ship, document = documents[number % len(documents)]
        document = {name: value for name, value in document.items() if name != "plan"}
        lines.append(json.dumps({"vessel_id": ship, "condition": {**document, "title": f"Case {number}"}}))
    lines[700] = '{"vessel_id": "halvenmoor"'
    lines[701] = json.dumps({"vessel_id": "none-such", "condition": documents[0][1]})
    file = tmp_path_factory.mktemp("many") / "conditions.ndjson"
    file.write_text("\n".join(lines) + "\n")
    return file


@pytest.fixture(scope="module")
def by_pool(many: Path) -> tuple[int, bytes, bytes]:
    return _output(_check(many, "--json"))


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    pytest.importorskip("distributed")
    with running_cluster(tmp_path_factory.mktemp("cluster")) as running:
        yield running


def test_the_pool_answers_every_line_once_in_order(many: Path, by_pool: tuple[int, bytes, bytes]) -> None:
    code, out, told = by_pool
    assert (code, told) == (3, b"")
    rows = [json.loads(line) for line in out.splitlines()]
    assert [row["source"] for row in rows] == [f"{many}:{number + 1}" for number in range(CONDITIONS)]
    assert [row[kind]["line"] for row in rows for kind in row if kind != "source"] == [
        number + 1 for number in range(CONDITIONS)
    ]
    refused = [number for number, row in enumerate(rows) if "problem" in row]
    assert refused == [700, 701]
    titles = [row["assessment"]["title"] for row in rows if "assessment" in row]
    assert titles == [f"Case {number}" for number in range(CONDITIONS) if number not in refused]


def test_a_stopped_run_goes_on_where_it_was(
    many: Path, by_pool: tuple[int, bytes, bytes], tmp_path: Path
) -> None:
    """Killed without warning; the last line of its file is cut off besides, as by a full disk."""
    answers = tmp_path / "answers.ndjson"
    first = _check(many, "--json", "--resume", answers, processes=1, out=subprocess.DEVNULL)
    try:
        until = time.monotonic() + 60
        while not answers.exists() or answers.stat().st_size < 500_000:
            assert time.monotonic() < until
            assert first.poll() is None
            time.sleep(0.01)
    finally:
        first.kill()
        first.communicate()
    kept = answers.read_bytes()[:-100]
    answers.write_bytes(kept)
    assert 3 < kept.count(b"\n") < CONDITIONS
    assert _output(_check(many, "--json", "--resume", answers)) == by_pool
    assert answers.read_bytes().startswith(kept[: kept.rindex(b"\n")])
    assert answers.read_bytes().count(b"\n") == CONDITIONS + 1
    code, _, told = _output(_check(many, "--resume", answers))
    assert code == 3
    assert b"remove it, or name another one" in told  # those are whole answers, these would be summaries


def test_junit_counts_verdicts(tmp_path: Path) -> None:
    """Elements and attributes of the JUnit task of Apache Ant (value from memory)."""
    names = ("departure-homogeneous", "timber-loll")
    lines = [f'{{"vessel_id":"halvenmoor","condition":{_compact(name)}}}' for name in names]
    file, report = tmp_path / "few.ndjson", tmp_path / "report.xml"
    file.write_text("\n".join([*lines, "{"]))
    assert _output(_check(file, tmp_path / "absent.json", "--junit", report))[0] == 3
    suite = ElementTree.parse(report).getroot()
    assert suite.tag == "testsuite"
    assert [suite.get(name) for name in ("tests", "failures", "errors")] == ["4", "1", "2"]
    cases = list(suite)
    assert [[child.tag for child in case] for case in cases] == [[], ["failure"], ["error"], ["error"]]
    assert cases[1][0].get("type") == "fail"
    assert cases[0].get("classname") == f"{file}:1"


def _compact(name: str) -> str:
    return json.dumps(json.loads(read_condition("halvenmoor", name)))


@pytest.mark.long
def test_a_cluster_gives_the_same_bytes_also_when_it_loses_a_worker(
    many: Path,
    by_pool: tuple[int, bytes, bytes],
    cluster: tuple[str, list[subprocess.Popen[bytes]]],
    tmp_path: Path,
) -> None:
    """One of two workers is killed after the first answers came from the cluster."""
    address, workers = cluster
    answers = tmp_path / "answers.ndjson"
    run = _check(many, "--json", "--scheduler", address, "--resume", answers)
    assert run.stdout is not None
    first = run.stdout.readline()
    os.kill(workers[0].pid, signal.SIGKILL)
    code, rest, told = _output(run)
    assert (code, first + rest) == by_pool[:2]
    assert b"Traceback" not in told
    assert answers.read_bytes().count(b"\n") == CONDITIONS + 1


def test_a_cluster_judges_an_archive_again_as_this_machine_does(
    cluster: tuple[str, list[subprocess.Popen[bytes]]], tmp_path: Path
) -> None:
    """The long run of `recheck` on a cluster is `python -m tests.endurance recheck`."""
    url = f"sqlite:///{tmp_path}/records.db"
    with running_office(url) as office:
        for ship, condition in (("halvenmoor", "ballast-departure"), ("ostrel", "ballast-transit")):
            vessel = office.enter_vessel(vessel_document(ship))
            office.enter_condition(vessel, condition_document(condition, ship))
    archive = ("--database", url, "--rule-set", "is-code-2008-b-2.4", "--json")
    here = CliRunner().invoke(app, ["recheck", *archive], env={"LOADING_WORKER_PROCESSES": "1"})
    junit = tmp_path / "report.xml"
    there = _output(_run("recheck", *archive, "--scheduler", cluster[0], "--junit", junit))
    assert there == (here.exit_code, here.stdout.encode(), b"")
    assert (here.exit_code, here.stderr, here.stdout.count("\n")) == (1, "", 2)
    assert ElementTree.parse(junit).getroot().get("tests") == "2"


@pytest.mark.long
def test_what_cannot_be_reached_is_told(many: Path, tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    report = tmp_path / "report.xml"
    code, _, told = _output(_check(many, "--scheduler", "tcp://127.0.0.1:9", "--junit", report))
    assert code == 3
    assert b"No Dask scheduler answers at tcp://127.0.0.1:9" in told
    assert b"Traceback" not in told
    assert ElementTree.parse(report).getroot().get("errors") == "1"
    assert _output(_check(many, "--url", "http://127.0.0.1:9", "--resume", tmp_path / "a"))[0] == 3
