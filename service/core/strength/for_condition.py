"""Longitudinal strength of her afloat in one condition, as far as her booklet goes."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ..errors import CoreError
from ..weight import Weight
from .booklet import StrengthBooklet
from .hold_mass import HoldMass, HoldStrength, hold_mass
from .still_water import still_water

if TYPE_CHECKING:
    from ..situation import Situation
    from ..tank import Liquid


def with_strength(
    ship: "Situation",
    booklet: StrengthBooklet,
    liquids: Sequence["Liquid"],
    added: Sequence[Weight] = (),
) -> "Situation":
    """The situation with shear forces, bending moments and masses in holds, `added` weights counting beside those of
    the condition; why there are none stands in its gaps where the booklet prints all that they need.

    Source: IACS UR S11.2.1, UR S1A."""
    vessel, condition, flotation = ship.vessel, ship.condition, ship.flotation
    forces = None
    if booklet.is_complete and not booklet.shear_correction_required:
        try:
            if flotation is None:
                raise ship.gaps["flotation"]
            forces = still_water(
                booklet,
                vessel.lightship,
                vessel.tanks,
                condition.tanks,
                liquids,
                [*condition.weights, *added],
                flotation,
                ship.displacement,
                condition.water_density,
                condition.in_port,
            )
        except CoreError as gap:
            ship.gaps["strength"] = gap
    return replace(
        ship,
        forces=forces,
        hold_masses=_masses(ship, booklet.holds, liquids),
        adjacent_hold_masses=_masses(ship, booklet.pairs, liquids),
    )


def _masses(
    ship: "Situation", holds: Sequence[HoldStrength], liquids: Sequence["Liquid"]
) -> tuple[HoldMass, ...]:
    if not holds:
        return ()
    return masses_in(
        ship, holds, [liquid.mass for liquid in liquids], [weight.mass for weight in ship.condition.weights]
    )


def masses_in(
    ship: "Situation", holds: Sequence[HoldStrength], liquids: Sequence[float], weights: Sequence[float]
) -> tuple[HoldMass, ...]:
    """Masses in holds (or pairs) for masses (t) of the tank lines and weights of the condition; none where she does not
    float. Source: IACS UR S1A."""
    flotation, condition = ship.flotation, ship.condition
    if flotation is None:
        return ()
    lines = [(weight.hold, mass) for weight, mass in zip(condition.weights, weights)]
    by_tank = {line.tank: mass for line, mass in zip(condition.tanks, liquids)}
    return tuple(
        hold_mass(each, lines, by_tank, flotation.draft_at(each.middle), condition.in_port) for each in holds
    )
