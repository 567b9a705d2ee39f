"""What a rule may read: her afloat in one condition, and heeling to one side."""

from dataclasses import dataclass

import numpy as np

from .condition import Condition
from .displacement import Displacement
from .flotation import Flotation
from .free_surface import AS_FILLED, Surface
from .heeling_lever import Wind
from .lever_measures import LeverMeasures
from .opening import FirstImmersion, first_immersion
from .righting_lever import RightingLever
from .tank import SLACK, Liquid
from .vessel import Vessel


@dataclass(frozen=True, slots=True)
class Situation:
    """Her afloat in one condition; what is the same on both sides. `wind` is None off her profile or without one,
    `deck_edge` and `half_freeboard` (degrees of heel that immerse them) where the booklet does not tell."""

    vessel: Vessel
    condition: Condition
    displacement: Displacement
    flotation: Flotation
    gm_solid: float
    gm_corrected: float
    wind: Wind | None
    deck_edge: float | None
    half_freeboard: float | None

    @property
    def heeling_arm(self) -> float:
        """Arm of her weight to port, m: TCG less TCB. Source: definition."""
        return self.displacement.tcg - self.flotation.tcb


@dataclass(frozen=True, slots=True)
class Heeled:
    """Heeling to one side: +1 to port, -1 to starboard.

    `flooding` counts openings that cannot be closed weathertight, `flooding_automatic` those that do not close
    watertight automatically. `levers` and `levers_automatic` are what is measured on the curve up to either; they and
    `curve` are None where the booklet has no cross curves."""

    side: float
    curve: RightingLever | None
    flooding: FirstImmersion
    flooding_automatic: FirstImmersion
    levers: LeverMeasures | None
    levers_automatic: LeverMeasures | None

    @classmethod
    def to(cls, side: float, vessel: Vessel, flotation: Flotation, curve: RightingLever | None) -> "Heeled":
        """Her heeling to `side`, where `curve` holds. Source: 2008 IS Code Part B 3.5."""
        flooding = automatic = FirstImmersion(None)
        if vessel.openings is not None:
            angles = [opening.angle(flotation, side) for opening in vessel.openings]
            flooding = first_immersion(vessel.openings, angles, vessel.flooding)
            automatic = first_immersion(vessel.openings, angles, vessel.flooding_automatic)
        return cls(
            side,
            curve,
            flooding,
            automatic,
            None if curve is None else LeverMeasures(curve, flooding.angle),
            None if curve is None else LeverMeasures(curve, automatic.angle),
        )


def lever_curve(
    vessel: Vessel,
    condition: Condition,
    load: Displacement,
    flotation: Flotation,
    liquids: list[Liquid],
    surfaces: list[Surface],
    toward: float,
) -> tuple[RightingLever | None, bool]:
    """Her curve for a TCG of `toward` m to the side she heels to, and whether tanks take part with heeled moments.

    A slack tank with a heeled-moment table that covers its filling takes part with its actual moment at each heel,
    every other tank through the fluid VCG. None without cross curves. Raises OutsideTable. Source: 2008 IS Code Part
    B 3.1.9."""
    curves = vessel.cross_curves
    if curves is None:
        return None, False
    km, vcg, actual = flotation.km, load.vcg_corrected, False
    kn = curves.kn(load.mass * (curves.density / condition.water_density), flotation.trim)
    if vessel.heeled and condition.basis == AS_FILLED:
        for line, liquid, surface in zip(condition.tanks, liquids, surfaces):
            heeled = vessel.heeled.get(line.tank)
            if heeled is None or liquid.state != SLACK or not heeled.covers(liquid.fill):
                continue
            kn = kn - line.density / load.mass * heeled.at(liquid.fill)
            upright = surface.moment / load.mass
            km, vcg, actual = km - upright, vcg - upright, True
    return RightingLever(curves, np.asarray(kn), km, vcg, toward), actual
