"""Ten thousand requests made by chance, of every operation and page: none is a server error."""

import random
from pathlib import Path

import pytest

from tests.api.in_process import in_process
from tests.api.mutated_requests import requests, seeds
from tests.api.office import settings_for

COUNT, PARTS = 10_000, 4


def ask_many(database: str, count: int, seed: int) -> dict[int, int]:
    """How often each status was answered. Raises AssertionError with the first request that met a server error."""
    counts: dict[int, int] = {}
    settings = settings_for(database, demo=True, worker_processes=0)
    with in_process(settings) as app:
        made = requests(seeds(app, database), random.Random(seed))
        for number in range(count):
            request = next(made)
            answer = app.ask(*request)
            assert answer.status < 500, (number, request, answer.status, answer.body[:500])
            counts[answer.status] = counts.get(answer.status, 0) + 1
    return counts


@pytest.mark.timeout(600)
@pytest.mark.parametrize("seed", range(PARTS))
def test_no_server_error_in_ten_thousand_requests(tmp_path: Path, seed: int) -> None:
    counts = ask_many(f"sqlite:///{tmp_path}/records.db", COUNT // PARTS, seed)
    assert sum(counts.values()) == COUNT // PARTS
    # they are no empty exercise: requests are answered, kept and refused in every way
    assert {200, 400, 401, 404, 405, 415, 422, 428} <= counts.keys()
    assert {201, 204} & counts.keys()
