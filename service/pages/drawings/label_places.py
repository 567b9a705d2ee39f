"""Places of labels in a drawing: none touches another one, and none lies on a curve where there is room beside it.

A label that finds no room is left out; its figure stands in the table beside the drawing."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from service.pages.drawings.svg import Anchor, Point

EM: Final = 12.0
"""Size of the letters where they are largest: on a phone."""
BROAD: Final = 0.64
BOLD: Final = 0.70
"""Widths of a figure in em, in the broadest of the system fonts."""
ASCENT: Final = 11.3
DESCENT: Final = 3.0
_STARTS: Final = {"start": 0.0, "middle": 0.5, "end": 1.0}


class Box(NamedTuple):
    """What a label covers."""

    left: float
    top: float
    right: float
    bottom: float

    def touches(self, other: "Box") -> bool:
        """Whether the two have a part in common."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def is_crossed(self, start: Point, end: Point) -> bool:
        """Whether a straight line runs through it (Liang and Barsky's clipping)."""
        (x, y), (dx, dy) = start, (end[0] - start[0], end[1] - start[1])
        first, last = 0.0, 1.0
        for step, room in (
            (-dx, x - self.left),
            (dx, self.right - x),
            (-dy, y - self.top),
            (dy, self.bottom - y),
        ):
            if step == 0.0:
                if room < 0.0:
                    return False
            elif step < 0.0:
                first = max(first, room / step)
            else:
                last = min(last, room / step)
        return first <= last


def box_of(at: Point, words: str, anchor: Anchor = "start", *, bold: bool = False) -> Box:
    """What words at a point cover at most."""
    width = len(words) * EM * (BOLD if bold else BROAD)
    left = at[0] - _STARTS[anchor] * width
    return Box(left, at[1] - ASCENT, left + width, at[1] + DESCENT)


class LabelPlaces:
    """The room that is left in a drawing."""

    def __init__(self, width: float, curves: Iterable[Sequence[Point]] = ()) -> None:
        """width: of the drawing; curves: lines that labels keep clear of where they can."""
        self._width = width
        self._taken: list[Box] = []
        self._lines = [line for curve in curves for line in pairwise(curve)]

    def keeping_clear_of(self, curves: Iterable[Sequence[Point]]) -> "LabelPlaces":
        """The same room for labels that keep clear of these curves too."""
        more = LabelPlaces(self._width, curves)
        more._taken = self._taken
        more._lines += self._lines
        return more

    def take(self, at: Point, words: str, anchor: Anchor = "start", *, bold: bool = False) -> None:
        """Words that stand there whatever comes."""
        self._taken.append(box_of(at, words, anchor, bold=bold))

    def take_mark(self, at: Point, radius: float) -> None:
        """A mark at a point of a curve."""
        self._taken.append(Box(at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius))

    def place(
        self, words: str, wanted: Sequence[tuple[Point, Anchor]], *, bold: bool = False
    ) -> tuple[Point, Anchor] | None:
        """The first of the wanted places that is free and on no curve, then the first that is free; None where there
        is none. It is taken from now on."""
        boxes = [(box_of(at, words, anchor, bold=bold), (at, anchor)) for at, anchor in wanted]
        free = [(box, place) for box, place in boxes if self._is_free(box)]
        clear = [
            (box, place) for box, place in free if not any(box.is_crossed(*line) for line in self._lines)
        ]
        for box, place in clear or free:
            self._taken.append(box)
            return place
        return None

    def _is_free(self, box: Box) -> bool:
        inside = box.left >= 0.0 and box.right <= self._width
        return inside and not any(box.touches(taken) for taken in self._taken)


def around(at: Point, *, above: bool) -> list[tuple[Point, Anchor]]:
    """Places for the label of a point: on its side of the curve, then beside it, then on the other side."""
    x, y = at
    sides = [-8.0, 15.0] if above else [15.0, -8.0]
    near: list[tuple[Point, Anchor]] = [((x, y + sides[0]), "middle")]
    for dy in sides:
        near += [((x + 6.0, y + dy), "start"), ((x - 6.0, y + dy), "end")]
    return [*near, ((x + 7.0, y + 4.0), "start"), ((x - 7.0, y + 4.0), "end"), ((x, y + sides[1]), "middle")]
