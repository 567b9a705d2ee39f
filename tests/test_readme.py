"""What the README tells a reader to type works, and what it shows is what comes back."""

import json
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from service.app import create_app
from service.cli.local_server import local_server
from service.core.conventions import CALCULATION_VERSION
from service.core.rules.catalogue import CATALOGUE
from service.settings import Settings

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "README.md").read_text("utf-8")
BLOCKS = re.findall(r"```sh\n(.*?)```", TEXT, re.DOTALL)


def lines() -> list[str]:
    return [
        line for block in BLOCKS for line in block.splitlines() if line.strip() and not line.startswith("#")
    ]


def test_the_two_commands_stand_first_and_install_what_they_say() -> None:
    run, test = lines()[:2]
    assert run.endswith(".venv/bin/python -m service demo")
    assert test.endswith(".venv/bin/python -m pytest")
    for command, lock in ((run, "service/requirements.lock"), (test, "tests/requirements.lock")):
        assert f".venv/bin/pip install -q --require-hashes -r {lock}" in command
        assert "--hash=sha256:" in (ROOT / lock).read_text("utf-8")


def test_the_ci_run_is_the_very_test_command() -> None:
    assert lines()[1] in (ROOT / ".ci" / "run").read_text("utf-8")


def test_the_first_command_ends_with_an_answer_for_a_mate() -> None:
    found = subprocess.run(
        [sys.executable, "-m", "service", "demo"], cwd=ROOT, capture_output=True, text=True, timeout=120
    )
    assert found.returncode == 0, found.stderr
    for words in ("Tanks and their free surface", "GM corrected", "Criteria", "An aid only"):
        assert words in found.stdout


def test_the_request_shown_gives_the_answer_shown(tmp_path: Path) -> None:
    if shutil.which("curl") is None:
        pytest.skip("curl is not on this machine")
    curl = shlex.split(next(line for line in lines() if line.startswith("curl ")))
    shown = json.loads(re.findall(r"```json\n(.*?)```", TEXT, re.DOTALL)[0])
    settings = Settings(access_log=False, database_url=f"sqlite:///{tmp_path}/readme.sqlite3")
    with local_server(create_app(settings)) as url:
        curl = [word.replace("http://127.0.0.1:8000", url) for word in curl]
        found = subprocess.run([*curl, "--noproxy", "*"], cwd=ROOT, capture_output=True, timeout=60)
    assert found.returncode == 0, found.stderr
    assert missing(shown, json.loads(found.stdout)) == []


def missing(shown: Any, found: Any, path: str = "") -> list[str]:
    """What is shown and not found; figures are shown with three decimals."""
    if isinstance(shown, dict):
        return [m for key in shown for m in missing(shown[key], found.get(key), f"{path}/{key}")]
    if isinstance(shown, list):
        return [m for i, entry in enumerate(shown) for m in missing(entry, found[i], f"{path}/{i}")]
    same = found == pytest.approx(shown, abs=6e-4) if isinstance(shown, float) else found == shown
    return [] if same else [f"{path}: {shown} is shown, {found} comes back"]


def test_every_rule_set_and_the_calculation_version_are_told() -> None:
    for name in CATALOGUE:
        told = name in TEXT or name.startswith(("46-cfr-170.173-c", "is-code-2008-a-2.2.3-alternative"))
        assert told, f"{name} is not in the README"
    changes = TEXT.split("## Numbers that change")[1]
    assert f"| {CALCULATION_VERSION} |" in changes


def test_every_file_named_exists() -> None:
    named = re.findall(r"`((?:service|tests|openapi_examples|docker|migrations)/[\w./-]+)`", TEXT)
    named += re.findall(r"\]\(((?!http)[\w./-]+)\)", TEXT)
    assert named
    assert [name for name in named if not (ROOT / name).exists()] == []


def test_the_top_level_holds_what_it_may() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {line.split("/")[0] for line in listed.splitlines()}
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "service",
        "migrations",
        "tests",
        "openapi_examples",
    }
    assert {name for name in top if not name.startswith(".")} <= allowed | {"docker"}
