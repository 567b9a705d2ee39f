"""Checks of the printed conditions of a vessel document, beyond what their schema says."""

from service.translation.contradictions import Contradictions
from service.wire import vessel as wire
from service.wire.printed_condition import PrintedCondition

QUANTITIES = ("mass", "volume", "fill", "sounding", "ullage")
Place = tuple[str | int, ...]


def check_printed(document: wire.Vessel, contradictions: Contradictions) -> None:
    """Note every place where a printed condition contradicts itself or names what the vessel does not have."""
    printed = document.printed_conditions or ()
    contradictions.repeated([condition.name for condition in printed], "name", ("printed_conditions",))
    tanks = {tank.id for tank in document.tanks}
    holds = {hold.id for hold in document.holds or ()}
    for i, condition in enumerate(printed):
        _check(condition, tanks, holds, ("printed_conditions", i), contradictions)


def _check(
    condition: PrintedCondition,
    tanks: set[str],
    holds: set[str],
    place: Place,
    contradictions: Contradictions,
) -> None:
    contradictions.repeated([line.tank for line in condition.tanks], "tank", (*place, "tanks"))
    for i, line in enumerate(condition.tanks):
        where = (*place, "tanks", i)
        if line.tank not in tanks:
            contradictions.add((*where, "tank"), "unknown_tank", "her booklet has no tank of this id.")
        if [getattr(line, name) for name in QUANTITIES].count(None) != len(QUANTITIES) - 1:
            words = "give exactly one of mass, volume, fill, sounding, ullage."
            contradictions.add(where, "one_quantity", words)
    for i, weight in enumerate(condition.weights):
        if (weight.mass < 0.0) != (weight.category == "removal") and weight.mass != 0.0:
            words = "only a weight of category removal has a negative mass, and it must have one."
            contradictions.add((*place, "weights", i, "mass"), "sign", words)
    for i, grain in enumerate(condition.grain or ()):
        if grain.hold not in holds:
            contradictions.add(
                (*place, "grain", i, "hold"), "unknown_hold", "her booklet has no hold of this id."
            )
    levers = condition.printed.righting_levers or ()
    contradictions.increasing(levers, "heel", (*place, "printed", "righting_levers"))
