"""What the rules for one type of ship read, from the documents into the core."""

from typing import Any, Final

from service.core.hatch import HatchCoamings
from service.core.lift import Lift
from service.core.passenger import LEAST_MASS_EACH, MASS_EACH, PassengerLine, PassengerSpace
from service.core.towing import Towing
from service.core.trunk import BargeTrunk
from service.core.vessel import Vessel
from service.translation.axes import AxesAndUnits, times
from service.translation.contradictions import Contradictions
from service.translation.units import METRIC, Scale
from service.wire import condition as wire_condition
from service.wire import ship_type as wire
from service.wire import vessel as wire_vessel

KILOGRAM: Final = 0.001
"""t; exact."""
POUND: Final = 0.45359237e-3
"""t; exact by the international yard and pound agreement of 1959."""
HORSEPOWER: Final = 0.74569987158227022
"""kW; 550 ft.lbf/s, exact."""
TON_FORCE: Final = 9.96401641818352
"""kN; the weight of a long ton at 9.80665 m/s2, exact."""


def of_her_type(document: wire_vessel.Vessel, axes: AxesAndUnits) -> dict[str, Any]:
    """Fields of the core's vessel that few types of ship have."""
    length = axes.scale.length
    hatch, trunk, towing = document.hatch_coamings, document.barge_trunk, document.towing
    return {
        "passenger_spaces": tuple(_space(space, axes) for space in document.passenger_spaces or ()),
        "hatch_coamings": None
        if hatch is None
        else HatchCoamings(hatch.length_sum * length, hatch.breadth * length, hatch.height * length),
        "barge_trunk": None
        if trunk is None
        else BargeTrunk(trunk.length * length, trunk.breadth * length, trunk.height * length),
        "towing": None if towing is None else _towing(towing, axes),
        "hatches_secured": document.hatches_secured,
    }


def particulars_of_her_type(p: wire_vessel.Particulars, scale: Scale) -> dict[str, Any]:
    """Particulars that few types of ship are asked for."""
    return {
        "service_speed": p.service_speed,
        "superstructure": p.superstructure,
        "superstructure_length": times(p.superstructure_length, scale.length),
        "freeboard_least": times(p.freeboard_least, scale.length),
        "breadth_half_draft": times(p.breadth_half_draft, scale.length),
    }


def check_spaces(document: wire_vessel.Vessel, contradictions: Contradictions) -> None:
    """Note an id of a passenger space that stands twice."""
    ids = [space.id for space in document.passenger_spaces or ()]
    contradictions.repeated(ids, "id", ("passenger_spaces",))


def in_her_condition(
    document: wire_condition.Condition, vessel: Vessel, axes: AxesAndUnits, contradictions: Contradictions
) -> dict[str, Any]:
    """Fields of the core's condition that few types of ship have; notes spaces she has not."""
    scale, operation = axes.scale, document.operation
    lift = None if operation is None else operation.lift
    escort = None if operation is None else operation.escort
    return {
        "passengers": _passengers(document, vessel, scale, contradictions),
        "lift": None
        if lift is None
        else Lift(lift.name, lift.mass * scale.mass, axes.x(lift.x), axes.y(lift.y), lift.z * scale.length),
        "escort_moment": None if escort is None else escort.heeling_moment * scale.moment,
    }


def _space(space: wire.PassengerSpace, axes: AxesAndUnits) -> PassengerSpace:
    scale = axes.scale
    return PassengerSpace(
        space.id,
        axes.x(space.x),
        space.deck_z * scale.length,
        space.length * scale.length,
        space.half_breadth * scale.length,
        times(space.area, scale.area),
    )


def _towing(towing: wire.Towing, axes: AxesAndUnits) -> Towing:
    scale, point, place = axes.scale, towing.tow_point, towing.propulsion
    metric = scale is METRIC
    return Towing(
        propellers=towing.propellers,
        shaft_power=times(towing.shaft_power, 1.0 if metric else HORSEPOWER),
        propeller_diameter=times(towing.propeller_diameter, scale.length),
        rudder_fraction=towing.rudder_fraction,
        bitts_height=times(towing.bitts_height, scale.length),
        bollard_pull=times(towing.bollard_pull, 1.0 if metric else TON_FORCE),
        tow_point=None if point is None else (axes.x(point.x), axes.y(point.y), point.z * scale.length),
        propulsion=None if place is None else (axes.x(place.x), place.z * scale.length),
        drive=towing.drive,
    )


def _passengers(
    document: wire_condition.Condition, vessel: Vessel, scale: Scale, contradictions: Contradictions
) -> tuple[PassengerLine, ...]:
    spaces = {space.id: i for i, space in enumerate(vessel.passenger_spaces)}
    each = KILOGRAM if scale is METRIC else POUND
    lines, seen = [], set[str]()
    for i, line in enumerate(document.passengers or ()):
        if line.space not in spaces or line.space in seen:
            code = "duplicate" if line.space in seen else "unknown_space"
            words = (
                "this space stands twice." if line.space in seen else "she has no passenger space of this id."
            )
            contradictions.add(("passengers", i, "space"), code, words)
            continue
        seen.add(line.space)
        mass = MASS_EACH if line.mass_each is None else line.mass_each * each
        if mass < LEAST_MASS_EACH * (1.0 - 1e-9):
            words = "a passenger is taken as 60 kg (132.3 lb) at least (2008 IS Code Part A 3.1.1)."
            contradictions.add(("passengers", i, "mass_each"), "too_small", words)
        lines.append(PassengerLine(spaces[line.space], line.number, mass))
    return tuple(lines)
