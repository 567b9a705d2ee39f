"""A table of the booklet drawn large: every row a dot, each curve named at its end, doubted rows framed with "?"."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from service.pages.drawings.svg import Point, Sheet, decimals_of, ticks
from service.pages.drawings.table_plot import Series
from service.wire.figures import rounded

WIDTH = 360.0
LEFT, TOP = 44.0, 30.0
MARGIN_OF_NAMES, MARGIN = 44.0, 14.0
APART = 10.0
"""Names at the ends of curves nearer to one another than this would touch."""
MOST_DOTS = 60


@dataclass(frozen=True)
class Plotted:
    """What a plot shows. title, along: names with units. names: of the curves, as many as there are; empty for one
    curve. doubtful: points that a check asks about. reached: the part of the argument that printed conditions reach.
    counts: whether the argument is a number of something, with nothing between two of them."""

    name: str
    title: str
    along: str
    series: Sequence[Series]
    doubtful: Sequence[Point] = ()
    names: Sequence[str] = ()
    reached: Sequence[float] = ()
    counts: bool = False


@dataclass
class _Frame:
    x: tuple[float, float]
    y: tuple[float, float]
    right: float
    bottom: float

    def at(self, x: float, y: float) -> Point:
        (left, right), (low, high) = self.x, self.y
        return (
            LEFT + (self.right - LEFT) * (x - left) / ((right - left) or 1.0),
            self.bottom - (self.bottom - TOP) * (y - low) / ((high - low) or 1.0),
        )


def booklet_plot(plot: Plotted, *, height: float = 210.0, standalone: bool = False) -> Markup:
    """The drawing; empty where there are not two rows."""
    xs = [v for s in plot.series for v in s.x]
    ys = [v for s in plot.series for v in s.y]
    if len(xs) < 2:
        return Markup("")
    low, high = min(ys), max(ys)
    pad = 0.05 * (high - low) or abs(high) * 0.1 or 1.0
    low = 0.0 if 0.0 <= low < 0.3 * high else low - pad
    right = WIDTH - (MARGIN_OF_NAMES if plot.names else MARGIN)
    frame = _Frame((min(xs), max(xs)), (low, high + pad), right, height - 34.0)
    sheet = Sheet(
        WIDTH,
        height,
        name=plot.name,
        title=f"{plot.title} over {plot.along}",
        description=_in_words(plot, xs, ys),
        kind="booklet-plot",
        standalone=standalone,
    )
    _reached(sheet, frame, plot.reached)
    _axes(sheet, frame, plot)
    for one in plot.series:
        points = [frame.at(x, y) for x, y in zip(one.x, one.y, strict=True)]
        sheet.polyline(points, "accent" if len(plot.series) == 1 else "accent-thin")
        if len(points) <= MOST_DOTS:
            for point in points:
                sheet.circle(point, 1.4 if len(plot.series) == 1 else 1.0, "solid-accent")
    _names(sheet, frame, plot)
    for x, y in plot.doubtful:
        px, py = frame.at(x, y)
        sheet.rectangle((px - 6, py - 6), 12, 12, "fat")
        sheet.text((px + 9, py + 4), "?", "label-bold")
    return sheet.markup()


def _in_words(plot: Plotted, xs: Sequence[float], ys: Sequence[float]) -> str:
    said = [f"{len(xs)} figures from {min(ys):.6g} to {max(ys):.6g}"]
    if len(plot.series) > 1:
        said.append(f"{len(plot.series)} curves")
    if plot.doubtful:
        count = len(plot.doubtful)
        said.append(f"{count} {'figure is' if count == 1 else 'figures are'} doubted")
    return f"{'; '.join(said)}."


def _reached(sheet: Sheet, frame: _Frame, reached: Sequence[float]) -> None:
    if len(reached) != 2:
        return
    left, right = (min(max(value, frame.x[0]), frame.x[1]) for value in reached)
    (x, _), (end, _) = frame.at(left, frame.y[0]), frame.at(right, frame.y[0])
    sheet.rectangle((x, TOP), max(end - x, 1.0), frame.bottom - TOP, "wash")


def _axes(sheet: Sheet, frame: _Frame, plot: Plotted) -> None:
    levels, marks = ticks(*frame.y, 5), ticks(*frame.x, 6)
    if plot.counts:
        marks = [mark for mark in marks if mark == round(mark)]
    for level in levels:
        start = frame.at(frame.x[0], level)
        sheet.line(start, (frame.right, start[1]), "grid")
        sheet.text((LEFT - 4, start[1] + 3.5), rounded(level, decimals_of(levels)), "label-quiet", "end")
    for mark in marks:
        x, _ = frame.at(mark, frame.y[0])
        sheet.line((x, TOP), (x, frame.bottom), "grid")
        sheet.text((x, frame.bottom + 14), rounded(mark, decimals_of(marks)), "label-quiet", "middle")
    sheet.text((2, TOP - 14), plot.title, "label")
    sheet.text((frame.right, frame.bottom + 29), plot.along, "label-quiet", "end")


def _names(sheet: Sheet, frame: _Frame, plot: Plotted) -> None:
    """The names of the curves at their right ends, moved apart so that none lies on another."""
    ends = [
        (frame.at(one.x[-1], one.y[-1]), name) for one, name in zip(plot.series, plot.names, strict=False)
    ]
    ends.sort(key=lambda end: end[0][1])
    places: list[float] = []
    for (_, y), _ in ends:
        places.append(max(y, places[-1] + APART) if places else y)
    lowest = frame.bottom
    for i in range(len(places) - 1, -1, -1):
        places[i] = min(places[i], lowest)
        lowest = places[i] - APART
    for ((x, y), name), place in zip(ends, places, strict=True):
        sheet.line((x, y), (frame.right + 6, place), "hair")
        sheet.text((frame.right + 8, place + 3.5), name, "label")
