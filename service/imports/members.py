"""Members of a document by their paths: found, put in, taken out."""

from collections.abc import Iterable
from typing import Any

from service.imports.layout import Path


def member_at(value: Any, path: Iterable[str | int]) -> Any:
    """The member of a document at a path; None where there is none."""
    for step in path:
        if isinstance(value, dict):
            value = value.get(step)
        elif isinstance(value, list) and isinstance(step, int) and step < len(value):
            value = value[step]
        else:
            return None
    return value


def put_in(document: dict[str, Any], path: Path, value: Any) -> None:
    """Put a member where its path leads; a number at the end of the path is a place in a list."""
    if isinstance(path[-1], int):
        entries = member_at(document, path[:-1])
        entries = entries if isinstance(entries, list) else []
        entries += [None] * (path[-1] + 1 - len(entries))
        entries[path[-1]] = value
        path, value = path[:-1], entries
    for step in path[:-1]:
        inner = document.get(str(step))
        if not isinstance(inner, dict):
            inner = document[str(step)] = {}
        document = inner
    document[str(path[-1])] = value


def take_out(document: dict[str, Any], path: Path) -> None:
    """Remove a member, and every object that it leaves empty."""
    trail = [document]
    for step in path[:-1]:
        inner = trail[-1].get(str(step))
        if not isinstance(inner, dict):
            return
        trail.append(inner)
    trail[-1].pop(str(path[-1]), None)
    for depth in range(len(trail) - 1, 0, -1):
        if trail[depth]:
            break
        trail[depth - 1].pop(str(path[depth - 1]), None)
