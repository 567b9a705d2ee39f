"""The ship's own curves of minimum GM or maximum VCG, as her booklet prints them.

SOLAS II-1/5-1 asks for such curves over the full range of drafts and trims; between their points GM is linear
(II-1/5-1.4). Where several of a curve's trim ranges hold, the most severe counts.
"""

import numpy as np

from ..frame import Bools, Floats
from ..situation import Situation
from ..vessel import GmLimit
from .limit import AT_LEAST, AT_MOST, NOT_COMPUTABLE, Cause, Criterion, Detail, Limit, RuleSet, judge

MIN_GM = Limit(
    "vessel-gm-limits-min-gm",
    "her booklet",
    "Corrected GM against the ship's own curve of minimum GM",
    "metacentric height",
    AT_LEAST,
    None,
    "m",
    "the vessel's booklet; SOLAS II-1/5-1",
)
MAX_VCG = Limit(
    "vessel-gm-limits-max-vcg",
    "her booklet",
    "Corrected VCG against the ship's own curve of maximum VCG",
    "vertical centre of gravity",
    AT_MOST,
    None,
    "m",
    "the vessel's booklet; SOLAS II-1/5-1",
)


def evaluate(situation: Situation) -> list[Criterion]:
    """One criterion a named curve of the booklet, N conditions, m. Source: SOLAS II-1/5-1."""
    curves = situation.vessel.gm_limits
    names = list(dict.fromkeys((curve.name, curve.basis) for curve in curves))
    if not names:
        missing = Cause(
            np.ones(len(situation), bool), NOT_COMPUTABLE, "the booklet has no curve of GM or VCG limits"
        )
        nothing = np.full(len(situation), np.nan)
        return [judge(MIN_GM, nothing, nothing, [missing])]
    return [
        _judge(name, basis, [c for c in curves if (c.name, c.basis) == (name, basis)], situation)
        for name, basis in names
    ]


def _judge(name: str, basis: str, curves: list[GmLimit], situation: Situation) -> Criterion:
    row = MIN_GM if basis == "min_gm" else MAX_VCG
    row = Limit(
        f"{row.id}-{slug(name)}",
        row.clause,
        f"{row.title}: {name}",
        row.quantity,
        row.comparison,
        None,
        row.unit,
        row.source,
    )
    draft, trim = situation.flotation.draft_midship, situation.flotation.trim
    limits = np.stack([_limit(curve, draft, trim) for curve in curves])
    covered: Bools = np.asarray(np.isfinite(limits).any(axis=0))
    worst = np.nanmax if basis == "min_gm" else np.nanmin
    required: Floats = np.full(len(situation), np.nan)
    if covered.any():
        required[covered] = worst(limits[:, covered], axis=0)
    attained = situation.gm_corrected if basis == "min_gm" else situation.displacement.vcg_corrected
    outside = Cause(~covered, NOT_COMPUTABLE, "the curve does not cover this draft and trim")
    details = [Detail("draft amidships", "m", draft), Detail("trim", "m", trim)]
    return judge(row, attained, required, [outside], details)


def _limit(curve: GmLimit, draft: Floats, trim: Floats) -> Floats:
    value = np.interp(draft, curve.draft, curve.value, left=np.nan, right=np.nan)
    inside = (trim >= curve.trim_from - 1e-9) & (trim <= curve.trim_to + 1e-9)
    return np.where(inside, value, np.nan)


def slug(name: str) -> str:
    """A name as part of an id: lower case, words joined by hyphens. Source: definition."""
    return "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split()) or "curve"


RULE_SET = RuleSet(
    "vessel-gm-limits",
    "The ship's own curves of minimum GM or maximum VCG",
    "the vessel's booklet",
    "as entered with the vessel",
    (MIN_GM, MAX_VCG),
    evaluate,
)
