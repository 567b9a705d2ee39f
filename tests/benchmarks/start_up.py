"""Start to first answer, against the time a fresh interpreter takes to import what the service imports."""

import ast
import os
import subprocess
import sys
import tempfile
from statistics import median
from time import perf_counter

from service.demo import condition_names, read_condition, read_vessel
from tests.benchmarks.comparison import Row
from tests.benchmarks.server_process import ROOT, free_port, post, server_process

LOADED = "import json,sys,service.__main__,service.cli.serve; print(json.dumps(sorted(sys.modules)))"
SERVED_BY = ("uvloop", "httptools")
"""Chosen by the HTTP server when it starts; dependencies of the service that no module of it names."""


def own_stack() -> list[str]:
    """Third-party modules named in the import statements of the modules that `serve` loads."""
    loaded = subprocess.run(
        [sys.executable, "-c", LOADED], cwd=ROOT, capture_output=True, check=True, timeout=60.0
    )
    names = set(ast.literal_eval(loaded.stdout.decode()))
    ours = [name for name in names if name.split(".")[0] == "service"]
    named = {imported for name in ours for imported in _imports(name) if imported in names}
    outside = {n for n in named if n.split(".")[0] not in {"service", *sys.stdlib_module_names}}
    return [*sorted(outside), *SERVED_BY]


def _imports(name: str) -> set[str]:
    """Modules a module of ours imports, `from x import y` counted as x and as x.y."""
    path = ROOT.joinpath(*name.split("."))
    file = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def start_up(rounds: int) -> list[Row]:
    """Median seconds with a new database and with one that is there, in turn with the imports."""
    modules, body = own_stack(), _first_request()
    times: list[tuple[float, float, float]] = []
    with tempfile.TemporaryDirectory() as bytecode:
        installed = _as_installed(bytecode)
        for turn in range(rounds + 1):  # the first turn compiles and fills the disk cache
            with tempfile.TemporaryDirectory() as folder:
                measured = (
                    _import_seconds(modules, installed),
                    _seconds_to_first_answer(folder, body, installed),
                    _seconds_to_first_answer(folder, body, installed),
                )
            if turn:
                times.append(measured)
    importing, new, again = (median(column) for column in zip(*times))
    return [
        Row("start to first answer / imports, database there", importing, again, 1.5),
        Row("start to first answer / imports, new database", importing, new, 1.5),
    ]


def _as_installed(bytecode: str) -> dict[str, str]:
    """The environment with compiled modules kept in the folder `bytecode`, whatever this process does with its own."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": bytecode}


def _first_request() -> bytes:
    """A demonstration ship, inline, and a condition of hers."""
    ship = "halvenmoor"
    condition = read_condition(ship, condition_names(ship)[0])
    return b'{"vessel": %s, "condition": %s}' % (read_vessel(ship), condition)


def _import_seconds(modules: list[str], environment: dict[str, str]) -> float:
    began = perf_counter()
    imports = f"import {', '.join(modules)}"
    subprocess.run([sys.executable, "-c", imports], env=environment, check=True, timeout=60.0)
    return perf_counter() - began


def _seconds_to_first_answer(folder: str, body: bytes, environment: dict[str, str]) -> float:
    """From starting `python -m service serve` to the whole answer for the first request."""
    port = free_port()
    began = perf_counter()
    with server_process(["-m", "service", "serve", "--port", str(port)], port, folder, environment):
        post(port, "/v1/assessments", body)
        return perf_counter() - began
