"""The GM ledger: from KM, less KG, to GM solid; less each slack tank, to GM corrected; the requirement across it."""

from collections.abc import Callable
from dataclasses import dataclass

from markupsafe import Markup

from service.pages.drawings.svg import Anchor, Sheet, anchor
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import figure
from service.wire.verdict_words import not_computed_in_words

WIDTH, HEIGHT = 360.0, 124.0
LEFT, RIGHT = 8.0, 352.0
ROOM_FOR_WORDS = 150.0
SMALLEST_SLICE = 3.0
"""Slices narrower than this are drawn together; each still has its line in the text."""


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
    """The greatest least GM among the criteria that were judged, in the units of the answer."""
    asked = [
        Required(c["limit"], c["clause"])
        for c in answer["criteria"]
        if c["key"] == "gm" and c["verdict"] in ("pass", "fail") and c["limit"] is not None
    ]
    return max(asked, key=lambda r: r.value, default=None)


def gm_ledger(
    answer: Assessment, *, name: str = "ledger", links: bool = True, standalone: bool = False
) -> Markup:
    """The strip of one assessment; empty where GM could not be computed."""
    system = answer["units"]["system"]
    km = answer["flotation"]["km"]
    kg = answer["vcg_solid"]
    solid, corrected = answer["stability"]["gm_solid"], answer["stability"]["gm_corrected"]
    if km is None or solid is None or corrected is None:
        return Markup("")
    required = required_gm(answer)
    sheet = Sheet(
        WIDTH,
        HEIGHT,
        name=name,
        title="Where the metacentric height goes",
        description=ledger_in_words(answer),
        kind="ledger",
        standalone=standalone,
        role="group" if links else "img",
    )
    top = max(km, kg, 1e-9)

    def upper(value: float) -> float:
        return LEFT + (RIGHT - LEFT) * max(value, 0.0) / top

    sheet.text((LEFT, 11), f"KG {figure(kg, 'lever', system)}", "label-quiet")
    sheet.text((RIGHT, 11), f"KM {figure(km, 'lever', system)}", "label-quiet", "end")
    sheet.rectangle((LEFT, 17), upper(min(kg, km)) - LEFT, 12, "wash")
    sheet.line((upper(kg), 14), (upper(kg), 32), "ink")
    sheet.line((upper(km), 14), (upper(km), 32), "ink")

    low = min(0.0, corrected, solid)
    high = 1.04 * max(solid, 0.0 if required is None else required.value, 1e-3)
    _lower_strip(sheet, low, high, solid, corrected, slices_of(answer), links, system)

    def lower(value: float) -> float:
        return LEFT + (RIGHT - LEFT) * (value - low) / (high - low)

    if solid > 0.0:
        sheet.rectangle((upper(kg), 17), upper(km) - upper(kg), 12, "solid-accent")
        sheet.line((upper(kg), 32), (lower(0.0), 58), "hair")
        sheet.line((upper(km), 32), (lower(solid), 58), "hair")
    words_from = None
    if required is not None:
        x = lower(required.value)
        sheet.line((x, 53), (x, 98), "ink")
        words = f"required {figure(required.value, 'lever', system)}, {required.clause}"
        left = x > ROOM_FOR_WORDS and (required.value < corrected or x + ROOM_FOR_WORDS > WIDTH)
        sheet.text((x - 3 if left else x + 3, 98), words, "label", "end" if left else "start")
        words_from = x - ROOM_FOR_WORDS if left else x
    _labels(sheet, lower, solid, corrected, system, words_from)
    return sheet.markup()


def _lower_strip(
    sheet: Sheet,
    low: float,
    high: float,
    solid: float,
    corrected: float,
    slices: list[Slice],
    links: bool,
    system: UnitSystem,
) -> None:
    scale = (RIGHT - LEFT) / (high - low)

    def at(value: float) -> float:
        return LEFT + (value - low) * scale

    if corrected > 0.0:
        sheet.rectangle((at(0.0), 60), at(corrected) - at(0.0), 22, "solid-accent")
    if low < 0.0:
        sheet.line((at(0.0), 54), (at(0.0), 90), "ink")
        sheet.text((at(0.0) + 4, 96), "0", "label-quiet")
    place, small = solid, 0.0
    for index, part in enumerate(slices):
        width = part.loss * scale
        if width < SMALLEST_SLICE:
            small += part.loss
            continue
        left = at(place - part.loss)
        words = f"{part.name}: {figure(-part.loss, 'lever', system)}"
        if links:
            sheet.begin_link(part.target, words)
        sheet.rectangle((left + 0.5, 60), width - 1.0, 22, "wash-deep" if index % 2 else "wash")
        if links:
            sheet.end_link()
        place -= part.loss
    if small > 0.0:
        sheet.rectangle((at(place - small) + 0.5, 60), max(small * scale - 1.0, 0.8), 22, "wash-deep")
    sheet.line((at(solid), 57), (at(solid), 85), "ink")
    sheet.line((at(corrected), 57), (at(corrected), 85), "ink")


def _labels(
    sheet: Sheet,
    lower: Callable[[float], float],
    solid: float,
    corrected: float,
    system: UnitSystem,
    words_from: float | None,
) -> None:
    x = lower(corrected)
    crossed = words_from is not None and words_from < x < words_from + ROOM_FOR_WORDS
    sheet.line((x, 102 if crossed else 85), (x, 110), "hair")
    words = f"GM corrected {figure(corrected, 'lever', system)}"
    sheet.text((max(x, 146.0), 119), words, "label-accent", "end")
    place = lower(solid)
    side: Anchor = "end" if place > WIDTH * 0.4 else "start"
    words = f"GM solid {figure(solid, 'lever', system)}"
    sheet.text((place if side == "end" else LEFT, 51), words, "label", side)


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
        ""
        if required is None
        else f" Required: {figure(required.value, 'lever', system)}, {required.clause}."
    )
    return (
        f"KM {figure(answer['flotation']['km'], 'lever', system)} "
        f"less KG {figure(answer['vcg_solid'], 'lever', system)}"
        f" is GM solid {figure(stability['gm_solid'], 'lever', system)}. Free surface takes "
        f"{figure(answer['free_surface_correction'], 'lever', system)}{f' ({costs})' if costs else ''}. "
        f"GM corrected {figure(stability['gm_corrected'], 'lever', system)}.{asked}"
    )
