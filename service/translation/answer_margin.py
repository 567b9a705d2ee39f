"""The two margins that stand beside the verdict: of stability, and to the load line."""

from typing import Any

from service.core.assessment import Assessment as Assessed
from service.core.load_line_figures import mass_to_line
from service.core.rules.limit import FAIL, Criterion, RuleSet
from service.translation.answer_criteria import finite, unit_in
from service.translation.units import Scale

Row = dict[str, Any]


def least_stability_margin(a: Assessed, s: Scale) -> Row | None:
    """The judged stability criterion that counts and is nearest to its limit; None where none was judged.

    Failing ones come first, then by the rise of the centre of gravity that would bring a row to its limit.
    A lever, a GM or an area falls by a known amount for each metre that the centre rises at a displacement: see
    `Criterion.vcg_effect`."""
    judged = [
        criterion
        for rule_set, criterion in a.criteria
        if criterion.is_judged
        and criterion.margin is not None
        and _is_of_stability(rule_set)
        and a.counts(rule_set, criterion)
    ]
    if not judged:
        return None
    least = min(judged, key=lambda criterion: (criterion.verdict != FAIL, _order(gm_equivalent(criterion))))
    factor, unit = unit_in(least.row.unit, s)
    margin, equivalent = finite(least.margin), gm_equivalent(least)
    return {
        "criterion": least.row.id,
        "title": least.row.title,
        "margin": None if margin is None else margin * factor,
        "unit": unit,
        "gm_equivalent": None if equivalent is None else equivalent / s.length,
        "side": None if least.side is None else "port" if least.side > 0.0 else "starboard",
    }


def _is_of_stability(rule_set: RuleSet) -> bool:
    """Whether a set judges levers, GM or whether she floats upright."""
    return rule_set.judges_stability or rule_set.name == "afloat"


def gm_equivalent(criterion: Criterion) -> float | None:
    """Rise of the centre of gravity in m that brings a criterion to its limit, negative where it is beyond; None where
    that is no plain number."""
    margin, effect = finite(criterion.margin), criterion.vcg_effect
    return None if margin is None or not effect else margin / effect


def _order(equivalent: float | None) -> tuple[bool, float]:
    return (equivalent is None, equivalent or 0.0)


def load_line_margin(a: Assessed, s: Scale) -> Row | None:
    """What is left to the load line on the lower side, or amidships where the list is not known, and the mass that may
    still be loaded by the mean of the sides; None where no mark was judged."""
    rows = [
        criterion
        for rule_set, criterion in a.criteria
        if rule_set.name == "load-lines" and criterion.is_judged and criterion.margin is not None
    ]
    if not rows:
        return None
    margin = min(row.margin or 0.0 for row in rows)
    mass = None if rows[0].required is None else mass_to_line(a.situation, rows[0].required)
    return {"draft": margin / s.length, "mass": None if mass is None else mass / s.mass}
