"""Displacement, its centres, and the loss of GM to free surface: the sums of the booklet's loading form."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .condition import Batch
from .errors import CoreError, Refusals
from .frame import Floats
from .free_surface import Assumed, FreeSurfaces
from .tank import Liquids
from .weight import Moments, Weight


@dataclass(frozen=True)
class Displacement:
    """Each [N]: mass t; centres m; total free surface moment t.m and the correction it makes to VCG and GM, m."""

    mass: Floats
    lcg: Floats
    tcg: Floats
    vcg_solid: Floats
    vcg_corrected: Floats
    free_surface_moment: Floats
    free_surface_correction: Floats


def displacement_of(
    lightship: Weight,
    batch: Batch,
    liquids: Liquids,
    surfaces: FreeSurfaces,
    assumed: Sequence[Assumed],
    refusals: Refusals,
) -> Displacement:
    """Lightship, liquids and weights added up; free surface correction = sum of moments / displacement.

    Refuses masses that do not come to a positive sum. Source: first moments (definition); 2008 IS Code
    Part B 3.1.7 (correction to GM)."""
    moment = batch.sum_by_condition(surfaces.moment)
    for line in assumed:
        moment[line.condition] += line.moment
    mass = liquids.mass
    tanks = Moments(
        batch.sum_by_condition(mass),
        batch.sum_by_condition(mass * liquids.lcg),
        batch.sum_by_condition(mass * liquids.vcg),
        batch.sum_by_condition(mass * liquids.tcg),
    )
    ship = lightship.moments
    total = ship.plus(tanks).plus(batch.weights.moments())
    for n in np.flatnonzero(~(total.mass > 0.0)):
        refusals.add(int(n), CoreError("the masses taken off come to no less than everything aboard"))
    displacement = np.where(total.mass > 0.0, total.mass, np.nan)
    vcg, correction = total.vertical / displacement, moment / displacement
    return Displacement(
        mass=displacement,
        lcg=total.longitudinal / displacement,
        tcg=total.transverse / displacement,
        vcg_solid=vcg,
        vcg_corrected=vcg + correction,
        free_surface_moment=moment,
        free_surface_correction=correction,
    )
