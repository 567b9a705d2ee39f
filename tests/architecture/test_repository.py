"""What lies where, and what is not to be found anywhere."""

import importlib
import re
import subprocess
from pathlib import Path

import pytest

from tests.architecture.source_tree import ROOT

TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "service", "migrations", "tests", "openapi_examples", "docker",
}  # fmt: skip
MACHINE_PATH = re.compile(r"/(?:work|farm|root|home/\w+|tmp/studio)/")
UNFINISHED = re.compile("|".join(["TO" + "DO", "FIX" + "ME", "X" * 3, "NotImplemented" + "Error"]))


def _kept_files() -> list[Path]:
    """Files under version control; all files of the tree where it came without its history."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=False)
    if listed.returncode == 0:
        return [
            path for name in listed.stdout.decode().split("\0") if name and (path := ROOT / name).is_file()
        ]
    ignored = {".venv", "__pycache__", ".pytest_cache", ".mypy_cache", ".ruff_cache", ".hypothesis"}
    return [path for path in ROOT.rglob("*") if path.is_file() and not ignored & set(path.parts)]


def _texts() -> list[tuple[str, str]]:
    texts = []
    for path in _kept_files():
        try:
            texts.append((str(path.relative_to(ROOT)), path.read_text("utf-8")))
        except UnicodeDecodeError:
            continue
    return texts


def test_top_level_holds_what_it_is_said_to_hold() -> None:
    entries = {path.relative_to(ROOT).parts[0] for path in _kept_files()}
    assert {entry for entry in entries if not entry.startswith(".")} <= TOP_LEVEL


def test_no_path_of_one_machine() -> None:
    found = [
        name
        for name, text in _texts()
        if MACHINE_PATH.search(text) and not name.endswith("test_repository.py")
    ]
    assert found == []


def test_nothing_is_left_for_later() -> None:
    found = [
        f"{name}: {match[0]}"
        for name, text in _texts()
        if name.startswith(("service/", "tests/", "migrations/")) and name.endswith(".py")
        for match in [UNFINISHED.search(text)]
        if match
    ]
    assert found == []


def test_no_test_is_put_aside_without_a_reason() -> None:
    mark = re.compile(r"pytest\.mark\.(?:skip|skipif|xfail)\b(?!\([^)]*\breason=)")
    found = [
        f"{name}: {match[0]}"
        for name, text in _texts()
        if name.endswith(".py")
        for match in mark.finditer(text)
    ]
    assert found == []


def test_python_only_where_the_house_has_rooms() -> None:
    rooms = {"service", "migrations", "tests"}
    assert {path.relative_to(ROOT).parts[0] for path in _kept_files() if path.suffix == ".py"} <= rooms


@pytest.mark.parametrize("folder", ["endurance", "benchmarks"])
def test_what_runs_seldom_can_still_be_started(folder: str) -> None:
    """Names that moved in the service are met by the long runs and benchmarks too."""
    for path in sorted((ROOT / "tests" / folder).glob("*.py")):
        importlib.import_module(f"tests.{folder}.{path.stem}".removesuffix(".__init__"))
