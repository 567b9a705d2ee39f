"""What the image runs, run natively: the Dockerfile is read, its files are laid out in an empty folder, and its entry
point and health check are called as it says. No container engine is needed; that the image builds is not shown here.
"""

import ast
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.actions.records.lifecycle import visited_records
from tests.endurance.server import free_port
from tests.postgres import Server

ROOT = Path(__file__).parents[2]
STEPS = [
    (step.partition(" ")[0], step.partition(" ")[2])
    for step in re.sub(r"\\\n\s*", "", (ROOT / "docker/Dockerfile").read_text("utf-8")).splitlines()
    if step and not step.startswith("#")
]


def _one(name: str) -> str:
    [found] = [rest for step, rest in STEPS if step == name]
    return found


def _command(text: str) -> list[str]:
    """The list of an ENTRYPOINT, CMD or HEALTHCHECK, with this interpreter in the place of `python`."""
    words: list[str] = ast.literal_eval(text[text.index("[") :])
    return [sys.executable if word == "python" else word for word in words]


@pytest.fixture
def image(tmp_path: Path) -> Path:
    """The files of the image, as its COPY lines bring them."""
    ignored = (ROOT / ".dockerignore").read_text("utf-8").splitlines()
    for step, rest in STEPS:
        if step == "COPY" and not rest.endswith("/tmp/requirements.lock"):
            source, target = rest.split()
            assert f"!{source}" in ignored
            shutil.copytree(ROOT / source, tmp_path / target, ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path


def _environment(port: int, database: str) -> dict[str, str]:
    """Variables of the image, with another port and database, and on loopback."""
    given = dict(re.findall(r"(\w+)=(\S+)", _one("ENV")))
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    own = {
        "LOADING_HOST": "127.0.0.1",
        "LOADING_PORT": str(port),
        "LOADING_DATABASE_URL": database,
        "LOADING_KEY_PEPPER": "p",
    }
    return {**kept, **given, **own}


def test_the_image_runs_as_nobody_special_and_installs_by_hash() -> None:
    names = [step for step, _ in STEPS]
    assert names.index("USER") < names.index("ENTRYPOINT")
    assert _one("USER") not in ("root", "0")
    assert "--require-hashes" in _one("RUN")
    assert "ADD" not in names
    assert all(re.search(r"--hash=sha256:", block) for block in _locked())
    assert not re.search(r"(?i)password|secret|pepper|token", _one("ENV"))


def _locked() -> Iterator[str]:
    text = (ROOT / "service/requirements.lock").read_text("utf-8")
    yield from re.findall(r"^\S+==.*?(?=^\S|\Z)", text, re.MULTILINE | re.DOTALL)


@pytest.mark.parametrize("engine", ["sqlite", pytest.param("postgresql", marks=pytest.mark.long)])
def test_entry_point_health_check_and_stop(image: Path, engine: str, request: pytest.FixtureRequest) -> None:
    database, port = f"sqlite:///{image}/records.db", free_port()
    if engine == "postgresql":
        server: Server = request.getfixturevalue("postgres_server")
        database = server.create()
    environment = _environment(port, database)
    entry = _command(_one("ENTRYPOINT"))
    beyond = {**environment, "LOADING_HOST": "0.0.0.0"}
    refused = subprocess.run(
        [*entry, *_command(_one("CMD"))], cwd=image, env=beyond, capture_output=True, timeout=60, check=False
    )
    assert refused.returncode == 2
    assert b"there is no key yet" in refused.stderr
    made = subprocess.run(
        [*entry, "keys", "add", "Head of office", "--role", "administrator"],
        cwd=image, env=environment, capture_output=True, timeout=60, check=True,
    )  # fmt: skip
    assert made.stdout.startswith(b"lc_")
    process = subprocess.Popen(
        [*entry, *_command(_one("CMD"))], cwd=image, env=environment, stderr=subprocess.PIPE
    )
    try:
        assert _healthy(image, environment, wanted=True)
        process.send_signal(getattr(signal, _one("STOPSIGNAL")))
        _, told = process.communicate(timeout=30)
    finally:
        process.kill()
        process.wait()
    assert b"Traceback" not in told
    assert _healthy(image, environment, wanted=False)
    with visited_records(database) as records, records.reading() as tx:
        assert [key.role for key in tx.keys.list()] == ["administrator"]


def _healthy(image: Path, environment: dict[str, str], *, wanted: bool) -> bool:
    """Whether the health check comes to say so."""
    check = _command(_one("HEALTHCHECK").partition("CMD ")[2])
    until = time.monotonic() + 60
    while time.monotonic() < until:
        done = subprocess.run(check, cwd=image, env=environment, capture_output=True, timeout=30, check=False)
        if (done.returncode == 0) is wanted:
            return True
        time.sleep(0.2)
    return False
