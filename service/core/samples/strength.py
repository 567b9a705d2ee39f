"""Longitudinal strength in every sample of a condition: forces for all at once, one `Situation` at a time from there.

The formulas are those of `strength/`, where their sources are.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from ..conventions import Floats
from ..situation import Situation
from ..strength.booklet import StrengthBooklet
from ..strength.for_condition import masses_in, with_strength
from ..strength.hold_mass import HoldMass, HoldStrength
from ..strength.limits import HARBOUR, SEA
from ..strength.samples_forces import ForcesOfSamples, Ship
from ..strength.samples_loads import Flags, Loads, spread_all
from ..strength.still_water import Forces
from ..weight import Weight
from .aboard import Aboard

if TYPE_CHECKING:
    from ..assessment import Assessment
    from .afloat import Afloat


class StrengthOfSamples:
    """Forces, and masses in holds, of all samples of a condition whose booklet tells of either."""

    def __init__(self, booklet: StrengthBooklet, afloat: "Afloat") -> None:
        self._booklet, self._afloat = booklet, afloat
        self._added = [each.weight for each in afloat.nominal.added]
        self._forces: ForcesOfSamples | None = None
        self._computes = booklet.is_complete and not booklet.shear_correction_required
        light = afloat.vessel.lightship
        if self._computes and light.mass > 0.0 and booklet.sections is not None:
            others, fits = _loads(afloat.load, afloat.nominal, self._added, afloat, booklet.sections.x[0])
            mass, lcg, *_ = afloat.load.weights[0]
            ship = Ship(
                *afloat.drafts_at_ends,
                afloat.load.mass,
                afloat.load.water_density,
                mass,
                lcg,
                (light.mass, light.lcg),
                afloat.vessel.particulars.length_bp,
            )
            which = HARBOUR if afloat.nominal.condition.in_port else SEA
            self._forces = ForcesOfSamples(booklet, which, ship, others, fits & afloat.ordinary)
        self._masses = _masses(afloat.load) if booklet.holds or booklet.pairs else None

    def of(self, n: int, ship: Situation) -> Situation:
        """Sample `n` with her forces and masses in holds. Source: see `with_strength`."""
        forces = self.forces_at(n)
        if self._computes and forces is None:
            return self._alone(n, ship)
        return replace(
            ship,
            forces=forces,
            hold_masses=self._in(self._booklet.holds, n, ship),
            adjacent_hold_masses=self._in(self._booklet.pairs, n, ship),
        )

    def forces_at(self, n: int) -> Forces | None:
        """Her forces in sample `n`; None where they are left to `with_strength`, or her booklet tells none.

        Source: see `still_water`."""
        forces = self._forces
        return None if forces is None or not forces.clear[n] else forces.at(n)

    def _in(self, holds: Sequence[HoldStrength], n: int, ship: Situation) -> tuple[HoldMass, ...]:
        if not holds or self._masses is None:
            return ()
        liquids, weights = self._masses
        return masses_in(ship, holds, liquids[n], weights[n])

    def _alone(self, n: int, ship: Situation) -> Situation:
        ship = self._afloat.with_lines(n, ship)
        return with_strength(ship, ship.vessel.strength or self._booklet, ship.liquids, self._added)


def _masses(load: Aboard) -> tuple[list[list[float]], list[list[float]]]:
    """Masses of the tank lines, and of all weights but the lightship, a sample."""
    count = len(load.mass)
    liquids = [one.volume * one.density for one in load.lines]
    weights = [mass for mass, *_ in load.weights[1:]]
    return _columns(liquids, count).tolist(), _columns(weights, count).tolist()


def _columns(parts: Sequence[Floats], count: int) -> Floats:
    """Side by side [N, L], also where there are none."""
    return np.stack(parts, axis=1) if parts else np.zeros((count, 0))


def _loads(
    load: Aboard, nominal: "Assessment", added: Sequence[Weight], afloat: "Afloat", nowhere: float
) -> tuple[Loads, Flags]:
    """Liquids and weights along her length, and where every centre lies within its extent."""
    condition, count = nominal.condition, len(load.mass)
    masses, centres, ends = list[Floats](), list[Floats](), list[tuple[Floats, Floats]]()
    unknown = np.full(count, np.nan)
    for line, one in zip(condition.tanks, load.lines):
        extent = afloat.vessel.tanks[line.tank].extent
        masses.append(one.volume * one.density)
        centres.append(one.lcg)
        ends.append(
            (unknown, unknown)
            if extent is None
            else (np.full(count, extent[0], dtype=float), np.full(count, extent[1], dtype=float))
        )
    for weight, (mass, lcg, *_) in zip((*condition.weights, *added), load.weights[1:]):
        masses.append(mass)
        centres.append(lcg)
        e = weight.extent
        # as `moved` moves them
        ends.append((unknown, unknown) if e is None else (e[0] + lcg - weight.lcg, e[1] + lcg - weight.lcg))
    aft, forward = (_columns([each[k] for each in ends], count) for k in (0, 1))
    return spread_all(_columns(masses, count), _columns(centres, count), aft, forward, nowhere)
