"""What a rule may read: conditions afloat, each heeling to one side.

Where her openings are not the same on both sides, every condition stands twice along the first axis: first heeling
to the side she leans to, then to the other.
"""

from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np

from .condition import Batch
from .displacement import Displacement
from .errors import Refusals
from .flotation import Flotation
from .frame import Bools, Floats, Ints
from .free_surface import AS_FILLED, FreeSurfaces
from .opening import FirstImmersion, first_immersion, immersion_angles
from .righting_lever import RightingLever
from .tank import SLACK, Liquids
from .vessel import Vessel


@dataclass(frozen=True)
class Situation:
    """Arrays [M] in the units of the core; `side` is +1 where she heels to port, -1 to starboard.

    `flooding` counts openings that cannot be closed weathertight, `flooding_automatic` those that do not close
    watertight automatically; NaN means that the booklet lacks the data, inf that there is none. `curve` is None where
    the booklet has no cross curves; `actual_moments` tells where tanks take part in it with their heeled moments."""

    vessel: Vessel
    batch: Batch
    side: Floats
    displacement: Displacement
    gm_corrected: Floats
    flotation: Flotation
    curve: RightingLever | None
    actual_moments: Bools
    flooding: FirstImmersion
    flooding_automatic: FirstImmersion
    deck_edge: Floats
    half_freeboard: Floats
    wind_area: Floats
    wind_height: Floats

    def __len__(self) -> int:
        """Number of rows M. Source: definition."""
        return len(self.side)

    @property
    def heeling_arm(self) -> Floats:
        """Arm [M] of her weight to port, m: TCG less TCB. Source: definition."""
        return self.displacement.tcg - self.flotation.tcb

    def first(self, batch: Batch) -> "Situation":
        """The rows of the side she leans to, one a condition of `batch`. Source: definition."""
        return self if len(batch) == len(self) else self.rows(batch, np.arange(len(batch)))

    def rows(self, batch: Batch, index: Ints) -> "Situation":
        """One row [M] for each condition of `batch`. Source: definition."""
        return replace(
            taken(self, index),
            batch=batch,
            displacement=taken(self.displacement, index),
            flotation=taken(self.flotation, index),
            curve=None if self.curve is None else self.curve.rows(index),
            flooding=taken(self.flooding, index),
            flooding_automatic=taken(self.flooding_automatic, index),
        )


Record = TypeVar("Record", Situation, Displacement, Flotation, FirstImmersion)


def taken(record: Record, rows: Any) -> Record:
    """The same record with the given rows of every array of its own. Source: definition."""
    arrays: dict[str, Any] = {
        name: value[rows] for name, value in vars(record).items() if isinstance(value, np.ndarray)
    }
    return replace(record, **arrays)


def situation_of(
    vessel: Vessel,
    batch: Batch,
    displacement: Displacement,
    flotation: Flotation,
    liquids: Liquids,
    surfaces: FreeSurfaces,
    refusals: Refusals,
) -> Situation:
    """Righting levers, down-flooding, deck edge and wind of N conditions, on one side or on both.

    Source: 2008 IS Code Part B 3.5 (the most unfavourable righting lever curve is used)."""
    side = np.where(displacement.tcg - flotation.tcb < 0.0, -1.0, 1.0)
    levers = _levers(vessel, batch, displacement, flotation, liquids, surfaces, refusals)
    if vessel.two_sided:
        twice = np.tile(np.arange(len(batch)), 2)
        side = np.concatenate((side, -side))
        batch, displacement, flotation = (
            batch.repeated(twice),
            taken(displacement, twice),
            taken(flotation, twice),
        )
        levers = levers.rows(twice)
    gm = flotation.km - displacement.vcg_corrected
    angles = immersion_angles(vessel.openings, flotation, side)
    unknown, edge = np.full_like(gm, np.nan), vessel.deck_edge
    area, height = unknown, unknown
    if vessel.wind_profile is not None:
        area, height = vessel.wind_profile.at(flotation.draft_midship, batch.wind_area, batch.wind_moment)
    return Situation(
        vessel=vessel,
        batch=batch,
        side=side,
        displacement=displacement,
        gm_corrected=gm,
        flotation=flotation,
        curve=levers.curve(vessel, side * (displacement.tcg - flotation.tcb)),
        actual_moments=levers.actual_moments,
        flooding=first_immersion(angles, vessel.floods, len(gm)),
        flooding_automatic=first_immersion(angles, vessel.floods_unless_automatic, len(gm)),
        deck_edge=unknown if edge is None else edge.angle(flotation),
        half_freeboard=unknown if edge is None else edge.angle(flotation, 0.5),
        wind_area=area,
        wind_height=height,
    )


@dataclass(frozen=True)
class _Levers:
    """KN [M, H], and the KM and VCG [M] that go with it, m. KN None: no cross curves."""

    values: Floats | None
    km: Floats
    vcg: Floats
    actual_moments: Bools

    def rows(self, index: Any) -> "_Levers":
        values = None if self.values is None else self.values[index]
        return _Levers(values, self.km[index], self.vcg[index], self.actual_moments[index])

    def curve(self, vessel: Vessel, toward: Floats) -> RightingLever | None:
        if vessel.cross_curves is None or self.values is None:
            return None
        return RightingLever(vessel.cross_curves, self.values, self.km, self.vcg, toward)


def _levers(
    vessel: Vessel,
    batch: Batch,
    displacement: Displacement,
    flotation: Flotation,
    liquids: Liquids,
    surfaces: FreeSurfaces,
    refusals: Refusals,
) -> _Levers:
    """KN at displacement and trim. A slack tank with a heeled-moment table that covers its filling takes part with
    its actual moment at each heel, every other tank through the fluid VCG (2008 IS Code Part B 3.1.9)."""
    km, vcg, actual = flotation.km, displacement.vcg_corrected, np.zeros(len(batch), dtype=bool)
    curves = vessel.cross_curves
    if curves is None:
        return _Levers(None, km, vcg, actual)
    equivalent = displacement.mass * (curves.density / batch.water_density)
    values = curves.values(equivalent, flotation.trim, refusals)
    for heeled in vessel.heeled:
        lines = np.flatnonzero(
            (batch.fillings.tank == heeled.tank)
            & (liquids.state == SLACK)
            & (batch.basis[batch.fillings.condition] == AS_FILLED)
            & (liquids.fill >= heeled.fillings[0])
            & (liquids.fill <= heeled.fillings[-1])
        )
        n = batch.fillings.condition[lines]
        part = batch.fillings.density[lines] / displacement.mass[n]
        shift = [np.interp(liquids.fill[lines], heeled.fillings, moments) for moments in heeled.moments.T]
        values[n] -= part[:, None] * np.stack(shift, axis=1)
        upright = surfaces.moment[lines] / displacement.mass[n]
        km, vcg = km.copy(), vcg.copy()
        km[n] -= upright
        vcg[n] -= upright
        actual[n] = True
    return _Levers(values, km, vcg, actual)
