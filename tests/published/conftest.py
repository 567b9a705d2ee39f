"""The real application, started once, and a way to post an example to it."""

import asyncio
from collections.abc import Callable, Iterator

import httpx
import pytest

from service.app import create_app
from service.settings import Settings
from tests.published.booklet import Document


@pytest.fixture(scope="session")
def _calls() -> Iterator[Callable[..., httpx.Response]]:
    """Requests to the application (nothing kept, assessments only), its lifespan run, on one event loop."""
    app = create_app(Settings(access_log=False, database_url=""))
    lifespan = app.router.lifespan_context(app)
    with asyncio.Runner() as runner:
        runner.run(lifespan.__aenter__())
        client = httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://127.0.0.1")
        yield lambda *args, **more: runner.run(client.request(*args, **more))
        runner.run(client.aclose())
        runner.run(lifespan.__aexit__(None, None, None))


@pytest.fixture(scope="session")
def assess(_calls: Callable[..., httpx.Response]) -> Callable[..., Document]:
    """Post a vessel and a condition to /v1/assessments; the answer, which must be a 200."""

    def post(document: Document, units: str | None = None) -> Document:
        query = {} if units is None else {"units": units}
        answer = _calls("POST", "/v1/assessments", json=document, params=query)
        assert answer.status_code == 200, answer.text
        return answer.json()

    return post


@pytest.fixture(scope="session")
def rule_set(_calls: Callable[..., httpx.Response]) -> Callable[[str], Document]:
    """A rule set as /v1/rule-sets shows it, by its public name."""

    def get(name: str) -> Document:
        answer = _calls("GET", f"/v1/rule-sets/{name}")
        assert answer.status_code == 200, answer.text
        return answer.json()

    return get
