"""2008 IS Code (resolution MSC.267(85)), Part B, section 2.3: containerships greater than 100 m.

Six requirements of the righting lever curve, each a number over the factor C of her form. The six numbers, and that KG
is not taken as less than the draft, were read; the formulae of C and of the corrected depth D' are pictures there and
values from memory. Also for cargo ships with considerable flare or large waterplanes, if the Administration agrees.
"""

from math import sqrt
from typing import NamedTuple

from ..free_surface import IMO
from ..lever_measures import LeverMeasures
from ..situation import Heeled, Situation
from .curve_rows import area_between, end_of_positive_levers, greatest_lever, missing
from .hull_figures import block_coefficient, waterplane_coefficient
from .limit import (
    AT_LEAST,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    SHIP,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
    without_curve,
)
from .measured_lever import TOO_SHORT, flooding_detail, unknown

NAME = "is-code-2008-b-2.3"
_MEMORY = "the formulae of the factor C and of the depth D' are recalled: they are printed as pictures"


def _row(slug: str, part: float, title: str, quantity: str, unit: str, key: str) -> Limit:
    source = f"2008 IS Code (MSC.267(85)), Part B 2.3: {part:g} / C (C: value from memory)"
    clause = "B 2.3"
    return Limit(f"{NAME}-{slug}", clause, title, quantity, AT_LEAST, None, unit, source, key, _MEMORY)


AREA_TO_30 = _row("area-to-30", 0.009, "Area up to 30 degrees", "area", "m·rad", "area_to_30")
AREA_TO_40 = _row(
    "area-to-40", 0.016, "Area up to 40 degrees or the angle of down-flooding", "area", "m·rad", "area_to_40"
)
AREA_30_TO_40 = _row(
    "area-30-to-40",
    0.006,
    "Area between 30 degrees and 40 degrees or the angle of down-flooding",
    "area",
    "m·rad",
    "area_30_to_40",
)
LEVER_AT_30 = _row(
    "lever-at-30",
    0.033,
    "Greatest righting lever at 30 degrees of heel or more",
    "lever",
    "m",
    "greatest_lever_from_30",
)
GREATEST_LEVER = _row("greatest-lever", 0.042, "Greatest righting lever", "lever", "m", "greatest_lever")
AREA_TO_FLOODING = _row(
    "area-to-flooding", 0.029, "Total area up to the angle of down-flooding", "area", "m·rad", "total_area"
)
PARTS = {
    AREA_TO_30: 0.009,
    AREA_TO_40: 0.016,
    AREA_30_TO_40: 0.006,
    LEVER_AT_30: 0.033,
    GREATEST_LEVER: 0.042,
    AREA_TO_FLOODING: 0.029,
}
"""What is divided by C: m.rad and m. Source: 2008 IS Code Part B 2.3.2."""
LIMITS = tuple(PARTS)


class Form(NamedTuple):
    """What C is made of: mean draft d, depth D, breadth at half draft Bm, KG (fluid, at least d), length L, sum of the
    coamings' lengths, their mean breadth b and height h, and moulded breadth BD in m; CB and CW."""

    draft: float
    depth: float
    breadth: float
    vcg: float
    block: float
    waterplane: float
    length: float
    coamings: float
    coaming_breadth: float
    coaming_height: float
    moulded_breadth: float

    @property
    def corrected_depth(self) -> float:
        """D' = D + h (2 b - BD) / BD x 2 sum(lH) / L, m. Source: 2008 IS Code Part B 2.3.2 (value from memory)."""
        part = (2.0 * self.coaming_breadth - self.moulded_breadth) / self.moulded_breadth
        return self.depth + self.coaming_height * part * (2.0 * self.coamings / self.length)

    @property
    def factor(self) -> float:
        """C = d D' / Bm^2 sqrt(d / KG) (CB / CW)^2 sqrt(100 / L). Source: Part B 2.3.2 (value from memory)."""
        slender = self.draft * self.corrected_depth / self.breadth**2 * sqrt(self.draft / self.vcg)
        return slender * (self.block / self.waterplane) ** 2 * sqrt(100.0 / self.length)


def form_of(ship: Situation) -> Form | Ruling:
    """What C is made of in this condition, or what is missing for it. Source: 2008 IS Code Part B 2.3.2."""
    p, flotation, hatch = ship.vessel.particulars, ship.flotation, ship.vessel.hatch_coamings
    if flotation is None:
        return without(ship, "flotation") or Ruling(NOT_COMPUTABLE, "her drafts are not known")
    block, waterplane = block_coefficient(ship), waterplane_coefficient(ship)
    if p.depth is None or hatch is None:
        return missing(
            "moulded depth in the particulars" if p.depth is None else "hatch_coamings of the vessel"
        )
    if block is None or waterplane is None:
        return missing(
            "waterplane_area in the hydrostatic table" if block is not None else "a draft amidships"
        )
    draft = flotation.draft_midship
    return Form(
        draft,
        p.depth,
        p.breadth_half_draft or p.breadth,
        max(ship.displacement.vcg_corrected, draft),
        block,
        waterplane,
        p.rule_length,
        hatch.length_sum,
        hatch.breadth,
        hatch.height,
        p.breadth,
    )


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The six rows on one side; m.rad and m. Source: 2008 IS Code Part B 2.3."""
    short, levers, form = _too_short_a_ship(ship), heeled.levers, form_of(ship)
    if levers is None:
        return without_curve(LIMITS, ship, short)
    if isinstance(form, Ruling):
        return [judge(row, None, unless=short or form) for row in LIMITS]
    factor, always = form.factor, short
    if always is None and not factor > 0.0:
        always = Ruling(NOT_COMPUTABLE, "the factor C is not positive: check the coamings and her depth")
    least = {row: part / factor if factor > 0.0 else None for row, part in PARTS.items()}
    details = _details(form)
    return [
        area_between(AREA_TO_30, levers, (0.0, 30.0), always, least[AREA_TO_30], details),
        area_between(AREA_TO_40, levers, (0.0, 40.0), always, least[AREA_TO_40], details),
        area_between(AREA_30_TO_40, levers, (30.0, 40.0), always, least[AREA_30_TO_40], details),
        greatest_lever(LEVER_AT_30, levers, 30.0, always, least[LEVER_AT_30], details),
        greatest_lever(GREATEST_LEVER, levers, 0.0, always, least[GREATEST_LEVER], details),
        _total_area(levers, always, least[AREA_TO_FLOODING], details),
    ]


def _total_area(
    levers: LeverMeasures, unless: Ruling | None, least: float | None, details: tuple[Intermediate, ...]
) -> Criterion:
    end = end_of_positive_levers(levers)
    area = None if end is None else levers.curve.area_from_upright(end)
    ruling = unless or unknown(levers)
    goes_on = end == levers.curve.last_heel and levers.is_shorter_than(end + 1.0)
    if ruling is None and area is not None and least is not None and area < least and goes_on:
        ruling = TOO_SHORT
    shown = (*details, flooding_detail(levers, "angle of down-flooding"))
    return judge(AREA_TO_FLOODING, area, least, unless=ruling, details=shown)


def _details(form: Form) -> tuple[Intermediate, ...]:
    return (
        Intermediate("draft", "mean draft d", "m", form.draft),
        Intermediate("depth_corrected", "corrected depth D'", "m", form.corrected_depth),
        Intermediate("breadth_half_draft", "breadth at half the draft Bm", "m", form.breadth),
        Intermediate("vcg_not_below_draft", "KG, not less than d", "m", form.vcg),
        Intermediate("block", "block coefficient CB", "", form.block),
        Intermediate("waterplane", "waterplane coefficient CW", "", form.waterplane),
        Intermediate("form_factor", "factor C", "", form.factor),
    )


def _too_short_a_ship(ship: Situation) -> Ruling | None:
    if ship.vessel.particulars.rule_length > 100.0:
        return None
    return Ruling(NOT_APPLICABLE, "B 2.3 is for containerships greater than 100 m in length", SHIP)


RULE_SET = RuleSet(
    NAME,
    "Containerships greater than 100 m: righting lever curve by a form factor",
    "International Code on Intact Stability, 2008, Part B, 2.3",
    "MSC.267(85), in force 1 July 2010",
    LIMITS,
    evaluate,
    surfaces=IMO,
)
