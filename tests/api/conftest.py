"""The service as its users meet it: a real server on a free port of this machine."""

import json
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest

from service.app import create_app
from service.cli.local_server import local_server
from service.demo import read_condition, read_vessel
from service.settings import Settings
from tests.api.office import Office, running_office
from tests.postgres import database_url, migrated_url, postgres_server  # noqa: F401

VESSEL = "halvenmoor"


@pytest.fixture(scope="session")
def url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    database = tmp_path_factory.mktemp("records") / "records.db"
    settings = Settings(access_log=False, database_url=f"sqlite:///{database}", demo=True)
    with local_server(create_app(settings)) as address:
        yield address


@pytest.fixture(scope="session")
def http(url: str) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=url, timeout=30, trust_env=False) as client:
        yield client


@pytest.fixture
def vessel() -> dict[str, Any]:
    document: dict[str, Any] = json.loads(read_vessel(VESSEL))
    return document


@pytest.fixture
def condition() -> dict[str, Any]:
    document: dict[str, Any] = json.loads(read_condition(VESSEL, "departure-homogeneous"))
    return document


@pytest.fixture
def request_document(condition: dict[str, Any]) -> dict[str, Any]:
    return {"vessel_id": VESSEL, "condition": condition}


@pytest.fixture(scope="session")
def post(http: httpx.Client) -> Callable[..., httpx.Response]:
    """Post text or a document to `/v1/assessments`."""

    def send(body: Any, **parameters: str) -> httpx.Response:
        text = body if isinstance(body, bytes) else json.dumps(body).encode()
        return http.post(
            "/v1/assessments", content=text, params=parameters, headers={"Content-Type": "application/json"}
        )

    return send


@pytest.fixture
def office(migrated_url: str) -> Iterator[Office]:  # noqa: F811
    """A service with nothing kept yet, on each engine."""
    with running_office(migrated_url) as running:
        yield running
