"""Displacement, its centres, and the loss of GM to free surface: the sums of the booklet's loading form."""

from collections.abc import Sequence
from math import fsum
from typing import NamedTuple

from .errors import CoreError
from .tank import Liquid
from .weight import Weight


class Displacement(NamedTuple):
    """Mass t; centres m; total free surface moment t.m and the correction it makes to VCG and GM, m."""

    mass: float
    lcg: float
    tcg: float
    vcg_solid: float
    vcg_corrected: float
    free_surface_moment: float
    free_surface_correction: float


def displacement_of(
    lightship: Weight, liquids: Sequence[Liquid], weights: Sequence[Weight], free_surface_moment: float
) -> Displacement:
    """Lightship, liquids and weights added up; free surface correction = moment (t.m) / displacement.

    Sums are exactly rounded, so that the order of the lines cannot move a digit. Raises CoreError where masses do
    not come to a positive sum. Source: first moments (definition); 2008 IS Code Part B 3.1.7 (correction to GM)."""
    masses = [(lightship.mass, lightship.lcg, lightship.vcg, lightship.tcg)]
    masses += [(liquid.mass, liquid.lcg, liquid.vcg, liquid.tcg) for liquid in liquids]
    masses += [(weight.mass, weight.lcg, weight.vcg, weight.tcg) for weight in weights]
    total = fsum([mass for mass, _, _, _ in masses])
    if not total > 0.0:
        raise CoreError("the masses removed are as large as everything aboard, or larger")
    vcg = fsum([mass * z for mass, _, z, _ in masses]) / total
    correction = free_surface_moment / total
    return Displacement(
        mass=total,
        lcg=fsum([mass * x for mass, x, _, _ in masses]) / total,
        tcg=fsum([mass * y for mass, _, _, y in masses]) / total,
        vcg_solid=vcg,
        vcg_corrected=vcg + correction,
        free_surface_moment=free_surface_moment,
        free_surface_correction=correction,
    )
