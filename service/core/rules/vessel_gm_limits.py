"""The ship's own curves of minimum GM or maximum VCG, as her booklet prints them.

SOLAS II-1/5-1 asks for such curves over the full range of drafts and trims; between their points GM is linear
(II-1/5-1.4). Where several of a curve's trim ranges hold, the most severe counts.
"""

from dataclasses import replace
from functools import lru_cache

from ..interpolation import interpolated
from ..situation import Situation
from ..vessel import GmLimit
from .limit import (
    AT_LEAST,
    AT_MOST,
    NOT_COMPUTABLE,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
)

MIN_GM = Limit(
    "vessel-gm-limits-min-gm",
    "limit curve of the stability booklet",
    "Corrected GM against the ship's own curve of minimum GM",
    "metacentric height",
    AT_LEAST,
    None,
    "m",
    "the vessel's booklet; SOLAS II-1/5-1",
    "gm",
)
MAX_VCG = Limit(
    "vessel-gm-limits-max-vcg",
    "limit curve of the stability booklet",
    "Corrected VCG against the ship's own curve of maximum VCG",
    "vertical centre of gravity",
    AT_MOST,
    None,
    "m",
    "the vessel's booklet; SOLAS II-1/5-1",
    "vcg",
)


def evaluate(ship: Situation) -> list[Criterion]:
    """One criterion a named curve of the booklet, m. Source: SOLAS II-1/5-1."""
    curves = ship.vessel.gm_limits
    names = list(dict.fromkeys((curve.name, curve.basis) for curve in curves))
    if not names:
        return [judge(MIN_GM, None, unless=NO_CURVE)]
    return [
        _judge(ship, name, basis, [c for c in curves if (c.name, c.basis) == (name, basis)])
        for name, basis in names
    ]


NO_CURVE = Ruling(NOT_COMPUTABLE, "the booklet has no curve of GM or VCG limits")
OUTSIDE = Ruling(NOT_COMPUTABLE, "the curve does not cover this draft and trim")


def _judge(ship: Situation, name: str, basis: str, curves: list[GmLimit]) -> Criterion:
    row, attained, severest = _row(name, basis), ship.gm_corrected, max
    if basis != "min_gm":
        attained, severest = ship.displacement.vcg_corrected, min
    if ship.flotation is None:
        return judge(row, attained, unless=without(ship, "flotation") or OUTSIDE)
    draft, trim = ship.flotation.draft_midship, ship.flotation.trim
    limits = [limit for curve in curves if (limit := _limit(curve, draft, trim)) is not None]
    details = (
        Intermediate("draft_midship", "draft amidships", "m", draft),
        Intermediate("trim", "trim", "m", trim),
    )
    required = severest(limits) if limits else None
    unless = None if limits else OUTSIDE
    return judge(row, attained, required, unless=unless, details=details, vcg_effect=1.0)


@lru_cache(maxsize=256)
def _row(name: str, basis: str) -> Limit:
    """The row of a named curve."""
    row = MIN_GM if basis == "min_gm" else MAX_VCG
    return replace(row, id=f"{row.id}-{slug(name)}", title=f"{row.title}: {name}")


def _limit(curve: GmLimit, draft: float, trim: float) -> float | None:
    if not curve.trim_from - 1e-9 <= trim <= curve.trim_to + 1e-9:
        return None
    return interpolated(curve.draft, curve.value, draft)


def slug(name: str) -> str:
    """A name as part of an id: lower case, words joined by hyphens. Source: definition."""
    return "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split()) or "curve"


RULE_SET = RuleSet(
    "vessel-gm-limits",
    "The ship's own curves of minimum GM or maximum VCG",
    "the vessel's booklet",
    "as entered with the vessel",
    (MIN_GM, MAX_VCG),
    evaluate_upright=evaluate,
)
