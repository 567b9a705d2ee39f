"""Clients generated from the description of a live server, and used on it.

openapi-python-client (PyPI, in an environment of its own; a warning is a failure) is compiled and imported whole;
openapi-typescript (npm) by TypeScript's compiler in its strictest settings. Both programs in `clients/` then call the
server, and what they read is what the server says without them. Needs the network; five minutes.
"""

import json
import shutil
import subprocess
import tempfile
import venv
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import httpx

from tests.api.played_operations import barge, loaded
from tests.endurance.server import ServerProcess

PYTHON_TOOL = "openapi-python-client==0.29.1"
NODE_TOOLS = ("openapi-typescript@7.13.0", "typescript@5.9.3", "@types/node@20")
PROGRAMS = Path(__file__).parent / "clients"
FILES = (
    "application/x-ndjson",
    "application/jsonl",
    "application/zip",
    "text/csv",
    "text/tab-separated-values",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
)
"""Media types whose bodies are bytes to a client. The generator knows one name for that and is told of the others."""
STRICT = {
    "strict": True,
    "noUncheckedIndexedAccess": True,
    "exactOptionalPropertyTypes": True,
    "noPropertyAccessFromIndexSignature": True,
    "skipLibCheck": False,
    "target": "es2022",
    "lib": ["es2022"],
    "module": "nodenext",
    "moduleResolution": "nodenext",
    "types": ["node"],
    "outDir": "out",
}
IMPORT_ALL = """
import importlib, pkgutil, generated
for each in pkgutil.walk_packages(generated.__path__, "generated."):
    importlib.import_module(each.name)
"""
SECONDS = 900


def run(database: str) -> dict[str, object]:
    """How many operations each client has, and that what they read is what is there."""
    with tempfile.TemporaryDirectory() as name, ServerProcess(database) as server:
        folder = Path(name)
        key = _key(server.address)
        with httpx.Client(
            base_url=server.address, timeout=60, trust_env=False, headers={"Authorization": f"Bearer {key}"}
        ) as http:
            description = http.get("/openapi.json").raise_for_status().json()
            operations = sum(len(path) for path in description["paths"].values())
            given = _documents(folder)
            by_python = _python(folder, server.address, key, given, operations)
            by_node = _node(folder, server.address, key, given)
            _compare(http, by_python)
            _compare(http, by_node)
    assert by_python["batch"] == [by_python["verdict"]] * 3
    assert by_python["stale"] == [412, "stale"]
    assert by_node["refused"][1] == "/condition/free_surface/basis"
    return {"operations": operations, "python": by_python["verdict"], "typescript": by_node["verdict"]}


def _compare(http: httpx.Client, told: dict[str, Any]) -> None:
    """What a client read is what the server answers to a plain request."""
    body = {"vessel_id": told["vessel"], "condition": loaded()}
    answer = http.post("/v1/assessments", json=body).raise_for_status().json()
    assert told["verdict"] == answer["verdict"]
    assert told["gm_corrected"] == answer["stability"]["gm_corrected"]
    assert told["draft"] == answer["flotation"]["draft_at_lcf"]
    assert told["criteria"] == [[row["id"], row["verdict"]] for row in answer["criteria"]]
    assert told["rule_sets"] == len(http.get("/v1/rule-sets").json()["items"])
    assert told["revision"] == 2
    assert len(told["listed"]) == 1
    assert told["listed"][0].startswith("Changed by a ")
    assert told["vessel"] in told["fleet"]
    assert {"vessel_revision", "condition_revision"} <= set(told["events"])


def _key(address: str) -> str:
    body = {"name": "Office", "role": "administrator"}
    made = httpx.post(f"{address}/v1/keys", json=body, timeout=60, trust_env=False).raise_for_status()
    token: str = made.json()["token"]
    return token


def _documents(folder: Path) -> list[Path]:
    files = [folder / "vessel.json", folder / "condition.json"]
    for file, document in zip(files, (barge(), loaded()), strict=True):
        file.write_text(json.dumps(document), "utf-8")
    return files


def _python(folder: Path, address: str, key: str, given: Sequence[Path], operations: int) -> dict[str, Any]:
    venv.create(folder / "venv", with_pip=True)
    python = folder / "venv/bin/python"
    _done([python, "-m", "pip", "--quiet", "--disable-pip-version-check", "install", PYTHON_TOOL], folder)
    config = {"content_type_overrides": dict.fromkeys(FILES, "application/octet-stream")}
    (folder / "config.json").write_text(json.dumps(config), "utf-8")
    into = folder / "generated"
    tool = [folder / "venv/bin/openapi-python-client", "generate", "--meta", "none", "--fail-on-warning"]
    asked = ["--url", f"{address}/openapi.json", "--config", folder / "config.json", "--output-path", into]
    _done([*tool, *asked], folder)
    made = [file for file in into.glob("api/*/*.py") if file.name != "__init__.py"]
    assert len(made) == operations, f"{len(made)} of {operations} operations were generated"
    _done([python, "-m", "compileall", "-q", into], folder)
    _done([python, "-c", IMPORT_ALL], folder)
    shutil.copyfile(PROGRAMS / "calls.py", folder / "calls.py")
    return _answered([python, "calls.py", address, key, *given], folder)


def _node(folder: Path, address: str, key: str, given: Sequence[Path]) -> dict[str, Any]:
    here = folder / "node"
    here.mkdir()
    (here / "package.json").write_text(json.dumps({"private": True, "type": "module"}), "utf-8")
    _done(["npm", "install", "--no-audit", "--no-fund", *NODE_TOOLS], here)
    binaries = here / "node_modules/.bin"
    tool = [binaries / "openapi-typescript", f"{address}/openapi.json", "-o", "api.d.ts"]
    _done([*tool, "--default-non-nullable", "false"], here)  # a member with a default may be left out
    shutil.copyfile(PROGRAMS / "calls.ts", here / "calls.ts")
    config = {"compilerOptions": STRICT, "files": ["api.d.ts", "calls.ts"]}
    (here / "tsconfig.json").write_text(json.dumps(config), "utf-8")
    _done([binaries / "tsc", "--project", "."], here)
    return _answered(["node", "out/calls.js", address, key, *given], here)


def _answered(command: Sequence[object], folder: Path) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(_done(command, folder))
    return answer


def _done(command: Sequence[object], folder: Path) -> str:
    """What a program wrote. Raises AssertionError with its words where it failed."""
    done = subprocess.run(
        list(map(str, command)), cwd=folder, capture_output=True, text=True, timeout=SECONDS, check=False
    )
    told = (done.stdout + done.stderr)[-3000:]
    assert done.returncode == 0, f"{' '.join(map(str, command[:4]))}: {told}"
    return done.stdout


def why_not() -> str | None:
    """What is missing to do this; None where nothing is."""
    missing = [name for name in ("node", "npm") if shutil.which(name) is None]
    return f"needs {' and '.join(missing)}" if missing else None
