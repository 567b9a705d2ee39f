"""The description of the API through Spectral (npm), with every rule it has for OpenAPI and those of `spectral.yaml`.

Whatever it finds is a failure. Needs the network; a minute.
"""

import json
import shutil
import subprocess
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

from service.app import create_app, describe
from service.settings import Settings

TOOL = "@stoplight/spectral-cli@6.16.3"
RULES = Path(__file__).with_name("spectral.yaml")
SECONDS = 900


def run() -> dict[str, object]:
    """How much was looked at. Raises AssertionError with the first findings of each rule."""
    description = describe(create_app(Settings()))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "openapi.json").write_text(json.dumps(description), "utf-8")
        (folder / "package.json").write_text('{"private": true}', "utf-8")
        install = ["npm", "install", "--no-audit", "--no-fund", "--ignore-scripts", TOOL]
        subprocess.run(install, cwd=folder, check=True, capture_output=True, timeout=SECONDS)
        found = _findings(folder)
    rules = Counter(each["code"] for each in found)
    assert not found, f"{dict(rules)}; {_first_of_each(found)}"
    return {
        "operations": sum(len(path) for path in description["paths"].values()),
        "schemas": len(description["components"]["schemas"]),
        "findings": len(found),
    }


def _findings(folder: Path) -> list[dict[str, Any]]:
    command = ["node_modules/.bin/spectral", "lint", "openapi.json", "--ruleset", str(RULES)]
    shown = ["--format", "json", "--fail-severity", "hint", "--quiet"]
    done = subprocess.run(
        [*command, *shown, "--output", "findings.json"],
        cwd=folder,
        capture_output=True,
        timeout=SECONDS,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    found: list[dict[str, Any]] = json.loads((folder / "findings.json").read_text("utf-8"))
    assert (done.returncode == 0) == (found == []), done.stderr
    return found


def _first_of_each(found: list[dict[str, Any]]) -> list[str]:
    first = {each["code"]: each for each in reversed(found)}
    return [
        f"{each['code']}: {'/'.join(map(str, each['path']))} {each['message']}" for each in first.values()
    ]


def why_not() -> str | None:
    """What is missing to do this; None where nothing is."""
    missing = [name for name in ("node", "npm") if shutil.which(name) is None]
    return f"needs {' and '.join(missing)}" if missing else None
