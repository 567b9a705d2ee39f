"""Size, documentation and quiet imports of every module."""

import ast
import subprocess
import sys

import pytest

from tests.architecture.source_tree import ROOT, folder_of, functions_of, modules, modules_of, tree_of

MODULE_LINES = 400
FUNCTION_LINES = 50
VAGUE_NAMES = {"utils", "util", "helpers", "helper", "manager", "kit", "common", "misc"}
FOLDERS = pytest.mark.parametrize("folder", sorted({folder_of(module) for module in modules()}))


def test_a_module_is_read_in_one_sitting() -> None:
    for module, path in modules().items():
        lines = len(path.read_text("utf-8").splitlines())
        assert lines <= MODULE_LINES, f"{module} has {lines} lines"
        assert not VAGUE_NAMES & set(module.split(".")), module


@FOLDERS
def test_a_function_fits_on_a_screen(folder: str) -> None:
    """Lines of its body, docstring left out. Demonstration ships are data written as code and are not counted."""
    for module in modules_of(folder):
        for function in functions_of(tree_of(module)):
            body = function.body[1:] if ast.get_docstring(function) else function.body
            if body and folder != "demo":
                lines = (body[-1].end_lineno or 0) - body[0].lineno + 1
                assert lines <= FUNCTION_LINES, f"{module}.{function.name} has {lines} lines"


@FOLDERS
def test_modules_public_classes_and_functions_say_what_they_are(folder: str) -> None:
    for module in modules_of(folder):
        tree = tree_of(module)
        assert ast.get_docstring(tree) or not tree.body, f"{module} has no docstring"
        for node in tree.body:
            named = isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
            if named and not node.name.startswith("_") and not _is_table(node):
                assert ast.get_docstring(node), f"{module}.{node.name} has no docstring"


def _is_table(node: ast.stmt) -> bool:
    """A database table: its columns and the record it is read into speak for it."""
    return isinstance(node, ast.ClassDef) and any(keyword.arg == "table" for keyword in node.keywords)


def test_every_public_calculation_names_its_source() -> None:
    """Document and clause, `definition`, or `common practice, no source`."""
    for module in modules_of("core"):
        for node in tree_of(module).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                text = ast.get_docstring(node) or ""
                assert "Source:" in text, f"{module}.{node.name} names no source"


def _quiet(node: ast.stmt) -> bool:
    """A statement that only names things: no call for its effect, no loop, no file."""
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    if isinstance(node, ast.If):
        test = ast.unparse(node.test)
        return test in ("TYPE_CHECKING", "__name__ == '__main__'") or test.startswith("sys.")
    if isinstance(node, ast.Try):
        return all(isinstance(inner, ast.Import | ast.ImportFrom) for inner in node.body)
    return not isinstance(node, ast.For | ast.While | ast.With | ast.AsyncFor | ast.AsyncWith)


@FOLDERS
def test_importing_does_nothing(folder: str) -> None:
    for module in modules_of(folder):
        for node in tree_of(module).body:
            assert _quiet(node), f"{module}:{node.lineno}"


def test_importing_the_application_reads_and_starts_nothing() -> None:
    probe = (
        "import threading, sys\n"
        "seen = []\n"
        "watched = ('socket.bind', 'socket.connect', 'subprocess.Popen', 'sqlite3.connect')\n"
        "sys.addaudithook(lambda event, given: seen.append(event) if event in watched else None)\n"
        "import service.app, service.cli.main, service.client\n"
        "assert not seen, seen\n"
        "assert threading.active_count() == 1\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", probe],
        cwd=ROOT,
        env={"LOADING_PORT": "not a number"},
        capture_output=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr.decode()


def test_the_client_needs_neither_numpy_nor_a_database_nor_the_server() -> None:
    probe = (
        "import sys, service.client\n"
        "heavy = {'numpy', 'sqlalchemy', 'sqlmodel', 'fastapi', 'uvicorn', 'typer'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run([sys.executable, "-c", probe], cwd=ROOT, capture_output=True, timeout=60)
    assert done.returncode == 0, done.stderr.decode()
