"""The steps of "Hook up an office" as a reader would type them: the shell in bash, the Python in a program."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from service import client
from service.api.reference.hook_up import STEPS
from tests.api.office import Office, running_office
from tests.client.test_distribution import wheel  # noqa: F401


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    with running_office(f"sqlite:///{tmp_path}/records.db") as office:
        yield office


def _variables(office: Office) -> dict[str, str]:
    return {
        **os.environ,
        "LOADING_URL": office.address,
        "LOADING_KEY": office.token("administrator"),
        "NO_PROXY": "*",
    }


def test_with_curl(office: Office, tmp_path: Path) -> None:
    if shutil.which("curl") is None or shutil.which("bash") is None:
        pytest.skip("curl or bash is not on this machine")
    text = "\n".join(["set -euo pipefail", *(step.shell for step in STEPS)])
    done = subprocess.run(
        ["bash", "-c", text], cwd=tmp_path, env=_variables(office), capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr
    assert '"token":"lc_' in done.stdout
    assert "pass\n" in done.stdout
    assert '"type":"end","count":1,"failed":0,"complete":true' in done.stdout
    assert _kept(office) == (1, 2, 3)


def test_with_the_client(office: Office, tmp_path: Path, wheel: Path) -> None:  # noqa: F811
    program = tmp_path / "program.py"
    program.write_text("\n".join(step.python for step in STEPS), "utf-8")
    variables = {**_variables(office), "PYTHONPATH": str(wheel)}
    done = subprocess.run(
        [sys.executable, str(program)],
        cwd=tmp_path,
        env=variables,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[:3] == ["box-barge 1", "pass", "pass"]
    assert _kept(office) == (1, 2, 3)


def _kept(office: Office) -> tuple[int, int, int]:
    """Vessels, revisions of the condition, changes."""
    with client.ServiceClient(office.address, key=office.token("administrator")) as service:
        revisions = list(service.list_revisions("barge-voyage-12"))
        return len(list(service.list_vessels())), len(revisions), len(list(service.list_changes()))


def test_the_page_shows_what_is_run(office: Office) -> None:
    text = unescape(office.http.get("/docs/hook-up").text)
    for step in STEPS:
        assert step.title in text
        assert step.shell in text
        assert step.python in text
    assert office.http.get("/docs/hook-up/other.json").status_code == 404
