"""Everything a reader would compare of two assessments, by name; and a condition with a line of every kind."""

from dataclasses import asdict
from typing import Any

import pytest

from service.core.assessment import Assessment
from service.core.condition import Condition
from service.core.free_surface import AS_FILLED, Counted
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import CARGO_WEIGHT, RULE_SETS, condition, full_vessel, line


def aboard(ship: Vessel | None = None, basis: str = AS_FILLED, **fills: float) -> Condition:
    """Tanks of `full_vessel` at these fillings, cargo, stores and crew; bound by every rule set."""
    given = {
        "BP": 40.0,
        "BS": 60.0,
        "WIDE": 30.0,
        "PEAK": 50.0,
        "F1": 70.0,
        "FW": 98.0,
        "FP": 99.0,
        "FS": 20.0,
    }
    vessel = ship or full_vessel()
    lines = [line(vessel, name, fill=fill) for name, fill in {**given, **fills}.items()]
    weights = [CARGO_WEIGHT, Weight(12.5, 80.0, 9.0, -3.0, "stores"), Weight(7.25, 10.0, 12.0, 1.0, "crew")]
    return condition(*lines, basis=basis, weights=weights, rule_sets=RULE_SETS)


def figures(result: Assessment) -> dict[str, Any]:
    """Everything a reader would compare, by name."""
    ship, heeled = result.situation, result.heeled
    found: dict[str, Any] = {
        "km": ship.km,
        "gm_solid": ship.gm_solid,
        "gm_corrected": ship.gm_corrected,
        "roll_period": result.roll_period,
        "list": ship.rest.list_angle,
        "loll": ship.rest.loll,
        "sought": ship.rest.sought,
        **result.displacement._asdict(),
        **({} if ship.flotation is None else asdict(ship.flotation)),
        "as_filled": result.surfaces.as_filled,
        "maximum_when_slack": result.surfaces.maximum_when_slack,
        **counted("by_rule", result.surfaces.by_rule),
        **counted("judged", result.surfaces.judged),
        "flooding": heeled.flooding.angle,
        "flooding_automatic": heeled.flooding_automatic.angle,
        "deck_edge": ship.deck_edge,
        "half_freeboard": ship.half_freeboard,
        "wind": ship.wind,
        "actual_moments": result.actual_moments,
        "side": heeled.side,
        "verdict": result.verdict,
        "gaps": {name: gap.cause for name, gap in ship.gaps.items()},
        "unjudged": [None if rule_set is None else rule_set.name for rule_set, _ in result.unjudged],
        "findings": sorted(finding.code for finding in result.findings),
    }
    if heeled.curve is not None:
        curve = heeled.curve
        found |= {"maximum": curve.maximum, "angle_of_maximum": curve.angle_of_maximum}
        found |= {"vanishing": curve.vanishing_angle}
        found |= {f"gz{h:g}": lever for h, lever in zip(curve.heels, curve.levers)}
    return found | clauses(result)


def counted(name: str, given: Counted | None) -> dict[str, Any]:
    """The totals of one basis; lines may come in any order."""
    if given is None:
        return {f"{name} total": None}
    assumed = {a.tank: a.moment for a in given.assumed}
    return {
        f"{name} basis": given.basis,
        f"{name} total": given.total,
        f"{name} exempt": sum(given.exempt),
        **{f"{name} assumed {tank}": moment for tank, moment in assumed.items()},
    }


def clauses(result: Assessment) -> dict[str, Any]:
    """Every row of every set that binds."""
    found: dict[str, Any] = {}
    for rule_set, criterion in result.criteria:
        key = f"{rule_set.name} {criterion.row.id}"
        found |= {f"{key} {detail.key}": detail.value for detail in criterion.details}
        found |= {
            f"{key} attained": criterion.attained,
            f"{key} required": criterion.required,
            f"{key} margin": criterion.margin,
            f"{key} effect": criterion.vcg_effect,
            f"{key} verdict": criterion.verdict,
            f"{key} because": criterion.because,
            f"{key} reason": criterion.reason,
        }
    return found


def same(a: dict[str, Any], b: dict[str, Any], rel: float, abs: float = 1e-12) -> None:
    assert a.keys() == b.keys()
    for name, value in a.items():
        if isinstance(value, float | tuple):
            assert b[name] == pytest.approx(value, rel=rel, abs=abs), name
        else:
            assert b[name] == value, name
