"""Longitudinal strength: weight and buoyancy along her length, shear force and bending moment with their limits."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from markupsafe import Markup

from service.pages.drawings.label_places import LabelPlaces
from service.pages.drawings.strength_limits import Limits
from service.pages.drawings.svg import Anchor, Point, Sheet, ticks
from service.wire.assessment import Assessment
from service.wire.figures import rounded, unit
from service.wire.strength import StrengthAnswer

WIDTH = 360.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 352.0, 24.0, 196.0
HEIGHT = BOTTOM + 34.0
LEADERS = (14.0, 6.0, 26.0, 38.0)
"""How far beyond zero the figure of a peak may stand, in units of the drawing, the first where there is room."""
Quantity = Literal["shear", "bending"]
Limit = tuple[str, Sequence[Point]]


@dataclass(frozen=True)
class _Frame:
    aft: float
    fore: float
    low: float
    high: float

    def at(self, x: float, value: float) -> Point:
        left = LEFT + (RIGHT - LEFT) * (x - self.aft) / (self.fore - self.aft)
        return left, BOTTOM - (BOTTOM - TOP) * (value - self.low) / (self.high - self.low)


def load_plot(answer: Assessment, *, standalone: bool = False) -> Markup:
    """Weight and buoyancy per length; empty where there are no curves."""
    strength = answer.get("strength")
    curves = None if strength is None else strength.get("curves")
    if curves is None:
        return Markup("")
    x, system = curves["x"], answer["units"]["system"]
    high = 1.12 * max(*curves["weight"], *curves["buoyancy"], 1e-9)
    frame = _Frame(x[0], x[-1], 0.0, high)
    per = f"{unit('mass', system)}/{unit('length', system)}"
    sheet = _sheet("loads", "Weight and buoyancy", f"Weight and buoyancy per length, in {per}.", standalone)
    _axes(sheet, frame, per, unit("length", system))
    weight = [frame.at(a, b) for a, b in zip(x, curves["weight"], strict=True)]
    sheet.polygon([frame.at(x[0], 0.0), *weight, frame.at(x[-1], 0.0)], "wash")
    sheet.polyline(weight, "ink")
    sheet.polyline([frame.at(a, b) for a, b in zip(x, curves["buoyancy"], strict=True)], "accent")
    sheet.line((LEFT + 44, 9), (LEFT + 62, 9), "ink")
    sheet.text((LEFT + 66, 12), "weight", "label")
    sheet.line((LEFT + 118, 9), (LEFT + 136, 9), "accent")
    sheet.text((LEFT + 140, 12), "buoyancy", "label")
    return sheet.markup()


def force_plot(
    answer: Assessment, quantity: Quantity, printed: Limits, *, standalone: bool = False
) -> Markup:
    """The curve of shear force or bending moment with its limits at sea (thick) and in harbour (dashed)."""
    strength = answer.get("strength")
    if strength is None:
        return Markup("")
    system = answer["units"]["system"]
    x, values = _curve(strength, quantity)
    limits = [
        (which, points)
        for which in ("harbour", "sea")
        for sign in (1, -1)
        if len(points := printed.get((quantity, which, sign), [])) > 1
    ]
    reach = [*values, 0.0, *(value for _, points in limits for _, value in points)]
    low, high = min(reach), max(reach)
    pad = 0.1 * ((high - low) or 1.0)
    places = [*x, *(place for _, points in limits for place, _ in points)]
    frame = _Frame(min(places), max(places), low - pad, high + pad)
    symbol = unit("mass" if quantity == "shear" else "mass_moment", system)
    title = "Shear force" if quantity == "shear" else "Bending moment, hogging up"
    sheet = _sheet(quantity, title, force_in_words(answer, quantity), standalone)
    _axes(sheet, frame, symbol, unit("length", system))
    points = [frame.at(a, b) for a, b in zip(x, values, strict=True)]
    sheet.polygon([frame.at(x[0], 0.0), *points, frame.at(x[-1], 0.0)], "wash")
    sheet.line(frame.at(frame.aft, 0.0), frame.at(frame.fore, 0.0), "ink")
    for which, line in limits:
        sheet.polyline([frame.at(*point) for point in line], "fat" if which == "sea" else "before")
    room = LabelPlaces(WIDTH, [points])
    _limit_labels(sheet, frame, limits, room)
    sheet.polyline(points, "accent")
    lines = [[frame.at(*point) for point in line] for _, line in limits]
    _peaks(sheet, frame, strength, quantity, room.keeping_clear_of(lines))
    return sheet.markup()


def _limit_labels(sheet: Sheet, frame: _Frame, limits: Sequence[Limit], places: LabelPlaces) -> None:
    """The greatest of each limit in the middle of where it is greatest, or nearer to its ends where the curve comes too
    close; beyond its line, at sea on the side of zero where the limit in harbour lies too near."""
    for which, line in limits:
        greatest = max(abs(value) for _, value in line)
        level = [point for point in line if abs(point[1]) == greatest]
        (aft, value), (fore, _) = level[0], level[-1]
        x = (aft + fore) / 2.0
        _, y = frame.at(x, value)
        beyond = [
            _between(other, x) for name, other in limits if name != which and _between(other, x) * value > 0.0
        ]
        near = any(abs(v) > greatest and abs(frame.at(x, v)[1] - y) < 22.0 for v in beyond)
        upper = (value >= 0.0) is not near
        words = f"{'at sea' if which == 'sea' else 'in harbour'} {rounded(greatest, 0)}"
        wanted: list[tuple[Point, Anchor]] = []
        for share in (0.5, 0.0, 1.0):
            at, _ = frame.at(aft + share * (fore - aft), value)
            at = min(max(at, LEFT + 52.0), RIGHT - 52.0)
            wanted.append(((at, y + (-5.0 if upper else 12.0)), "middle"))
        found = places.place(words, wanted)
        if found is not None:
            sheet.text(found[0], words, "label-halo", found[1])


def _between(line: Sequence[Point], x: float) -> float:
    """A limit at a place, linear between its points, level beyond them."""
    if x <= line[0][0]:
        return line[0][1]
    for (a, low), (b, high) in pairwise(line):
        if a <= x <= b and b > a:
            return low + (high - low) * (x - a) / (b - a)
    return line[-1][1]


def _curve(strength: StrengthAnswer, quantity: Quantity) -> tuple[list[float], list[float]]:
    """The curve of the answer; where it has none, the read-out points and the extremes."""
    curves = strength.get("curves")
    if curves is not None:
        return curves["x"], curves["shear_force" if quantity == "shear" else "bending_moment"]
    points: list[tuple[float, float]] = []
    for station in strength["stations"]:
        if quantity == "shear":
            points.append((station["x"], station["shear_force_aft"]))
            points.append((station["x"], station["shear_force_forward"]))
        else:
            points.append((station["x"], station["bending_moment"]))
    points.sort(key=lambda point: point[0])
    return [x for x, _ in points], [value for _, value in points]


def _sheet(name: str, title: str, words: str, standalone: bool) -> Sheet:
    return Sheet(
        WIDTH,
        HEIGHT,
        name=f"strength-{name}",
        title=title,
        description=words,
        kind="strength",
        standalone=standalone,
    )


def _axes(sheet: Sheet, frame: _Frame, symbol: str, length: str) -> None:
    for level in ticks(frame.low, frame.high, 6):
        _, y = frame.at(frame.aft, level)
        sheet.line((LEFT, y), (RIGHT, y), "grid")
        sheet.text((LEFT - 4, y + 3.5), rounded(level, 0), "label-quiet", "end")
    for place in ticks(frame.aft, frame.fore, 6):
        x, _ = frame.at(place, 0.0)
        sheet.line((x, BOTTOM), (x, BOTTOM + 4), "hair")
        sheet.text((x, BOTTOM + 15), rounded(place, 0), "label-quiet", "middle")
    sheet.text((2, 12), symbol, "label-quiet")
    sheet.text((RIGHT, BOTTOM + 29), f"{length} from the aft perpendicular", "label-quiet", "end")


def _peaks(
    sheet: Sheet, frame: _Frame, strength: StrengthAnswer, quantity: Quantity, room: LabelPlaces
) -> None:
    """The greatest of each sign, its figure on the other side of zero, clear of the limits: near her ends these come
    close to zero, so the figure stands aside of its leader there."""
    greatest, least = (
        strength["extremes"][f"{quantity}_{which}"]  # type: ignore[literal-required]
        for which in ("greatest", "least")
    )
    _, zero = frame.at(frame.aft, 0.0)
    for peak, below in ((greatest, True), (least, False)):
        if abs(peak["value"]) < 0.02 * (frame.high - frame.low):
            continue
        x, y = frame.at(peak["x"], peak["value"])
        percent = "" if peak["percent"] is None else f", {rounded(peak['percent'], 0)} %"
        words = f"{rounded(peak['value'], 0)}{percent}"
        wanted = _places_of_a_peak(x, zero, below)
        at, side = room.place(words, wanted, bold=True) or wanted[0]
        level = at[1] + (-10.0 if below else 3.0)
        sheet.polyline([(x, y), (x, level), (at[0], level)], "ink")
        sheet.circle((x, y), 3.2, "open")
        sheet.text(at, words, "label-bold", side)


def _places_of_a_peak(x: float, zero: float, below: bool) -> list[tuple[Point, Anchor]]:
    """Where the figure of a peak may stand: at the end of its leader, then aside of it towards the middle, then both
    further from zero."""
    inward = 1.0 if x <= (LEFT + RIGHT) / 2.0 else -1.0
    aside: Anchor = "start" if inward > 0.0 else "end"
    wanted: list[tuple[Point, Anchor]] = []
    for length in LEADERS:
        y = zero + (length + 10.0 if below else -length - 3.0)
        if LEFT + 60 < x < RIGHT - 60:
            wanted.append(((x, y), "middle"))
        wanted += [((x + inward * step, y), aside) for step in (0.0, 20.0, 40.0, 60.0, 80.0)]
    return wanted


def force_in_words(answer: Assessment, quantity: Quantity) -> str:
    """The extremes as a sentence."""
    strength = answer.get("strength")
    if strength is None:
        return ""
    system = answer["units"]["system"]
    symbol, length = unit("mass" if quantity == "shear" else "mass_moment", system), unit("length", system)
    parts = []
    for which in ("greatest", "least"):
        peak = strength["extremes"][f"{quantity}_{which}"]  # type: ignore[literal-required]
        used = "" if peak["percent"] is None else f", {rounded(peak['percent'], 0)} % of its limit"
        parts.append(
            f"{which} {rounded(peak['value'], 0)} {symbol} at {rounded(peak['x'], 1)} {length}{used}"
        )
    name = "Shear force" if quantity == "shear" else "Bending moment"
    return f"{name}: {'; '.join(parts)}."
