"""Both wheels, built and installed from the package index as a user does it: an empty environment for each.

The service with every extra, which sets a report and computes a remedy; the client with what it
requires and nothing else. Needs the network; some minutes.
"""

import json
import signal
import subprocess
import tempfile
import venv
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import httpx

from tests.api.office import condition_document, vessel_document
from tests.client.test_distribution import PROGRAM
from tests.endurance.server import free_port
from tests.installed.empty_environment import ROOT, environment_of

EXTRAS = "dask,oidc,otel,remedies"
SHIP = "wheel-ship"
SECONDS = 600


def run() -> dict[str, object]:
    """Build, install, serve, call; how many packages each environment holds."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        service = _installed(folder / "service", _wheel(ROOT, folder / "wheels"), f"[{EXTRAS}]")
        client = _installed(folder / "client", _wheel(ROOT / "service/client", folder / "client-wheel"), "")
        with _serving(folder / "service") as (address, key):
            told = _called(folder / "client", address, key)
            _ask(address, key)
        return {"service packages": service, "client packages": client, "answered": told}


def _wheel(source: Path, into: Path) -> Path:
    """The wheel that pip builds, its build requirements fetched."""
    venv.create(into / "venv", with_pip=True)
    _done([into / "venv/bin/pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", into, source], into)
    [wheel] = into.glob("*.whl")
    return wheel


def _installed(folder: Path, wheel: Path, extras: str) -> int:
    """How many packages an empty environment holds once the wheel is in it."""
    venv.create(folder, with_pip=True)
    pip = folder / "bin/pip"
    _done([pip, "install", "--quiet", f"{wheel}{extras}"], folder)
    _done([pip, "check"], folder)
    return len(json.loads(_done([pip, "list", "--disable-pip-version-check", "--format", "json"], folder)))


@contextmanager
def _serving(folder: Path) -> Iterator[tuple[str, str]]:
    """The installed service: its address and an administrator's key."""
    port = free_port()
    database = {"LOADING_DATABASE_URL": f"sqlite:///{folder}/records.db"}
    program = folder / "bin/loading-conditions"
    key = _done([program, "keys", "add", "Head", "--role", "administrator"], folder, **database)
    command = [program, "serve", "--port", str(port)]
    process = subprocess.Popen(command, cwd=folder, env=environment_of(**database), stderr=subprocess.PIPE)
    try:
        transport = httpx.HTTPTransport(retries=9)  # 0.5 s to the second, doubled each time
        with httpx.Client(transport=transport, timeout=60, trust_env=False) as http:
            http.get(f"http://127.0.0.1:{port}/readyz").raise_for_status()
        yield f"http://127.0.0.1:{port}", key.strip()
        process.send_signal(signal.SIGTERM)
        _, told = process.communicate(timeout=60)
        assert b"Traceback" not in told, told
        assert process.returncode in (0, -signal.SIGTERM)  # uvicorn ends by the signal it was sent
    finally:
        process.kill()


def _ask(address: str, key: str) -> None:
    """A page, a report, a workbook and a remedy, whose solver is an extra."""
    with httpx.Client(
        base_url=address, timeout=120, trust_env=False, headers={"Authorization": f"Bearer {key}"}
    ) as http:
        (line, *_) = http.get(f"/v1/vessels/{SHIP}/conditions").raise_for_status().json()["items"]
        report = http.get(f"/v1/conditions/{line['id']}/revisions/1/report").raise_for_status()
        assert report.content.startswith(b"%PDF")
        assert http.get(f"/v1/vessels/{SHIP}/workbook").raise_for_status().content.startswith(b"PK")
        target = {"quantity": "gm_corrected", "at_least": 0.2}
        asked = {"vessel_id": SHIP, "condition": condition_document(), "mode": "shift"}
        remedy = http.post("/v1/remedies", json={**asked, "targets": [target]})
        assert remedy.status_code == 200, remedy.text


def _called(folder: Path, address: str, key: str) -> str:
    """The program of the client's test, on a service without records: the first verdict it was answered."""
    (folder / "program.py").write_text(PROGRAM)
    given = json.dumps({"vessel": vessel_document() | {"id": SHIP}, "condition": condition_document()})
    command = [folder / "bin/python", "program.py", address, key]
    told = json.loads(_done(command, folder, given))
    verdict: str = told[1]
    assert told[0] == 3
    assert not {"service", "numpy", "fastapi"} & {name.split(".")[0] for name in told[-1]}
    return verdict


def _done(command: Sequence[object], folder: Path, given: str = "", **variables: str) -> str:
    """What a program wrote. Raises AssertionError with its words where it failed."""

    done = subprocess.run(
        list(map(str, command)),
        cwd=folder,
        input=given,
        env=environment_of(**variables),
        capture_output=True,
        text=True,
        timeout=SECONDS,
        check=False,
    )
    told = (done.stdout + done.stderr)[-3000:]
    assert done.returncode == 0, f"{' '.join(map(str, command[:4]))}: {told}"
    return done.stdout
