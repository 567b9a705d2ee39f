"""The cells of a file, read in a locked-down child process.

Kinds of cells: n number, p number shown as percent, s text, l text that is too long (cut), b true or false, d date or
time, e error, u formula never calculated; a capital letter: the value last calculated by a formula.
"""

import json
import os
import subprocess
import sys
import threading
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from service.imports.limits import CHILD_ANSWER, CHILD_WALL_SECONDS, MAX_FILE, FileRefused
from service.wire.refusal import Refusal

ROOT = str(Path(__file__).resolve().parents[2])
_CODE = "import sys; sys.path.insert(0, {!r}); from service.imports.child import main; main()"


class Cell(NamedTuple):
    """One cell with something in it. `shown`: how its format writes a number with leading noughts."""

    kind: str
    value: Any
    formula: bool = False
    shown: str | None = None


@dataclass(frozen=True)
class Page:
    """One sheet of a file: rows by number, each its cells by column; what lies beyond reach; merged ranges."""

    name: str
    rows: dict[int, dict[int, Cell]]
    far: list[tuple[int, int]]
    merged: list[tuple[int, int, int, int]]
    encoding: str

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands in it."""
        return not self.rows


def pages_of(data: bytes, name: str = "") -> list[Page]:
    """Every sheet of a workbook, of a zip of CSV files, or the one table of text, which is called `name`.

    Raises `FileRefused` with a code of the catalogue, Refusal (busy) where no process can be started."""
    if len(data) > MAX_FILE:
        raise FileRefused("too_large")
    answer = _answer_of_child(data, name)
    if "refused" in answer:
        raise FileRefused(answer["refused"])
    return [_page(sheet) for sheet in answer["sheets"]]


def _page(sheet: dict[str, Any]) -> Page:
    rows: dict[int, dict[int, Cell]] = {}
    for entry in sheet["cells"]:
        row, column, kind = entry[0], entry[1], entry[2]
        cells = rows.get(row)
        if cells is None:
            cells = rows[row] = {}
        if len(entry) == 4 and kind.islower():
            cells[column] = Cell(kind, entry[3])
        else:
            cells[column] = Cell(kind.lower(), entry[3], kind.isupper(), entry[4] if len(entry) > 4 else None)
    ordered = {row: _in_order(rows[row]) for row in _ascending(rows)}
    far = [(row, column) for row, column in sheet["far"]]
    merged = [(top, left, bottom, right) for top, left, bottom, right in sheet["merged"]]
    return Page(sheet["name"], ordered, far, merged, sheet["encoding"])


def _ascending(numbers: Iterable[int]) -> list[int]:
    """Numbers from the least to the greatest: a file nearly always gives them so."""
    given = list(numbers)
    return given if all(a < b for a, b in pairwise(given)) else sorted(given)


def _in_order(cells: dict[int, Cell]) -> dict[int, Cell]:
    order = _ascending(cells)
    return cells if order == list(cells) else {column: cells[column] for column in order}


def _answer_of_child(data: bytes, name: str) -> dict[str, Any]:
    """The child's answer; whatever ends it is a refusal."""
    try:
        child = subprocess.Popen(  # noqa: S603 - our own interpreter with our own code
            [sys.executable, "-I", "-B", "-c", _CODE.format(ROOT), name],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            cwd=os.sep,
            env={"PATH": os.defpath, "LANG": "C.UTF-8"},
            start_new_session=True,
        )
    except OSError:  # no process or file descriptor left on this machine
        raise _busy() from None
    late = threading.Event()

    def end() -> None:
        late.set()
        child.kill()

    timer = threading.Timer(CHILD_WALL_SECONDS, end)
    timer.daemon = True
    feeder = threading.Thread(target=_feed, args=(child, data), daemon=True)
    assert child.stdout is not None
    try:
        timer.start()
        feeder.start()
        text = child.stdout.read(CHILD_ANSWER + 1)
    except RuntimeError:  # no thread left on this machine
        raise _busy() from None
    finally:
        timer.cancel()
        child.kill()
        child.stdout.close()
        code = child.wait()
        if feeder.ident is None:
            _feed(child, b"")
        else:
            feeder.join()
    if late.is_set() or (not text and code < 0):
        raise FileRefused("took_too_long")
    if not text or len(text) > CHILD_ANSWER:
        raise FileRefused("too_large" if text else "damaged")
    answer: dict[str, Any] = json.loads(text)
    return answer


def _busy() -> Refusal:
    return Refusal("busy", "The file was not read: no process could be started. Try again.", retry_after=1)


def _feed(child: subprocess.Popen[bytes], data: bytes) -> None:
    """Give the child its file; one that has ended takes nothing more."""
    assert child.stdin is not None
    try:
        child.stdin.write(data)
        child.stdin.close()
    except OSError:
        pass
