"""A small SVG sheet: elements by class of stroke or fill, titled and described, every text escaped.

The style sheet of the pages gives the classes their tones, so that one drawing serves light, dark and print. A sheet
made `standalone` (for the report) carries the same tones as presentation attributes, because no style sheet reaches
it there. Nothing uses style attributes, which the content policy refuses.
"""

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final, Literal

from markupsafe import Markup, escape

Point = tuple[float, float]

_INK, _QUIET, _ACCENT, _WASH, _WASH_DEEP = "#1b1e23", "#565b63", "#1d5b79", "#e3ecf0", "#b9ced9"
_TONES: Final[dict[str, str]] = {
    "ink": f'fill="none" stroke="{_INK}" stroke-width="1.4"',
    "fat": f'fill="none" stroke="{_INK}" stroke-width="2.2"',
    "hair": f'fill="none" stroke="{_QUIET}" stroke-width="0.6"',
    "grid": 'fill="none" stroke="#d3d0c7" stroke-width="0.6"',
    "dash": f'fill="none" stroke="{_QUIET}" stroke-width="0.8" stroke-dasharray="3 2.5"',
    "accent": f'fill="none" stroke="{_ACCENT}" stroke-width="1.8"',
    "accent-thin": f'fill="none" stroke="{_ACCENT}" stroke-width="1"',
    "before": f'fill="none" stroke="{_INK}" stroke-width="1.2" stroke-dasharray="5 3"',
    "beyond": f'fill="none" stroke="{_QUIET}" stroke-width="1.2" stroke-dasharray="1.2 3"',
    "solid": f'fill="{_INK}" stroke="none"',
    "solid-accent": f'fill="{_ACCENT}" stroke="none"',
    "wash": f'fill="{_WASH}" stroke="none"',
    "wash-deep": f'fill="{_WASH_DEEP}" stroke="none"',
    "open": f'fill="#ffffff" stroke="{_INK}" stroke-width="1.4"',
    "hull": f'fill="#f6f6f6" stroke="{_INK}" stroke-width="1.3"',
    "label": f'fill="{_INK}" font-size="9"',
    "label-quiet": f'fill="{_QUIET}" font-size="9"',
    "label-halo": f'fill="{_INK}" font-size="9"',
    "label-bold": f'fill="{_INK}" font-size="9" font-weight="bold"',
    "label-on": 'fill="#ffffff" font-size="9" font-weight="bold"',
    "label-accent": f'fill="{_ACCENT}" font-size="9" font-weight="bold"',
}
Anchor = Literal["start", "middle", "end"]


_NOT_IN_ANCHORS = re.compile(r"[^A-Za-z0-9._-]")


def anchor(id: str) -> str:
    """An id of a document as part of the name of a place on the page."""
    return _NOT_IN_ANCHORS.sub("_", id)


def coordinate(value: float) -> str:
    """A coordinate with at most one decimal."""
    text = f"{value:.1f}"
    return text.removesuffix(".0").replace("-0", "0") if text in ("-0.0", "0.0") else text.removesuffix(".0")


class Sheet:
    """One drawing. x to the right, y downwards, in units that are pixels on a phone."""

    def __init__(
        self,
        width: float,
        height: float,
        *,
        name: str = "",
        title: str = "",
        description: str = "",
        kind: str = "",
        standalone: bool = False,
        role: Literal["img", "group"] = "img",
        axis: Sequence[float] = (),
    ) -> None:
        """name: unique in the page, where there is a title. Without a title the drawing is for the eye only.

        axis: left, right, top and bottom of a plot, and its last heel, for the script that reads it.
        """
        self.width, self.height = width, height
        self._standalone = standalone
        size = f'viewBox="0 0 {coordinate(width)} {coordinate(height)}"'
        if standalone:
            size = f'xmlns="http://www.w3.org/2000/svg" width="{width:g}" height="{height:g}" {size}'
        if axis:
            size += f' data-axis="{" ".join(f"{place:g}" for place in axis)}"'
        if title:
            spoken = f'role="{role}" aria-labelledby="{name}-title" aria-describedby="{name}-text"'
            inside = (
                f'<title id="{name}-title">{escape(title)}</title>'
                f'<desc id="{name}-text">{escape(description)}</desc>'
            )
        else:
            spoken, inside = 'aria-hidden="true" focusable="false"', ""
        self._parts = [f'<svg class="drawing {kind}" {size} {spoken}>', inside]

    def _tone(self, tone: str) -> str:
        return f'class="{tone}" {_TONES[tone]}' if self._standalone else f'class="{tone}"'

    def line(self, start: Point, end: Point, tone: str) -> None:
        """A straight line."""
        (a, b), (c, d) = start, end
        at = f'x1="{coordinate(a)}" y1="{coordinate(b)}" x2="{coordinate(c)}" y2="{coordinate(d)}"'
        self._parts.append(f"<line {at} {self._tone(tone)}/>")

    def polyline(self, points: Iterable[Point], tone: str) -> None:
        """A line through points."""
        self._parts.append(f'<polyline points="{_points(points)}" {self._tone(tone)}/>')

    def polygon(self, points: Iterable[Point], tone: str) -> None:
        """A closed surface."""
        self._parts.append(f'<polygon points="{_points(points)}" {self._tone(tone)}/>')

    def rectangle(self, corner: Point, width: float, height: float, tone: str) -> None:
        """A rectangle from its upper left corner."""
        at = f'x="{coordinate(corner[0])}" y="{coordinate(corner[1])}"'
        size = f'width="{coordinate(max(width, 0))}" height="{coordinate(height)}"'
        self._parts.append(f"<rect {at} {size} {self._tone(tone)}/>")

    def circle(self, centre: Point, radius: float, tone: str) -> None:
        """A circle."""
        at = f'cx="{coordinate(centre[0])}" cy="{coordinate(centre[1])}" r="{coordinate(radius)}"'
        self._parts.append(f"<circle {at} {self._tone(tone)}/>")

    def text(
        self, at: Point, words: str, tone: str = "label", anchor: Anchor = "start", turn: float = 0.0
    ) -> None:
        """Words at a point; turn: degrees clockwise about it."""
        turned = f' transform="rotate({turn:g} {at[0]:.1f} {at[1]:.1f})"' if turn else ""
        side = f' text-anchor="{anchor}"' if anchor != "start" else ""
        place = f'x="{coordinate(at[0])}" y="{coordinate(at[1])}"'
        self._parts.append(f"<text {place}{side}{turned} {self._tone(tone)}>{escape(words)}</text>")

    def box_with_bilges(self, left: float, top: float, right: float, bottom: float, radius: float) -> None:
        """A midship section: straight sides and bottom, round bilges, open to nothing."""
        c = coordinate
        path = (
            f"M{c(left)} {c(top)}V{c(bottom - radius)}Q{c(left)} {c(bottom)} {c(left + radius)} {c(bottom)}"
            f"H{c(right - radius)}Q{c(right)} {c(bottom)} {c(right)} {c(bottom - radius)}V{c(top)}Z"
        )
        self._parts.append(f'<path d="{path}" {self._tone("hull")}/>')

    def path(self, path: str, tone: str) -> None:
        """A line by its path data, which is ours."""
        self._parts.append(f'<path d="{path}" {self._tone(tone)}/>')

    def begin_turn(self, angle: float, centre: Point) -> None:
        """What follows until `end` is turned clockwise about a point; degrees."""
        self._parts.append(f'<g transform="rotate({angle:.2f} {centre[0]:.1f} {centre[1]:.1f})">')

    def begin_link(self, target: str, words: str) -> None:
        """What follows until `end_link` is a link, for the pointer only: the same link stands in the text."""
        self._parts.append(
            f'<a href="{escape(target)}" tabindex="-1" aria-hidden="true"><title>{escape(words)}</title>'
        )

    def end(self) -> None:
        """End a turned part."""
        self._parts.append("</g>")

    def end_link(self) -> None:
        """End a link."""
        self._parts.append("</a>")

    def markup(self) -> Markup:
        """The whole drawing."""
        return Markup("".join(self._parts) + "</svg>")  # noqa: S704 - every text above went through escape


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{coordinate(x)},{coordinate(y)}" for x, y in points)


def ticks(low: float, high: float, about: int) -> list[float]:
    """Round values from `low` to `high`, roughly `about` of them."""
    span = high - low
    if span <= 0.0:
        return [low]
    rough = span / about
    power = 10.0 ** _floor_log10(rough)
    step = next(s * power for s in (1.0, 2.0, 5.0, 10.0) if s * power >= rough * 0.999)
    first = -int(-low // step) if low > 0 else int(low / step)
    values = [(first + i) * step for i in range(int(span / step) + 2)]
    return [v for v in values if low - 1e-9 * span <= v <= high + 1e-9 * span]


def decimals_of(values: Sequence[float]) -> int:
    """Decimals that tell round values apart."""
    step = min((abs(b - a) for a, b in pairwise(values)), default=1.0)
    return max(0, -_floor_log10(step * 1.0001))


def _floor_log10(value: float) -> int:
    exponent = 0
    while value < 1.0:
        value *= 10.0
        exponent -= 1
    while value >= 10.0:
        value /= 10.0
        exponent += 1
    return exponent
