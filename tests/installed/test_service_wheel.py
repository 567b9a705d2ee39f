"""The service from its wheel, away from the source tree: pages, migrations, examples and ships come along."""

import re
import signal
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from service.api.workbook_exchange import XLSX
from service.app import SERVICE_VERSION
from service.demo import demo_vessel_ids
from tests.endurance.server import free_port
from tests.installed.empty_environment import ROOT, Environment, built_wheel, environment_of

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> Environment:
    """The wheel and what it requires, nothing else."""
    folder = tmp_path_factory.mktemp("installed")
    there = Environment(folder / "venv")
    there.install(built_wheel(ROOT, folder))
    there.share(*PROJECT["dependencies"])
    return there


@pytest.fixture(scope="module")
def http(there: Environment) -> Iterator[httpx.Client]:
    """The installed service, serving the demonstration ships."""
    port = free_port()
    command = [str(there.folder / "bin" / "loading-conditions"), "serve", "--demo", "--port", str(port)]
    variables = environment_of(LOADING_DATABASE_URL=f"sqlite:///{there.folder}/records.db")
    process = subprocess.Popen(command, cwd=there.folder, env=variables, stderr=subprocess.PIPE)
    transport = httpx.HTTPTransport(retries=8)  # 0.5 s to the second, doubled each time
    try:
        with httpx.Client(
            base_url=f"http://127.0.0.1:{port}", transport=transport, timeout=60, trust_env=False
        ) as http:
            yield http
        process.send_signal(signal.SIGTERM)
        _, told = process.communicate(timeout=40)
        assert b"Traceback" not in told
    finally:
        process.kill()


def test_it_is_not_the_source_tree(there: Environment) -> None:
    found = there.run(
        "-c", "import service, sys; print(service.__file__); print([p for p in sys.path if 'pytest' in p])"
    )
    assert str(there.folder) in found.stdout.splitlines()[0], found.stderr
    assert PROJECT["version"] == SERVICE_VERSION
    assert f"loading_conditions-{SERVICE_VERSION}.dist-info" in {
        path.name for path in Path(found.stdout.splitlines()[0]).parents[1].iterdir()
    }


def test_it_serves_everything_it_serves_from_the_source_tree(http: httpx.Client) -> None:
    assert http.get("/readyz").json() == {"status": "ok"}
    assert {line["id"] for line in http.get("/v1/vessels").json()["items"]} == set(demo_vessel_ids())
    (condition, *_) = http.get("/v1/vessels/halvenmoor/conditions").json()["items"]
    page = http.get(f"/conditions/{condition['id']}")
    assert page.status_code == 200
    for address in re.findall(r'(?:href|src)="(/static/[^"]+)"', page.text):
        assert http.get(address).status_code == 200, address
    report = http.get(f"/conditions/{condition['id']}/revisions/1/report.pdf")
    assert report.content.startswith(b"%PDF")
    book = http.get("/v1/vessels/halvenmoor/workbook").content
    read = http.post(
        "/v1/vessels/workbook?dry_run=true", content=book, headers={"Content-Type": XLSX}
    )  # opened in a child process of the installed service
    assert read.json()["problems"] == []
    examples = http.get("/openapi.json").json()["paths"]["/v1/assessments"]["post"]["requestBody"]["content"]
    assert "box-barge" in examples["application/json"]["examples"]
