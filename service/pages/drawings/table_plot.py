"""A table of the booklet as a small plot: several curves over one argument, so that a typing error is seen."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from service.pages.drawings.svg import Sheet, decimals_of, ticks
from service.wire.figures import rounded

WIDTH, HEIGHT = 240.0, 150.0
LEFT, RIGHT, TOP, BOTTOM = 42.0, 232.0, 16.0, 118.0


@dataclass(frozen=True)
class Series:
    """Points of one curve, in the order of the table."""

    x: Sequence[float]
    y: Sequence[float]


def table_plot(
    name: str,
    title: str,
    along: str,
    series: Sequence[Series],
    *,
    doubtful: Sequence[tuple[float, float]] = (),
    standalone: bool = False,
) -> Markup:
    """Every row of the table is a dot, so that what is drawn is what was typed in.

    along: name and unit of the argument. doubtful: points that a check asks about, marked with an open square.
    """
    xs = [v for s in series for v in s.x]
    ys = [v for s in series for v in s.y]
    if len(xs) < 2:
        return Markup("")
    low, high = min(ys), max(ys)
    pad = 0.06 * (high - low) or abs(high) * 0.1 or 1.0
    low, high = (0.0 if 0.0 <= low < 0.3 * high else low - pad), high + pad
    left, right = min(xs), max(xs)
    right = right if right > left else left + 1.0

    def at(x: float, y: float) -> tuple[float, float]:
        return (
            LEFT + (RIGHT - LEFT) * (x - left) / (right - left),
            BOTTOM - (BOTTOM - TOP) * (y - low) / (high - low),
        )

    words = f"{title} over {along}: from {ys[0]:.6g} to {ys[-1]:.6g}, {len(series[0].x)} rows."
    sheet = Sheet(
        WIDTH, HEIGHT, name=name, title=title, description=words, kind="table-plot", standalone=standalone
    )
    sheet.text((2, 9), title, "label")
    levels, marks = ticks(low, high, 4), ticks(left, right, 5)
    for level in levels:
        sheet.line(at(left, level), at(right, level), "grid")
        sheet.text(
            (LEFT - 4, at(left, level)[1] + 3), rounded(level, decimals_of(levels)), "label-quiet", "end"
        )
    for mark in marks:
        sheet.text(
            (at(mark, low)[0], BOTTOM + 13), rounded(mark, decimals_of(marks)), "label-quiet", "middle"
        )
    sheet.text((RIGHT, HEIGHT - 4), along, "label-quiet", "end")
    for one in series:
        points = [at(x, y) for x, y in zip(one.x, one.y, strict=True)]
        sheet.polyline(points, "ink" if len(series) == 1 else "hair")
        if len(series) == 1:
            for point in points:
                sheet.circle(point, 1.3, "solid")
    for x, y in doubtful:
        px, py = at(x, y)
        sheet.rectangle((px - 5, py - 5), 10, 10, "accent")
    return sheet.markup()
