"""How documents as typed are read for the sheet."""

from collections.abc import Mapping
from typing import Any

from service.translation.axes import AxesAndUnits
from service.translation.working.given import Given, Parts, Path, member_of
from service.translation.working.sheet import SHORT, Sheet, factor_of


class Figures:
    """What was read of a document into the units of an answer: figures by path, dimension and name; two rows of the
    table of a tank by tank, row and column; the rows of each hydrostatic table, empty where not looked up yet."""

    def __init__(self) -> None:
        """Nothing read yet."""
        self.numbers: dict[tuple[Path, str, str], Given] = {}
        self.rows: dict[tuple[int, int, str], tuple[Given, Given]] = {}
        self.hydrostatic_rows: list[list[int]] = []


class Typed:
    """A document as it was typed, read into the answer's units and axes."""

    def __init__(
        self,
        kind: str,
        document: Mapping[str, Any],
        frame: AxesAndUnits,
        sheet: Sheet,
        figures: Figures | None = None,
    ) -> None:
        """kind: vessel or condition. frame: the document's units and axes. figures: what was read of the same document
        into the same units, for the next answer."""
        self.kind, self.document, self.frame, self.sheet = kind, document, frame, sheet
        self.figures = Figures() if figures is None else figures
        self._numbers = self.figures.numbers
        self._parts = Parts(document, kind)
        self._read = {
            dimension: (
                sheet.unit(dimension),
                factor_of(frame.scale, dimension) / sheet.factor(dimension),
                0.0,
            )
            for dimension in SHORT
        }
        unit, to = sheet.unit("length"), sheet.factor("length")
        self._read["x"] = (unit, frame.sense_x / to, frame.origin / to)
        self._read["y"] = (unit, frame.sense_y / to, 0.0)

    def has(self, path: Path) -> bool:
        """Whether there is a number at a path."""
        return member_of(self._parts.at(path[:-1])[0], path[-1]) is not None

    def number(
        self, path: Path, dimension: str, name: str, *, absent: float = 0.0, factor: float | None = None
    ) -> Given:
        """The number at a path (a dimension of SHORT, or x or y for a position), or what stands for it where it is
        absent. `factor`: what one unit of it is in the core's, where that is not of the dimension alone."""
        key = path, dimension, name
        found = self._numbers.get(key)
        if found is not None:
            return found
        step = path[-1]
        part, stem = self._parts.at(path[:-1])
        original = member_of(part, step)
        unit, times, offset = self._read[dimension]
        if original is None:
            return self.sheet.constant(f"{name}: not given", absent, unit)
        if factor is not None:
            times = factor / self.sheet.factor(dimension)
        value = original * times + offset
        self._numbers[key] = found = Given(name, value, unit, self.kind, stem, step, times, offset, original)
        return found
