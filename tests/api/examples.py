"""The requests of `openapi_examples/` and the answers that go with them: assessments, and other questions.

    .venv/bin/python -m tests.api.examples

writes every answer anew from the requests (and the requests that are made from the demonstration ships); look at the
difference before committing it: a number that moved is a new calculation version.
"""

import asyncio
import json
import tempfile
from pathlib import Path
from typing import Any

import httpx

from service.api.description.examples import example_path
from service.app import create_app
from service.demo import condition_names, demo_vessel_ids, read_condition
from service.settings import Settings

FOLDER = Path(__file__).parents[2] / "openapi_examples"
REQUEST, ANSWER, PROBLEM = ".request.json", ".answer.json", ".problem.json"


def names() -> list[str]:
    """Every example, by the common part of its two file names."""
    return sorted(path.name.removesuffix(REQUEST) for path in FOLDER.glob(f"*{REQUEST}"))


def read(name: str, suffix: str) -> Any:
    """One half of an example."""
    return json.loads((FOLDER / f"{name}{suffix}").read_bytes())


def expected(name: str) -> tuple[int, Any]:
    """Status and body that example `name` is answered with."""
    if (FOLDER / f"{name}{ANSWER}").exists():
        return 200, read(name, ANSWER)
    problem = read(name, PROBLEM)
    return problem["status"], problem


def demo_requests() -> dict[str, dict[str, Any]]:
    """A request for every condition of the demonstration ships."""
    return {
        f"{vessel}-{name}": {"vessel_id": vessel, "condition": json.loads(read_condition(vessel, name))}
        for vessel in demo_vessel_ids()
        for name in condition_names(vessel)
    }


async def answers(requests: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """What the service answers to each request: status and body."""
    with tempfile.TemporaryDirectory() as folder:
        return await _answers(requests, f"sqlite:///{folder}/examples.sqlite3")


async def _answers(requests: dict[str, Any], database_url: str) -> dict[str, dict[str, Any]]:
    app = create_app(Settings(access_log=False, database_url=database_url, demo=True))
    transport = httpx.ASGITransport(app)
    found = {}
    async with (
        app.router.lifespan_context(app),
        httpx.AsyncClient(transport=transport, base_url="http://test") as http,
    ):
        for name, request in requests.items():
            response = await http.post(example_path(name), json=request, headers={"X-Request-ID": "example"})
            found[name] = {"status": response.status_code, "body": response.json()}
    return found


def _write() -> None:
    for name, request in demo_requests().items():
        _save(name, REQUEST, request)
    for name, answer in asyncio.run(answers({name: read(name, REQUEST) for name in names()})).items():
        kept, other = (ANSWER, PROBLEM) if answer["status"] == 200 else (PROBLEM, ANSWER)
        _save(name, kept, answer["body"])
        (FOLDER / f"{name}{other}").unlink(missing_ok=True)


def _save(name: str, suffix: str, document: Any) -> None:
    text = json.dumps(document, indent=1, ensure_ascii=False) + "\n"
    (FOLDER / f"{name}{suffix}").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    _write()
