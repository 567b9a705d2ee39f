"""The weights that the service added, as the wire shows them."""

from typing import Any

from service.core.added_weight import ABSORPTION, HOOK_LOAD, PASSENGERS, AddedWeight
from service.core.assessment import Assessment as Assessed
from service.translation.units import Scale
from service.wire.pointer import pointer_of

Row = dict[str, Any]


def added_members(a: Assessed, s: Scale) -> Row:
    """The member `added_weights` of an answer; nothing where none was added."""
    return {"added_weights": [_row(each, s) for each in a.added]} if a.added else {}


def _row(each: AddedWeight, s: Scale) -> Row:
    weight, length = each.weight, s.length
    return {
        "name": each.name or "Absorbed water",
        "reason": each.reason,
        "of": _line(each),
        "mass": weight.mass / s.mass,
        "lcg": weight.lcg / length,
        "vcg": weight.vcg / length,
        "tcg": weight.tcg / length,
        "formula": each.formula,
        "from_memory": each.from_memory,
    }


def _line(each: AddedWeight) -> str | None:
    """Pointer to the line of the condition that it comes from; None for ice, which comes from none."""
    if each.reason == HOOK_LOAD:
        return pointer_of(("condition", "operation", "lift"))
    lists = {PASSENGERS: "passengers", ABSORPTION: "weights"}
    if each.reason not in lists or each.of is None:
        return None
    return pointer_of(("condition", lists[each.reason], each.of))
