"""The GM ledger: from KM, less KG, to GM solid; less each slack tank, to GM; the requirement across it.

Below zero the slices run left of the line of zero. Labels stand in rows of their own under the strip, with leaders
that never cross; a name too long for the sheet is cut there, and whole in the table.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from service.pages.drawings.svg import Sheet, anchor
from service.pages.pictures import clause_of
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import figure, number
from service.wire.verdict_words import not_computed_in_words

WIDTH = 360.0
LEFT, RIGHT = 4.0, 352.0
TOP, DEEP = 66.0, 26.0
"""Upper edge and height of the lower strip."""
ROW = 14.0
MOST_NAMED, LEAST_SHARE = 4, 0.03
"""Slices that have a name of their own: four at most, from 3 % of GM or of the requirement on."""
LETTER = 6.2
"""Mean width of a letter of a name on a phone, in the broadest of the system fonts."""
NARROW = 76.0
"""A bar shorter than this has its figure beside it."""


@dataclass(frozen=True)
class Slice:
    """What one tank costs; `target`: the anchor of its line on the page."""

    name: str
    loss: float
    target: str
    assumed: bool


@dataclass(frozen=True)
class Required:
    """The greatest GM that a clause asks for."""

    value: float
    clause: str


def slices_of(answer: Assessment) -> list[Slice]:
    """Every loss of GM, the greatest first."""
    slack = [Slice(t["name"], t["gm_loss"], f"#tank-{anchor(t['tank'])}", False) for t in answer["tanks"]]
    assumed = [
        Slice(f"{t['name']}, assumed", t["gm_loss"], "#assumed", True)
        for t in answer["assumed_free_surfaces"]
    ]
    return sorted((s for s in slack + assumed if s.loss > 0.0), key=lambda s: -s.loss)


def required_gm(answer: Assessment) -> Required | None:
    """The greatest least GM among the criteria that count and were judged, in the units of the answer. A greatest VCG
    is the GM that it leaves."""
    corrected = answer["stability"]["gm_corrected"]
    asked = []
    for c in answer["criteria"]:
        if c["verdict"] not in ("pass", "fail") or not c["counts"] or c["limit"] is None:
            continue
        clause = clause_of(c)
        if c["key"] == "gm":
            asked.append(Required(c["limit"], clause))
        elif c["key"] == "vcg" and corrected is not None and c["margin"] is not None:
            asked.append(Required(corrected - c["margin"], clause))
    return max(asked, key=lambda r: r.value, default=None)


@dataclass(frozen=True)
class _Frame:
    """What the strip shows and its scale."""

    km: float
    kg: float
    solid: float
    corrected: float
    required: Required | None
    low: float
    high: float
    system: UnitSystem

    @classmethod
    def of(cls, answer: Assessment) -> "_Frame | None":
        """None where GM could not be computed."""
        km, stability = answer["flotation"]["km"], answer["stability"]
        solid, corrected = stability["gm_solid"], stability["gm_corrected"]
        if km is None or solid is None or corrected is None:
            return None
        required = required_gm(answer)
        asked = 0.0 if required is None else required.value
        below = corrected <= 0.0
        low = 1.12 * min(0.0, corrected, solid)
        high = (1.16 if below else 1.04) * max(solid, asked, 1e-3)
        return cls(km, answer["vcg_solid"], solid, corrected, required, low, high, answer["units"]["system"])

    def at(self, value: float) -> float:
        """Place on the lower strip."""
        return LEFT + (RIGHT - LEFT) * (value - self.low) / (self.high - self.low)

    def upper(self, value: float) -> float:
        """Place on the upper strip."""
        return LEFT + (RIGHT - LEFT) * max(value, 0.0) / max(self.km, self.kg, 1e-9)

    def lever(self, value: float) -> str:
        """A GM without its unit."""
        return number(value, "lever", self.system)


def gm_ledger(
    answer: Assessment, *, name: str = "ledger", links: bool = True, standalone: bool = False
) -> Markup:
    """The strip of one assessment; empty where GM could not be computed."""
    frame = _Frame.of(answer)
    if frame is None:
        return Markup("")
    parts = _parts(answer, frame)
    sheet = Sheet(
        WIDTH,
        TOP + DEEP + 34.0 + ROW * len(parts),
        name=name,
        title="Where the metacentric height goes",
        description=ledger_in_words(answer),
        kind="ledger",
        standalone=standalone,
        role="group" if links else "img",
    )
    _upper_strip(sheet, frame)
    _slices(sheet, frame, parts, links)
    if frame.corrected > 0.0:
        _above_zero(sheet, frame)
    else:
        _below_zero(sheet, frame)
    _requirement(sheet, frame)
    _names(sheet, frame, parts)
    return sheet.markup()


def _parts(answer: Assessment, frame: _Frame) -> list[Slice]:
    """The slices that are drawn: the named ones, then the rest together."""
    slices = slices_of(answer)
    asked = 0.0 if frame.required is None else frame.required.value
    named = [s for s in slices if s.loss >= LEAST_SHARE * max(abs(frame.solid), asked)][:MOST_NAMED]
    rest = slices[len(named) :]
    if len(rest) == 1:
        return [*named, rest[0]]
    if rest:
        more = f"{len(rest)} {'more ' if named else ''}tanks"
        named.append(Slice(more, sum(s.loss for s in rest), "#tanks", False))
    return named


def _upper_strip(sheet: Sheet, frame: _Frame) -> None:
    """KM with KG in it, and the lines that lead from GM solid to the lower strip."""
    sheet.text((LEFT, 10), f"KG {frame.lever(frame.kg)}", "label-quiet")
    sheet.text((RIGHT, 10), f"KM {frame.lever(frame.km)}", "label-quiet", "end")
    sheet.rectangle((LEFT, 15), frame.upper(min(frame.kg, frame.km)) - LEFT, 9, "wash")
    if frame.solid > 0.01 * frame.high:
        sheet.rectangle(
            (frame.upper(frame.kg), 15), frame.upper(frame.km) - frame.upper(frame.kg), 9, "solid-accent"
        )
        sheet.line((frame.upper(frame.kg), 24), (frame.at(0.0), TOP - 2), "hair")
        sheet.line((frame.upper(frame.km), 24), (frame.at(frame.solid), TOP - 2), "hair")
        if frame.corrected > 0.0:
            words = f"GM solid {frame.lever(frame.solid)}"
            x = frame.at(frame.solid)
            sheet.text((x, 46), words, "label-halo", "end" if x > NARROW else "start")
    else:
        sheet.line((frame.upper(frame.km), 12), (frame.upper(frame.km), 28), "ink")
        sheet.line((frame.upper(frame.kg), 12), (frame.upper(frame.kg), 28), "ink")


def _slices(sheet: Sheet, frame: _Frame, parts: Sequence[Slice], links: bool) -> None:
    place = frame.solid
    for index, part in enumerate(parts):
        left, right = frame.at(place - part.loss), frame.at(place)
        if links:
            sheet.begin_link(part.target, f"{part.name}: {figure(-part.loss, 'lever', frame.system)}")
        tone = "wash-deep" if index % 2 else "wash"
        sheet.rectangle((left + 0.5, TOP), max(right - left - 1.0, 0.8), DEEP, tone)
        if links:
            sheet.end_link()
        place -= part.loss
    sheet.line((frame.at(frame.solid), TOP - 4), (frame.at(frame.solid), TOP + DEEP + 4), "ink")


def _above_zero(sheet: Sheet, frame: _Frame) -> None:
    zero, x = frame.at(0.0), frame.at(frame.corrected)
    sheet.rectangle((zero, TOP), x - zero, DEEP, "solid-accent")
    sheet.line((x, TOP - 4), (x, TOP + DEEP + 14), "ink")
    if x - zero >= NARROW:
        start = zero + 8
        asked = None if frame.required is None else frame.at(frame.required.value)
        if asked is not None and start - 4 < asked < start + NARROW - 16 and x - asked >= NARROW:
            start = asked + 8  # clear of the line of the requirement
        sheet.text((start, TOP + DEEP / 2 + 4), f"GM {frame.lever(frame.corrected)}", "label-on")
    elif frame.required is None:
        sheet.text((x + 4, TOP + DEEP + 24), f"GM {frame.lever(frame.corrected)}", "label-bold")


def _below_zero(sheet: Sheet, frame: _Frame) -> None:
    zero, x = frame.at(0.0), frame.at(frame.corrected)
    sheet.line((zero, TOP - 5), (zero, TOP + DEEP + 5), "fat")
    sheet.text((zero + 5, TOP + DEEP - 1), "0", "label-quiet")
    solid = max(frame.solid, 0.0)
    sheet.text((frame.at(solid) + 5, TOP + 10), f"GM solid {frame.lever(frame.solid)}", "label-halo")
    sheet.line((x, TOP - 4), (x, TOP + DEEP + 14), "ink")
    short = (
        "upright for nothing"
        if frame.corrected == 0.0
        else f"{frame.lever(-frame.corrected)} short of upright"
    )
    sheet.text((x, TOP - 9), short, "label-bold")
    if frame.required is None:
        sheet.text((x, TOP + DEEP + 24), f"GM {frame.lever(frame.corrected)}", "label-bold")


def _requirement(sheet: Sheet, frame: _Frame) -> None:
    """The line of the requirement with its figure and clause, and the bracket between it and GM."""
    if frame.required is None:
        return
    x, own = frame.at(frame.required.value), frame.at(frame.corrected)
    short = frame.corrected < frame.required.value
    below, tone = frame.corrected <= 0.0, "fat" if short else "ink"
    sheet.line((x, TOP - 10), (x, TOP + DEEP + 14), tone)
    words = f"needs {frame.lever(frame.required.value)}, {frame.required.clause}"
    start = x < 0.45 * WIDTH
    height = TOP - (20 if below else 6)
    sheet.text((x + (4 if start else -4), height), words, "label-halo", "start" if start else "end")
    left, right = sorted((own, x))
    sheet.line((left, TOP + DEEP + 10), (right, TOP + DEEP + 10), tone)
    spare = f"{frame.lever(abs(frame.corrected - frame.required.value))} {'short' if short else 'to spare'}"
    if below or own - frame.at(0.0) < NARROW:
        spare = f"GM {frame.lever(frame.corrected)}: {spare}"
    place = (left + right) / 2.0
    side = "middle" if 80.0 < place < WIDTH - 80.0 else "start" if place <= 80.0 else "end"
    at = {"middle": place, "start": max(LEFT, left), "end": min(right, RIGHT)}[side]
    sheet.text((at, TOP + DEEP + 24), spare, "label-bold", side)  # type: ignore[arg-type]


def _names(sheet: Sheet, frame: _Frame, parts: Sequence[Slice]) -> None:
    """Names under the strip, one row each: the leftmost on top where she has GM, at the bottom where she has none."""
    place = frame.solid
    found: list[tuple[float, Slice]] = []
    for part in parts:
        found.append((frame.at(place - part.loss / 2.0), part))
        place -= part.loss
    base, bottom = TOP + DEEP + 42.0, TOP + DEEP
    left = frame.corrected > 0.0 and min((x for x, _ in found), default=0.0) > 0.4 * WIDTH
    side = -1.0 if left else 1.0
    for row, (x, part) in enumerate(sorted(found, key=lambda pair: pair[0], reverse=not left)):
        y = base + ROW * row - 4.0
        sheet.line((x, bottom), (x, y - 3), "hair")
        sheet.line((x, y - 3), (x + 5 * side, y - 3), "hair")
        loss = frame.lever(-part.loss)
        words = f"{_within(part.name, (x if left else WIDTH - x) - 8.0, loss)} {loss}"
        sheet.text((x + 8 * side, y), words, "label-halo", "end" if left else "start")


def _within(name: str, room: float, loss: str) -> str:
    """The name of a tank, cut where it and its loss would leave the sheet."""
    letters = int(room / LETTER) - len(loss) - 1
    return name if len(name) <= letters else f"{name[: max(letters - 1, 8)].rstrip()}…"


def ledger_in_words(answer: Assessment) -> str:
    """The same as sentences, or why there is no GM."""
    system = answer["units"]["system"]
    stability = answer["stability"]
    if stability["gm_corrected"] is None:
        return not_computed_in_words(answer, "stability")
    slices = slices_of(answer)
    costs = "; ".join(f"{s.name} {figure(s.loss, 'lever', system)}" for s in slices[:6])
    if len(slices) > 6:
        rest = sum(s.loss for s in slices[6:])
        costs += f"; {len(slices) - 6} more together {figure(rest, 'lever', system)}"
    required = required_gm(answer)
    asked = (
        "" if required is None else f" Needs {figure(required.value, 'lever', system)}, {required.clause}."
    )
    return (
        f"KM {figure(answer['flotation']['km'], 'lever', system)} "
        f"less KG {figure(answer['vcg_solid'], 'lever', system)}"
        f" is GM solid {figure(stability['gm_solid'], 'lever', system)}. Free surface takes "
        f"{figure(answer['free_surface_correction'], 'lever', system)}{f' ({costs})' if costs else ''}. "
        f"GM {figure(stability['gm_corrected'], 'lever', system)}.{asked}"
    )
