"""A service that keeps nothing answers every question that needs no records."""

import json

import pytest

from service.settings import Settings
from tests.api.in_process import in_process
from tests.published.box_vessel import vessel

STATELESS = (
    "/v1/assessments",
    "/v1/sensitivities",
    "/v1/remedies",
    "/v1/uncertainty",
    "/v1/vcg-limits",
    "/v1/inclining-tests",
)


@pytest.fixture(scope="module")
def service():
    with in_process(Settings(access_log=False, database_url="", worker_processes=0)) as app:
        yield app


@pytest.mark.parametrize("path", STATELESS)
def test_is_there(service, path):
    """Not found would be 404; what the question lacks is told with its places."""
    body = json.dumps({"vessel": vessel()}).encode()
    answer = service.ask("POST", path, body, [(b"content-type", b"application/json")])
    assert answer.status == 422
    assert json.loads(answer.body)["errors"]


def test_records_are_not(service):
    assert service.ask("GET", "/v1/conditions").status == 404
