"""What a rule may read: her afloat in one condition, and heeling to one side."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from .condition import Condition
from .cross_curves import KnCurve
from .displacement import Displacement
from .errors import CoreError
from .flotation import Flotation
from .free_surface import Counted
from .heeling_lever import Wind
from .lever_measures import LeverMeasures
from .opening import FirstImmersion, first_immersion
from .righting_lever import RightingLever
from .stability import Rest
from .strength.hold_mass import HoldMass
from .strength.still_water import Forces, StillWater
from .tank import SLACK, Liquid
from .timber import alternative_applies
from .vessel import Vessel
from .waterplane import Waterplane

Figure = TypeVar("Figure")


@dataclass(frozen=True, slots=True)
class Situation:
    """Her afloat in one condition; what is the same on both sides.

    What could not be computed is None, and `gaps` says by the name of the figure why: `flotation` (drafts and
    trim), `stability` (KM and GM), `righting_lever`, `list`, `strength`. `wind` is None off her profile or without
    one, `deck_edge` (degrees of heel that immerse it, inf: it stays dry up to the last heel of the cross curves)
    where the booklet does not tell, `forces` (shear forces and bending moments) where the booklet does not print
    what they need, `liquids` are those of the tank lines."""

    vessel: Vessel
    condition: Condition
    displacement: Displacement
    flotation: Flotation | None
    km: float | None
    gm_solid: float | None
    gm_corrected: float | None
    waterplane: Waterplane | None
    wind: Wind | None
    deck_edge: float | None
    rest: Rest
    gaps: dict[str, CoreError]
    forces: Forces | None = None
    hold_masses: tuple[HoldMass, ...] = ()
    adjacent_hold_masses: tuple[HoldMass, ...] = ()
    liquids: tuple[Liquid, ...] = ()
    _figures: dict[Callable[["Situation"], Any], Any] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def once(self, figure: "Callable[[Situation], Figure]") -> Figure:
        """A figure of her that several clauses read, worked out for the first of them. Source: definition."""
        if figure not in self._figures:
            self._figures[figure] = figure(self)
        found: Figure = self._figures[figure]
        return found

    def resting(self, rest: Rest) -> "Situation":
        """The same, at rest. Source: definition."""
        return Situation(
            self.vessel,
            self.condition,
            self.displacement,
            self.flotation,
            self.km,
            self.gm_solid,
            self.gm_corrected,
            self.waterplane,
            self.wind,
            self.deck_edge,
            rest,
            self.gaps,
            self.forces,
            self.hold_masses,
            self.adjacent_hold_masses,
            self.liquids,
        )

    @property
    def strength(self) -> StillWater | None:
        """Her forces with what they come from; None in a sample, of which only `forces` are judged.

        Source: definition."""
        return self.forces if isinstance(self.forces, StillWater) else None

    @property
    def heeling_arm(self) -> float:
        """Arm of her weight to port, m: TCG less TCB. Source: definition."""
        return self.displacement.tcg - (0.0 if self.flotation is None else self.flotation.tcb)

    @property
    def counts_timber(self) -> bool:
        """Whether the criteria for timber deck cargoes are judged: listed, and all timber stowed as they ask.

        Source: 2008 IS Code Part A 3.3 (read in secondary texts)."""
        listed = (*self.vessel.rule_sets, *self.condition.rule_sets)
        return "is-code-2008-a-3.3" in listed and alternative_applies(self.condition.timber_aboard)

    @property
    def half_freeboard(self) -> float | None:
        """Heel in degrees that immerses half the freeboard to the deck edge. Source: 46 CFR 170.170(a)."""
        edge = self.vessel.deck_edge
        if edge is None or self.flotation is None:
            return None
        vessel = self.vessel
        return edge.half_freeboard_angle(
            self.flotation, self.waterplane, vessel.deck_points, vessel.cross_curves
        )


@dataclass(frozen=True, slots=True)
class Heeled:
    """Heeling to one side: +1 to port, -1 to starboard.

    `flooding` counts openings that cannot be closed weathertight, `flooding_automatic` those that do not close
    watertight automatically. `levers` and `levers_automatic` are what is measured on the curve up to either; they
    and `curve` are None where there is no curve."""

    side: float
    curve: RightingLever | None
    flooding: FirstImmersion
    flooding_automatic: FirstImmersion
    levers: LeverMeasures | None
    levers_automatic: LeverMeasures | None

    @classmethod
    def to(
        cls,
        side: float,
        vessel: Vessel,
        flotation: Flotation | None,
        waterplane: Waterplane | None,
        curve: RightingLever | None,
        automatic_closure: bool,
        angles: Mapping[int, float | None] | None = None,
    ) -> "Heeled":
        """Her heeling to `side`, where `curve` holds; `flooding_automatic` is looked for if `automatic_closure`.
        `angles` are those at which the openings that count immerse, by index, where they are known already.

        Source: 2008 IS Code Part B 3.5."""
        flooding = automatic = FirstImmersion(None)
        if vessel.openings is not None and flotation is not None:
            counted = {*vessel.flooding, *(vessel.flooding_automatic if automatic_closure else ())}
            if angles is None:
                angles = {i: vessel.openings[i].angle(flotation, waterplane, side) for i in counted}
            flooding = first_immersion(vessel.openings, angles, vessel.flooding)
            if automatic_closure:
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
    counted: Counted,
    toward: float,
) -> tuple[RightingLever | None, bool]:
    """Her curve for a TCG of `toward` m to the side she heels to, and whether tanks take part with heeled moments.

    A slack tank that counts at its filling and does not change it takes part with its actual moment at each heel where
    its table of heeled moments covers that, every other tank through the fluid VCG. None without cross curves. Raises
    OutsideTable.
    Source: 2008 IS Code Part B 3.1.9."""
    curves = vessel.cross_curves
    if curves is None:
        return None, False
    km, vcg, actual = flotation.km, load.vcg_corrected, False
    kn = curves.kn(load.mass * (curves.density / condition.water_density), flotation.trim)
    if vessel.heeled:
        for line, liquid, moment, at_filling in zip(
            condition.tanks, liquids, counted.moments, counted.at_filling
        ):
            heeled = vessel.heeled.get(line.tank)
            if line.slack_between is not None:
                continue
            if heeled is None or not at_filling or liquid.state != SLACK or not heeled.covers(liquid.fill):
                continue
            kn = kn - line.density / load.mass * heeled.at(liquid.fill)
            km, vcg, actual = km - moment / load.mass, vcg - moment / load.mass, True
    return RightingLever(KnCurve(curves, kn, km), vcg, toward), actual
