"""Weights of two conditions, told apart by name and category, in the axes and units of the answer."""

from collections import Counter
from dataclasses import dataclass
from typing import Any, Final

from service.actions.comparison.assessments import kind_of_change, same
from service.translation.axes import AxesAndUnits
from service.translation.units import SCALES, Scale
from service.wire.comparison import WeightChange, WeightState
from service.wire.fields import Axes

_MEMBERS: Final = ("mass", "lcg", "vcg", "tcg")
_Key = tuple[str, str, int]


@dataclass(frozen=True)
class Placing:
    """A condition document with the vessel document that says what its positions mean."""

    document: dict[str, Any]
    vessel: dict[str, Any]

    def axes_and_units(self) -> AxesAndUnits:
        """How its positions turn into metres from the aft perpendicular."""
        axes = self.document.get("axes") or self.vessel.get("axes")
        length = self.vessel["particulars"]["length_bp"] * SCALES[self.vessel["units"]].length
        return AxesAndUnits.of(
            SCALES[self.document["units"]], None if axes is None else Axes.model_validate(axes), length
        )


def weight_changes(before: Placing, after: Placing, scale: Scale) -> list[WeightChange]:
    """Weights taken aboard, landed, moved or corrected, in the order of the later document."""
    first, last = _states(before, scale), _states(after, scale)
    changes: list[WeightChange] = []
    for key in {**last, **first}:
        old, new = first.get(key), last.get(key)
        if old is None or new is None:
            members = list(_MEMBERS)
        else:
            members = [name for name in _MEMBERS if not same(old[name], new[name])]
        if members:
            changes.append(
                {
                    "name": key[0],
                    "category": key[1],
                    "change": kind_of_change(old, new),
                    "members": members,
                    "before": old,
                    "after": new,
                }
            )
    return changes


def _states(placing: Placing, scale: Scale) -> dict[_Key, WeightState]:
    axes, seen, states = placing.axes_and_units(), Counter[tuple[str, str]](), {}
    for weight in placing.document["weights"]:
        title = weight["name"], weight["category"]
        seen[title] += 1
        states[(*title, seen[title])] = _state(weight, axes, scale)
    return states


def _state(weight: dict[str, Any], axes: AxesAndUnits, scale: Scale) -> WeightState:
    return {
        "mass": weight["mass"] * axes.scale.mass / scale.mass,
        "lcg": axes.x(weight["lcg"]) / scale.length,
        "vcg": weight["vcg"] * axes.scale.length / scale.length,
        "tcg": axes.y(weight.get("tcg", 0.0)) / scale.length,
    }
