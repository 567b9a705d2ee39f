"""The righting lever curve as the wire shows it: what counts first, what lies beyond it apart."""

from math import isinf
from typing import Any

from service.core.assessment import Assessment as Assessed
from service.core.opening import FirstImmersion
from service.core.righting_lever import RightingLever
from service.translation.units import Scale

Row = dict[str, Any]

_FLUID_VCG = "fluid VCG: the free surface correction times the sine of the heel (2008 IS Code B/3.1.9.2)"
_ACTUAL = (
    "actual moment of the liquid at each heel where a tank has heeled moments, fluid VCG for the others "
    "(2008 IS Code B/3.1.9)"
)


def lever_row(a: Assessed, curve: RightingLever, s: Scale) -> Row:
    """The curve of the less favourable side."""
    flooding = a.heeled.flooding
    angle, opening = flooding
    edge = a.situation.deck_edge
    return {
        "side": "port" if a.heeled.side > 0.0 else "starboard",
        "heels": curve.heels,
        "levers": [lever / s.length for lever in curve.levers],
        **_range(curve, angle, s),
        "areas": _areas(curve, flooding, s),
        "down_flooding": {
            "known": angle is not None,
            "angle": None if angle is None or isinf(angle) else angle,
            "opening": None if opening is None else opening.id,
            "name": None if opening is None else opening.name,
        },
        "deck_edge_angle": None if edge is None or isinf(edge) else edge,
        "free_surface_method": _ACTUAL if a.actual_moments else _FLUID_VCG,
    }


def _range(curve: RightingLever, flooding: float | None, s: Scale) -> Row:
    """Maximum and vanishing angle up to the end of the range, where it ends, and what lies beyond."""
    vanishing = curve.vanishing_angle
    end, reason = curve.last_heel, "end_of_cross_curves"
    if vanishing is not None:
        end, reason = vanishing, "vanishing"
    if flooding is not None and flooding < end:
        end, reason = flooding, "down_flooding"
    angle = curve.angle_of_greatest(end)
    beyond = None
    if curve.angle_of_maximum > end or (vanishing is not None and vanishing > end):
        beyond = {
            "maximum": curve.maximum / s.length,
            "angle_of_maximum": curve.angle_of_maximum,
            "vanishing_angle": vanishing,
        }
    return {
        "maximum": (curve.maximum if angle == curve.angle_of_maximum else curve.lever(angle)) / s.length,
        "angle_of_maximum": angle,
        "vanishing_angle": vanishing if reason == "vanishing" else None,
        "range_end": {"angle": end, "reason": reason},
        "beyond": beyond,
    }


def _areas(curve: RightingLever, flooding: FirstImmersion, s: Scale) -> list[Row]:
    """Areas to 30, to 40 and between, or to down-flooding where that comes first."""
    last = curve.last_heel
    end = last if flooding.angle is None else min(flooding.angle, last)
    rows = []
    for low, high in ((0.0, 30.0), (0.0, 40.0), (30.0, 40.0)):
        stop = max(low, min(end, high))
        area = curve.area(low, stop) / s.length if last >= high or end < last else None
        rows.append({"start": low, "end": stop, "area": area})
    return rows
