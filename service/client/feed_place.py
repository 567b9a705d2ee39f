"""How far the feed of changes was taken, kept so that it outlives the program that takes it."""

import json
import os
from pathlib import Path
from typing import NamedTuple, Protocol


class Position(NamedTuple):
    """How far the feed was taken. `after`: where to ask on. `change` and `digest`: the change that was taken last, by
    which it is seen whether the feed still holds what it held; 0 and None while none was."""

    after: int = 0
    change: int = 0
    digest: str | None = None


class FeedPlace(Protocol):
    """Where a position is kept: a file, or a row beside the figures that are taken over."""

    def read(self) -> Position:
        """The position kept last; the beginning where none is."""
        ...

    def write(self, position: Position) -> None:
        """Keep a position."""
        ...


class PlaceInMemory:
    """A position for as long as the program runs."""

    def __init__(self, position: Position | None = None) -> None:
        self._position = position or Position()

    def read(self) -> Position:
        """The position written last."""
        return self._position

    def write(self, position: Position) -> None:
        """Keep a position."""
        self._position = position


class PlaceInFile:
    """A position in a small file, which is replaced as a whole: a program killed while it writes leaves the old one."""

    def __init__(self, path: str | Path) -> None:
        self._path = Path(path)

    def read(self) -> Position:
        """The position in the file; the beginning where there is no file. Raises ValueError for another file."""
        try:
            text = self._path.read_text("utf-8")
        except FileNotFoundError:
            return Position()
        try:
            return Position(**json.loads(text))
        except (TypeError, ValueError):
            raise ValueError(f"{self._path} holds no position of a feed.") from None

    def write(self, position: Position) -> None:
        """Keep a position; it is on the disk when this returns."""
        beside = self._path.with_name(f"{self._path.name}.new")
        with beside.open("w", encoding="utf-8") as file:
            file.write(json.dumps(position._asdict()))
            file.flush()
            os.fsync(file.fileno())
        beside.replace(self._path)
