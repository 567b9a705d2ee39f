"""The routes that the benchmarks compare the service with answer every line: a floor that fails is no floor."""

import json
from pathlib import Path

from service.settings import Settings
from tests.api.in_process import in_process
from tests.benchmarks.floor_app import create_floor_app
from tests.benchmarks.reference_case import NAMED, request_bodies


def test_the_floors_answer(tmp_path: Path) -> None:
    body = request_bodies(1, seed=1, vessel=NAMED)[0]
    settings = Settings(database_url=f"sqlite:///{tmp_path}/records.db", worker_processes=0)
    with in_process(settings, create_floor_app) as http:
        one = http.ask("POST", "/noop", body)
        answer = http.ask("POST", "/noop/batch", b"\n".join([body] * 3))
    assert one.status == answer.status == 200
    *lines, end = map(json.loads, answer.body.splitlines())
    assert end == {"type": "end", "count": 3, "failed": 0, "complete": True}
    assert lines == [{**json.loads(one.body), "line": n} for n in (1, 2, 3)]
