"""What ice does, as the wire shows it."""

from typing import Any

from service.core.assessment import Assessment as Assessed
from service.translation.units import Scale

Row = dict[str, Any]


def icing_member(a: Assessed, s: Scale) -> Row:
    """The member `icing` of an answer; nothing where no ice is counted."""
    if a.icing is None:
        return {}
    effect, length = a.icing, s.length
    return {
        "icing": {
            "factor": effect.factor,
            "mass": effect.mass / s.mass,
            "vcg": _scaled(effect.vcg, length),
            "gm_loss": _scaled(effect.gm_loss, length),
            "draft_increase": _scaled(effect.draft_increase, length),
            "trim_change": _scaled(effect.trim_change, length),
        }
    }


def _scaled(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit
