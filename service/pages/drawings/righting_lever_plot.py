"""The righting lever curve: what counts as a line, what lies beyond the end of its range dotted; areas shaded where a
criterion measures them, requirements as marks, wind levers thin."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from service.pages.drawings.svg import Anchor, Point, Sheet, decimals_of, ticks
from service.wire.assessment import Assessment
from service.wire.figures import figure, rounded, unit
from service.wire.righting_lever import RangeEnd, RightingLever
from service.wire.verdict_words import ENDS, beyond_in_words, not_computed_in_words

WIDTH, HEIGHT = 360.0, 250.0
LEFT, RIGHT, TOP, BOTTOM = 36.0, 352.0, 16.0, 216.0
ROOM_FOR_BEYOND = 84.0


@dataclass(frozen=True)
class Compared:
    """A second curve in the same plot, in the same units."""

    label: str
    curve: RightingLever
    own: str
    """What the first curve is called beside it."""


@dataclass(frozen=True)
class _Frame:
    """Scales of the plot."""

    last: float
    low: float
    high: float

    def at(self, heel: float, lever: float) -> Point:
        y = BOTTOM - (BOTTOM - TOP) * (lever - self.low) / (self.high - self.low)
        return LEFT + (RIGHT - LEFT) * heel / self.last, y


def detail(answer: Assessment, criterion: str, key: str) -> float | None:
    """An intermediate value of the criteria that measure `criterion`, by its key, in the unit of its document."""
    for found in answer["criteria"]:
        for row in found["details"] if found["key"] == criterion else ():
            if row["key"] == key and isinstance(row["value"], float):
                return row["value"]
    return None


def lever_at(curve: RightingLever, heel: float) -> float:
    """The plotted lever at an angle: straight between the points of the answer."""
    heels, levers = curve["heels"], curve["levers"]
    for i in range(1, len(heels)):
        if heel <= heels[i]:
            share = (heel - heels[i - 1]) / (heels[i] - heels[i - 1])
            return levers[i - 1] + share * (levers[i] - levers[i - 1])
    return levers[-1]


def righting_lever_plot(
    answer: Assessment,
    *,
    name: str = "lever",
    compared: Compared | None = None,
    standalone: bool = False,
) -> Markup:
    """The plot of one assessment; empty where she has no curve."""
    curve = answer["righting_lever"]
    if curve is None:
        return Markup("")
    frame = _frame(curve, compared)
    sheet = Sheet(
        WIDTH,
        HEIGHT,
        name=name,
        title=f"Righting lever, to {curve['side']}, free surface included",
        description=lever_in_words(answer),
        kind="lever",
        standalone=standalone,
        axis=() if standalone else (LEFT, RIGHT, TOP, BOTTOM),
    )
    if compared is None:
        _areas(sheet, frame, curve)
    _axes(sheet, frame, answer)
    if compared is None:
        _verticals(sheet, frame, curve)
        _requirements(sheet, frame, answer)
        _wind(sheet, frame, answer)
    else:
        _curve(sheet, frame, compared.curve, "accent-dash")
        _legend(sheet, compared)
    _curve(sheet, frame, curve, "accent")
    if compared is None:
        _beyond(sheet, frame, curve)
        _greatest(sheet, frame, answer, curve)
    return sheet.markup()


def _frame(curve: RightingLever, compared: Compared | None) -> _Frame:
    curves = [curve] if compared is None else [curve, compared.curve]
    last = max(c["heels"][-1] for c in curves)
    high = max(max(c["levers"]) for c in curves)
    low = min(0.0, *(min(c["levers"]) for c in curves))
    if high <= 0.0:  # she rights herself nowhere: the whole curve lies below
        return _Frame(last, 1.1 * low, -0.3 * low)
    high = max(high, 0.05)
    return _Frame(last, max(low, -0.35 * high), 1.18 * high)


def _axes(sheet: Sheet, frame: _Frame, answer: Assessment) -> None:
    length = unit("lever", answer["units"]["system"])
    levels = ticks(frame.low, frame.high, 5)
    decimals = decimals_of(levels)
    for level in levels:
        left, y = frame.at(0.0, level)
        sheet.line((left, y), (RIGHT, y), "grid" if abs(level) > 1e-12 else "ink")
        sheet.text((left - 4, y + 3), rounded(level, decimals), "label-quiet", "end")
    for heel in ticks(0.0, frame.last, 8):
        x, _ = frame.at(heel, 0.0)
        sheet.line((x, BOTTOM), (x, BOTTOM + 4), "hair")
        sheet.text((x, BOTTOM + 14), f"{heel:g}", "label-quiet", "middle")
    sheet.line((LEFT, TOP - 4), (LEFT, BOTTOM), "ink")
    sheet.text((2, 10), f"GZ, {length}", "label-quiet")
    sheet.text((RIGHT, HEIGHT - 6), "heel, degrees", "label-quiet", "end")


def range_end(curve: RightingLever) -> float:
    """The angle up to which the levers count; the end of the curve where an older answer does not say."""
    end: RangeEnd | None = curve["range_end"]
    return curve["heels"][-1] if end is None else end["angle"]


def _visible(frame: _Frame, curve: RightingLever, start: float, end: float) -> list[Point]:
    """Points of the curve from `start` to `end` degrees, down to the lower edge of the plot."""
    inner = [(h, v) for h, v in zip(curve["heels"], curve["levers"], strict=True) if start < h < end]
    rows = [(start, lever_at(curve, start)), *inner, (end, lever_at(curve, end))]
    points: list[Point] = []
    last: tuple[float, float] | None = None
    for heel, lever in rows:
        if lever < frame.low:
            if last is not None and last[1] > frame.low:
                share = (last[1] - frame.low) / (last[1] - lever)
                points.append(frame.at(last[0] + share * (heel - last[0]), frame.low))
                break
        else:
            points.append(frame.at(heel, lever))
        last = (heel, lever)
    return points


def _curve(sheet: Sheet, frame: _Frame, curve: RightingLever, tone: str) -> None:
    """What counts in the tone of the curve, what lies beyond in one of its own."""
    end, last = range_end(curve), curve["heels"][-1]
    sheet.polyline(_visible(frame, curve, 0.0, end), tone)
    if end < last:
        beyond = _visible(frame, curve, end, last)
        if len(beyond) > 1:
            sheet.polyline(beyond, "beyond")


def _beyond(sheet: Sheet, frame: _Frame, curve: RightingLever) -> None:
    """The label of what lies beyond the end of the range, above its curve and clear of the vertical at the end."""
    end, last = range_end(curve), curve["heels"][-1]
    points = _visible(frame, curve, end, last)
    if end >= last or len(points) < 2:
        return
    first, final = points[0], points[-1]
    falls = final[1] > first[1]
    _, zero = frame.at(0.0, 0.0)
    x, y = next((p for p in points[1:] if p[1] >= (first[1] + zero) / 2.0), final)
    if falls and RIGHT - x > ROOM_FOR_BEYOND:
        sheet.text((x + 6, y), "does not count", "label-halo")
    else:
        corner = (RIGHT, TOP + 6 if falls else BOTTOM - 6)
        sheet.text(corner, "dotted: does not count", "label-halo", "end")


def _areas(sheet: Sheet, frame: _Frame, curve: RightingLever) -> None:
    """Area to 30 degrees and from there to 40 or to down-flooding, each with its figure."""
    for area, tone in zip(curve["areas"], ("wash", "", "wash-deep"), strict=False):
        start, end = area["start"], area["end"]
        if not tone or area["area"] is None or end <= start:
            continue
        steps = [start, *(h for h in curve["heels"] if start < h < end), end]
        top = [frame.at(h, max(lever_at(curve, h), 0.0)) for h in steps]
        sheet.polygon([frame.at(start, 0.0), *top, frame.at(end, 0.0)], tone)
        x, y = frame.at((start + end) / 2 if start > 0.0 else 0.66 * end, 0.0)
        sheet.text((x, y - 5), rounded(area["area"], 3), "label", "middle")


def _verticals(sheet: Sheet, frame: _Frame, curve: RightingLever) -> None:
    flooding = curve["down_flooding"]
    marks = (
        (curve["deck_edge_angle"], "deck edge"),
        (flooding["angle"], "down-flooding φf"),
    )
    for angle, word in marks:
        if angle is None or angle > frame.last:
            continue
        x, _ = frame.at(angle, 0.0)
        sheet.line((x, TOP - 4), (x, BOTTOM), "dash")
        # Where the levers end there, the words stand on the far side: the curve lies on the near one.
        right = word.startswith("down") and curve["angle_of_maximum"] < angle < 0.9 * frame.last
        sheet.text((x + (9 if right else -3), TOP - 2), f"{word} {angle:.1f}°", "label-halo", "end", turn=-90)


def _requirements(sheet: Sheet, frame: _Frame, answer: Assessment) -> None:
    """The least greatest lever and the least angle of the maximum, where a clause asks for them."""
    for criterion in answer["criteria"]:
        if criterion["limit"] is None or criterion["verdict"] not in ("pass", "fail"):
            continue
        if criterion["key"] == "greatest_lever_from_30" and criterion["limit"] <= frame.high:
            start, end = (
                frame.at(30.0, criterion["limit"]),
                frame.at(min(46.0, frame.last), criterion["limit"]),
            )
            sheet.line(start, end, "ink")
            words = f"{rounded(criterion['limit'], 2)} required"
            sheet.text((start[0] + 3, start[1] - 3), words, "label")
        if criterion["key"] == "angle_of_maximum":
            x, _ = frame.at(criterion["limit"], 0.0)
            sheet.polygon([(x - 4, BOTTOM + 7), (x + 4, BOTTOM + 7), (x, BOTTOM)], "solid")


def _wind(sheet: Sheet, frame: _Frame, answer: Assessment) -> None:
    """Steady and gust wind levers, from the angle to windward to the end of the areas."""
    metric = answer["units"]["system"] == "metric"
    factor = 1.0 if metric else 1.0 / 0.3048
    end = min(detail(answer, "weather_areas", "end_of_area_b") or frame.last, frame.last)
    levers = [detail(answer, "weather_areas", key) for key in ("gust_wind_lever", "steady_wind_lever")]
    drawn = [frame.at(end, lever * factor) for lever in levers if lever is not None]
    for x, y in drawn:
        sheet.line((LEFT, y), (x, y), "hair")
    if len(drawn) == 2 and drawn[1][1] - drawn[0][1] > 11:
        sheet.text((drawn[0][0] + 3, drawn[0][1] + 3), "gust", "label-quiet")
        sheet.text((drawn[1][0] + 3, drawn[1][1] + 3), "steady wind", "label-quiet")
    elif drawn:
        words = "gust over steady wind" if len(drawn) == 2 else "steady wind"
        sheet.text((drawn[0][0] + 3, (drawn[0][1] + drawn[-1][1]) / 2 + 3), words, "label-quiet")


def _greatest(sheet: Sheet, frame: _Frame, answer: Assessment, curve: RightingLever) -> None:
    x, y = frame.at(curve["angle_of_maximum"], curve["maximum"])
    sheet.circle((x, y), 3, "open")
    words = (
        f"{figure(curve['maximum'], 'lever', answer['units']['system'])} at {curve['angle_of_maximum']:.1f}°"
    )
    anchor, shift = _free_side(frame, curve)
    sheet.text((x + shift, y - 7), words, "label-accent", anchor)


def _free_side(frame: _Frame, curve: RightingLever) -> tuple[Anchor, float]:
    """Where the words beside the maximum keep clear of the words of a vertical, which stand left of it."""
    verticals = [a for a in (curve["deck_edge_angle"], curve["down_flooding"]["angle"]) if a is not None]
    half = frame.last * 0.14
    at = curve["angle_of_maximum"]
    sides: tuple[tuple[Anchor, float, float, float], ...] = (
        ("middle", 0.0, at - half, at + half),
        ("start", 5.0, at, at + 0.26 * frame.last),
        ("end", -5.0, at - 0.26 * frame.last, at),
    )
    for anchor, shift, low, high in sides:
        if low > 0.0 and high < frame.last and not any(low < a < high + 0.06 * frame.last for a in verticals):
            return anchor, shift
    return ("end", -5.0) if at > 0.7 * frame.last else ("middle", 0.0)


def _legend(sheet: Sheet, compared: Compared) -> None:
    y = HEIGHT - 8
    sheet.line((LEFT, y - 3), (LEFT + 22, y - 3), "accent")
    sheet.text((LEFT + 26, y), compared.own, "label")
    sheet.line((LEFT + 92, y - 3), (LEFT + 114, y - 3), "accent-dash")
    sheet.text((LEFT + 118, y), compared.label, "label")


def lever_in_words(answer: Assessment) -> str:
    """The text alternative: what counts first, what lies beyond it apart; or why there is no curve."""
    curve = answer["righting_lever"]
    if curve is None:
        no_curves = "No righting lever: the stored booklet has no cross curves."
        return not_computed_in_words(answer, "righting_lever") or no_curves
    system = answer["units"]["system"]
    flooding = curve["down_flooding"]
    if not flooding["known"]:
        flooded = "Down-flooding is not known: the vessel document names no openings."
    elif flooding["angle"] is None:
        flooded = "No opening floods within the cross curves."
    else:
        flooded = f"Down-flooding at {flooding['angle']:.1f}°, {flooding['name']}."
    deck = curve["deck_edge_angle"]
    edge = "" if deck is None else f" Deck edge under at {deck:.1f}°."
    greatest = (
        f"{figure(curve['maximum'], 'lever', system)} at {curve['angle_of_maximum']:.1f}° to {curve['side']}"
    )
    end: RangeEnd | None = curve["range_end"]
    if end is None:
        vanishing = curve["vanishing_angle"]
        vanishes = "beyond the cross curves" if vanishing is None else f"at {vanishing:.1f}°"
        counts = f"Greatest lever {greatest}; it vanishes {vanishes}."
    else:
        counts = f"Greatest lever that counts {greatest}; levers count to {end['angle']:.1f}°, {ENDS[end['reason']]}."
        beyond = beyond_in_words(curve, system)
        if beyond:
            counts += f" Beyond that, which does not count, {beyond}."
    return f"{counts} {areas_in_words(answer)}{flooded}{edge}"


def areas_in_words(answer: Assessment) -> str:
    """The areas under the curve as a sentence, with a space after it."""
    curve = answer["righting_lever"]
    if curve is None:
        return ""
    system = answer["units"]["system"]
    parts = [
        f"{a['start']:.0f}° to {a['end']:.0f}° {figure(a['area'], 'lever_area', system)}"
        for a in curve["areas"]
        if a["area"] is not None
    ]
    return f"Areas: {'; '.join(parts)}. " if parts else ""


def table_of_levers(curve: RightingLever, step: float = 5.0) -> list[tuple[float, float, bool]]:
    """Heel and lever at every `step` degrees that the answer holds, and whether it counts."""
    end = range_end(curve)
    rows: Sequence[tuple[float, float]] = list(zip(curve["heels"], curve["levers"], strict=True))
    return [
        (heel, lever, heel <= end + 1e-9)
        for heel, lever in rows
        if abs(heel / step - round(heel / step)) < 1e-6
    ]
