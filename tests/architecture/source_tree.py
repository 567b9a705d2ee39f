"""The source files of the service as syntax trees."""

import ast
from collections.abc import Iterator
from functools import cache
from importlib.util import resolve_name
from pathlib import Path

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service"


@cache
def modules() -> dict[str, Path]:
    """The file of every module of the service by its dotted name."""
    return {_dotted(path): path for path in sorted(SERVICE.rglob("*.py"))}


@cache
def tree_of(module: str) -> ast.Module:
    """A module as a syntax tree."""
    return ast.parse(modules()[module].read_text("utf-8"))


def _dotted(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def folder_of(module: str) -> str:
    """The part of the house a module belongs to: `core`, `wire`, `app` ..."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else parts[0]


def modules_of(folder: str) -> list[str]:
    """The modules of a part of the house."""
    return [module for module in modules() if folder_of(module) == folder]


def imports_of(module: str) -> Iterator[str]:
    """Every module that `module` imports, anywhere in its file, by its full name."""
    package = module if modules()[module].name == "__init__.py" else module.rpartition(".")[0]
    for node in ast.walk(tree_of(module)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            source = resolve_name("." * node.level + (node.module or ""), package)
            named = (f"{source}.{alias.name}" for alias in node.names)
            inside = [name for name in named if name in modules()]
            yield from inside or [source]


def functions_of(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Every function and method."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node
