"""Weights that the service adds, and what ice does, as the wire shows them."""

from typing import Any

from service.core.added_weight import AddedWeight
from service.core.assessment import Assessment as Assessed
from service.translation.units import Scale
from service.wire.pointer import pointer_of

Row = dict[str, Any]


def added_members(a: Assessed, s: Scale) -> Row:
    """The members `added_weights` and `icing` of an answer; nothing where neither timber nor ice is counted."""
    members: Row = {}
    if a.added:
        members["added_weights"] = [_added(each, s) for each in a.added]
    if a.icing is not None:
        effect, length = a.icing, s.length
        members["icing"] = {
            "factor": effect.factor,
            "mass": effect.mass / s.mass,
            "vcg": _scaled(effect.vcg, length),
            "gm_loss": _scaled(effect.gm_loss, length),
            "draft_increase": _scaled(effect.draft_increase, length),
            "trim_change": _scaled(effect.trim_change, length),
        }
    return members


def _added(each: AddedWeight, s: Scale) -> Row:
    weight = each.weight
    return {
        "name": each.name or "Absorbed water",
        "reason": each.reason,
        "of": None if each.of is None else pointer_of(("condition", "weights", each.of)),
        "mass": weight.mass / s.mass,
        "lcg": weight.lcg / s.length,
        "vcg": weight.vcg / s.length,
        "tcg": weight.tcg / s.length,
        "formula": each.formula,
        "from_memory": each.from_memory,
    }


def _scaled(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit
