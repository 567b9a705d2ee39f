"""What nodes are made of: figures from elsewhere, other nodes by their ids, and places in documents."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from service.wire.pointer import pointer_of

Path = tuple[str | int, ...]


@dataclass(slots=True, eq=False)
class Given:
    """An input that is no node, the same only as itself. kind: constant, rule (`stem` is its id), vessel or condition
    (a figure as typed: `stem` is the kind and the pointer to what it stands in, `member` the rest; value = original x
    factor + offset)."""

    name: str
    value: float
    unit: str
    kind: str
    stem: str = ""
    member: str | int = ""
    factor: float = 1.0
    offset: float = 0.0
    original: float = 0.0
    origin: dict[str, Any] | None = None
    """Where it is from, as nodes say it, once one does."""


Input = str | Given
"""The id of a node, or a figure from elsewhere."""
Inputs = dict[str, Input]
"""By symbol."""
AnyInputs = Mapping[str, str] | Mapping[str, Given] | Mapping[str, Input]


def member_of(part: Any, step: str | int) -> Any:
    """The member of a part of a document; None where there is none."""
    if isinstance(step, int):
        return part[step] if isinstance(part, list) and 0 <= step < len(part) else None
    return part.get(step) if isinstance(part, dict) else None


def step_of(step: str | int) -> str:
    """A step of a path as it stands in a pointer."""
    if isinstance(step, int) or ("/" not in step and "~" not in step):
        return str(step)
    return pointer_of((step,))[1:]


class Parts:
    """The parts of a document by their paths, each looked up once."""

    def __init__(self, document: Any, stem: str = "") -> None:
        """stem: what pointers begin with."""
        self._known: dict[Path, tuple[Any, str]] = {(): (document, stem)}

    def at(self, path: Path) -> tuple[Any, str]:
        """What stands at a path, None where nothing does, and its pointer."""
        found = self._known.get(path)
        if found is None:
            part, pointer = self.at(path[:-1])
            found = member_of(part, path[-1]), f"{pointer}/{step_of(path[-1])}"
            self._known[path] = found
        return found
