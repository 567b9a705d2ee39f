"""The righting lever curve: what counts as a line, what lies beyond the end of its range dotted; areas shaded where a
criterion measures them and bracketed below the axis with their figures, requirements as marks.

No label lies on the curve: verticals have theirs in a band above the plot, areas theirs below it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup

from service.pages.drawings.measure import judged, lever_at
from service.pages.drawings.svg import Anchor, Point, Sheet, decimals_of, ticks
from service.wire.assessment import Assessment, Criterion
from service.wire.figures import figure, rounded, unit
from service.wire.righting_lever import RangeEnd, RightingLever
from service.wire.verdict_words import ENDS, beyond_in_words, not_computed_in_words

WIDTH = 360.0
LEFT, RIGHT, TOP, BOTTOM = 38.0, 352.0, 34.0, 186.0
LEGEND = 226.0
BRACKET, ROW = 32.0, 15.0
"""From the axis to the first bracket, and from one to the next."""
CLEAR = 6.0
"""From a bracket to the words on either side of it."""
LETTER = 7.3
"""Mean width of a letter of a bold label on a phone, in the broadest of the system fonts."""
APART = 105.0
"""Two labels above the plot nearer than this stand in two rows."""
LEAST_AREAS = (("area_to_30", 0.0, 30.0), ("area_to_40", 0.0, 40.0), ("area_30_to_40", 30.0, 40.0))


@dataclass(frozen=True)
class Compared:
    """A second curve in the same plot, in the same units."""

    label: str
    curve: RightingLever
    own: str
    """What the first curve is called beside it."""


@dataclass(frozen=True)
class Frame:
    """Scales of a plot of levers."""

    first: float
    last: float
    low: float
    high: float
    right: float = RIGHT

    def at(self, heel: float, lever: float) -> Point:
        """A point of the plot."""
        y = BOTTOM - (BOTTOM - TOP) * (lever - self.low) / (self.high - self.low)
        return LEFT + (self.right - LEFT) * (heel - self.first) / (self.last - self.first), y


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
    areas = [] if compared else areas_judged(answer, curve)
    frame = replace(frame, right=_right_of(frame, areas))
    height = LEGEND if compared else BOTTOM + BRACKET + ROW * max(len(areas), 1) - 5.0
    sheet = Sheet(
        WIDTH,
        height,
        name=name,
        title=f"Righting lever, to {curve['side']}, free surface included",
        description=lever_in_words(answer),
        kind="lever",
        standalone=standalone,
        axis=() if standalone else (LEFT, frame.right, TOP, BOTTOM, frame.last),
    )
    if compared is None:
        _shades(sheet, frame, curve)
    draw_axes(sheet, frame, answer)
    _verticals(sheet, frame, curve)
    if compared is None:
        _requirements(sheet, frame, answer)
        _brackets(sheet, frame, answer, areas)
    else:
        draw_curve(sheet, frame, compared.curve, "before")
        _legend(sheet, compared)
    draw_curve(sheet, frame, curve, "accent")
    _greatest(sheet, frame, curve)
    return sheet.markup()


def _frame(curve: RightingLever, compared: Compared | None) -> Frame:
    curves = [curve] if compared is None else [curve, compared.curve]
    last = max(_last_shown(c) for c in curves)
    high = max(max(c["levers"]) for c in curves)
    low = min(
        0.0, *(min(v for h, v in zip(c["heels"], c["levers"], strict=True) if h <= last) for c in curves)
    )
    if high <= 0.0:  # she rights herself nowhere: the whole curve lies below
        return Frame(0.0, last, 1.1 * low, -0.3 * low)
    high = max(high, 0.05)
    return Frame(0.0, last, min(-0.16 * high, max(low, -0.35 * high)), 1.24 * high)


def _right_of(frame: Frame, areas: Sequence[tuple[float, float, Criterion]]) -> float:
    """Where the plot ends, so that the figures behind the brackets of the areas stay on the sheet."""
    right = RIGHT
    for _, end, row in areas:
        room = WIDTH - LEFT - CLEAR - LETTER * len(area_in_words(row))
        right = min(right, LEFT + room * frame.last / min(end, frame.last))
    return right


def _last_shown(curve: RightingLever) -> float:
    """The plot ends a little beyond where the levers vanish, at whole tens; at most where the curve ends."""
    beyond = curve["beyond"]
    vanishing = curve["vanishing_angle"] or (None if beyond is None else beyond["vanishing_angle"])
    last = curve["heels"][-1]
    if vanishing is None:
        return last
    return min(last, max(60.0, 10.0 * -(-(vanishing + 4.0) // 10.0)))


def draw_axes(sheet: Sheet, frame: Frame, answer: Assessment) -> None:
    """Levels of the lever as thin lines, heels under the plot."""
    levels = ticks(frame.low, frame.high, 5)
    decimals = decimals_of(levels)
    for level in levels:
        _, y = frame.at(0.0, level)
        sheet.line((LEFT, y), (frame.right, y), "grid" if abs(level) > 1e-12 else "ink")
        sheet.text((LEFT - 4, y + 3.5), rounded(level, decimals), "label-quiet", "end")
    step = 10.0 if frame.last - frame.first <= 70.0 else 20.0
    heel = step * -(-frame.first // step)
    while heel <= frame.last + 1e-9:
        x, _ = frame.at(heel, 0.0)
        sheet.line((x, BOTTOM), (x, BOTTOM + 4), "hair")
        sheet.text((x, BOTTOM + 15), f"{rounded(heel, 0)}°", "label-quiet", "middle")
        heel += step
    zero, _ = frame.at(0.0, 0.0)
    sheet.line((zero, TOP - 6), (zero, BOTTOM), "hair" if frame.first < 0.0 else "ink")
    sheet.text((2, TOP - 9), f"GZ, {unit('lever', answer['units']['system'])}", "label-quiet")


def range_end(curve: RightingLever) -> float:
    """The angle up to which the levers count; the end of the curve where an older answer does not say."""
    end: RangeEnd | None = curve["range_end"]
    return curve["heels"][-1] if end is None else end["angle"]


def visible(frame: Frame, curve: RightingLever, start: float, end: float) -> list[Point]:
    """Points of the curve from `start` to `end` degrees, down to the lower edge of the plot."""
    end = min(end, frame.last)
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


def draw_curve(sheet: Sheet, frame: Frame, curve: RightingLever, tone: str) -> None:
    """What counts in the tone of the curve, what lies beyond in one of its own."""
    end, last = range_end(curve), min(curve["heels"][-1], frame.last)
    sheet.polyline(visible(frame, curve, 0.0, end), tone)
    if end < last:
        beyond = visible(frame, curve, end, last)
        if len(beyond) > 1:
            sheet.polyline(beyond, "beyond")


def areas_judged(answer: Assessment, curve: RightingLever) -> list[tuple[float, float, Criterion]]:
    """The areas that a criterion measures, each with its angles: to 30, to 40 or where levers stop to count, and
    between; of several documents the one with the greatest requirement."""
    found = []
    for key, start, end in LEAST_AREAS:
        rows = judged(answer, key)
        if rows and end > start:
            row = max(rows, key=lambda c: (c["verdict"] == "fail", c["counts"], c["limit"] or 0.0))
            found.append((start, min(end, range_end(curve)) if end > 30.0 else end, row))
    return found


def _shades(sheet: Sheet, frame: Frame, curve: RightingLever) -> None:
    """Area to 30 degrees, and from there to 40 or to where the levers stop to count."""
    stop = min(range_end(curve), 40.0, frame.last)
    for start, end, tone in ((0.0, min(30.0, stop), "wash"), (30.0, stop, "wash-deep")):
        if end <= start:
            continue
        steps = [start, *(h for h in curve["heels"] if start < h < end), end]
        top = [frame.at(h, max(lever_at(curve, h), 0.0)) for h in steps]
        sheet.polygon([frame.at(start, 0.0), *top, frame.at(end, 0.0)], tone)


def _verticals(sheet: Sheet, frame: Frame, curve: RightingLever) -> None:
    """Deck edge and down-flooding, labelled above the plot."""
    marks = ((curve["deck_edge_angle"], "deck edge"), (curve["down_flooding"]["angle"], "floods"))
    known = sorted((angle, word) for angle, word in marks if angle is not None and angle <= frame.last)
    before = None
    for angle, word in known:
        x, _ = frame.at(angle, 0.0)
        y = 10.0 if before is None or x - before > APART else 22.0
        before = x
        sheet.line((x, y + 4), (x, BOTTOM), "dash")
        side: Anchor = "middle" if LEFT + 40 < x < RIGHT - 42 else "end" if x > RIGHT - 42 else "start"
        sheet.text(
            (min(x, RIGHT) if side != "start" else x - 4, y), f"{word} {angle:.1f}°", "label-halo", side
        )


def _requirements(sheet: Sheet, frame: Frame, answer: Assessment) -> None:
    """The least greatest lever and the least angle of the maximum, where a clause asks for them."""
    for row in judged(answer, "greatest_lever_from_30")[:1]:
        if row["limit"] is not None and row["limit"] <= frame.high:
            start, end = frame.at(30.0, row["limit"]), frame.at(min(43.0, frame.last), row["limit"])
            sheet.line(start, end, "fat")
            sheet.text((start[0] + 3, start[1] + 14), f"needs {rounded(row['limit'], 2)}", "label-halo")
    for row in judged(answer, "angle_of_maximum")[:1]:
        x, _ = frame.at(row["limit"] or 0.0, 0.0)
        sheet.polygon([(x - 4, BOTTOM + 8), (x + 4, BOTTOM + 8), (x, BOTTOM + 1)], "solid")


def _brackets(
    sheet: Sheet, frame: Frame, answer: Assessment, areas: Sequence[tuple[float, float, Criterion]]
) -> None:
    """The measured areas as brackets below the axis with what is attained and needed; thick where one fails."""
    if not areas:
        return
    unit_of = areas[0][2]["unit"].replace("degree", "°")
    first = BOTTOM + BRACKET - 4.0
    sheet.text((LEFT - CLEAR, first + 2), "area,", "label-quiet", "end")
    sheet.text((LEFT - CLEAR, first + 15), unit_of, "label-quiet", "end")
    for place, (start, end, row) in enumerate(areas):
        y, fails = first + ROW * place, row["verdict"] == "fail" and row["counts"]
        left, right = frame.at(start, 0.0)[0], frame.at(min(end, frame.last), 0.0)[0]
        sheet.line((left, y), (right, y), "fat" if fails else "ink")
        sheet.line((left, y - 4), (left, y + 4), "ink")
        sheet.line((right, y - 4), (right, y + 4), "ink")
        sheet.text((right + CLEAR, y + 4), area_in_words(row), "label-bold" if fails else "label")


def area_in_words(row: Criterion) -> str:
    """What is attained of an area and what is needed."""
    return f"{in_decimals(row['attained'])}, needs {in_decimals(row['limit'])}"


def in_decimals(value: float | None) -> str:
    """An area with as many decimals as it is read with."""
    return rounded(value, 3 if value is None or abs(value) < 2.0 else 2)


def _greatest(sheet: Sheet, frame: Frame, curve: RightingLever) -> None:
    x, y = frame.at(curve["angle_of_maximum"], curve["maximum"])
    sheet.circle((x, y), 3.2, "open")
    words = f"{rounded(curve['maximum'], 3)} at {curve['angle_of_maximum']:.1f}°"
    side: Anchor = "middle" if LEFT + 52 < x < RIGHT - 52 else "end" if x >= RIGHT - 52 else "start"
    sheet.text((x if side != "start" else x + 6, y - 9), words, "label-accent", side)


def _legend(sheet: Sheet, compared: Compared) -> None:
    y = LEGEND - 4.0
    sheet.line((LEFT, y - 4), (LEFT + 22, y - 4), "accent")
    sheet.text((LEFT + 27, y), compared.own, "label")
    sheet.line((LEFT + 150, y - 4), (LEFT + 172, y - 4), "before")
    sheet.text((LEFT + 177, y), compared.label, "label")


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
