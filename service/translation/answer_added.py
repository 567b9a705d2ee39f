"""The weights that the service added, as the wire shows them."""

from typing import Any

from service.core.added_weight import PASSENGERS, AddedWeight
from service.core.assessment import Assessment as Assessed
from service.translation.units import Scale
from service.wire.pointer import pointer_of

Row = dict[str, Any]


def added_members(a: Assessed, s: Scale) -> Row:
    """The member `added_weights` of an answer; nothing where none was added."""
    return {"added_weights": [_row(each, s) for each in a.added]} if a.added else {}


def _row(each: AddedWeight, s: Scale) -> Row:
    weight, length = each.weight, s.length
    place = ("passengers", each.of) if each.reason == PASSENGERS else ("operation", "lift")
    return {
        "name": each.name,
        "reason": each.reason,
        "of": pointer_of(("condition", *place)),
        "mass": weight.mass / s.mass,
        "lcg": weight.lcg / length,
        "vcg": weight.vcg / length,
        "tcg": weight.tcg / length,
        "formula": each.formula,
        "from_memory": each.from_memory,
    }
