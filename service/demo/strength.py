"""What a booklet prints for longitudinal strength: areas of sections, the lightship along her length, limits.

All from the hull: areas by integrating half-breadths, hull steel along her length in proportion to what is plated
there, limits from the least midship section modulus and the wave bending moments of IACS UR S7 and S11. Positions
are from the aft perpendicular, positive forward. Metres and tonnes.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from service.core.hull.sections import Array, quadrature

from .printing import Printing, Row, rounded
from .ship_form import ShipForm

GRAVITY = 9.81
"""m/s2, kN in a tonne."""
STRESS = 175.0
"""N/mm2, permissible bending stress of ordinary steel. Source: IACS UR S11.3.1 (value from memory)."""
HOGGING_WAVE, SAGGING_WAVE = 190.0, 110.0
"""Factors of the wave bending moments. Source: IACS UR S11.2.2 (values from memory)."""
IN_HARBOUR = 0.5
"""Part of the wave bending moment that limits in harbour leave room for: our own choice, no source."""
SHEAR_OF_BENDING = 6.0
"""Greatest shear force times length over greatest bending moment: our own choice, no source."""


@dataclass(frozen=True)
class Fitting:
    """A part of the lightship besides her hull steel: mass in t, spread evenly from x_from to x_to."""

    name: str
    x_from: float
    x_to: float
    mass: float


def section_areas(form: ShipForm, x: Array, drafts: Array) -> Array:
    """Immersed areas [X, D] of the sections at x to each draft, both sides, no more than to the watertight deck.

    Source: definition (Bonjean curves); Gauss-Legendre up the section, panels of a hundredth of the depth."""
    top = form.top(x)
    areas = np.zeros((x.size, drafts.size))
    for i, (place, deck) in enumerate(zip(x.tolist(), top.tolist(), strict=True)):
        for j, draft in enumerate(np.minimum(drafts, deck).tolist()):
            if draft <= 0.0:
                continue
            panels = max(2, round(100.0 * draft / form.depth))
            z, weight = quadrature(tuple(np.linspace(0.0, draft, panels + 1)), 2)
            areas[i, j] = 2.0 * float(weight @ form.half_breadth(np.full_like(z, place), z))
    return areas


def sections(form: ShipForm, printing: Printing, x: Array, drafts: Array) -> Row:
    """The table of section areas as printed, from aft forward."""
    areas = section_areas(form, x, drafts)
    return {
        "x": [printing.x(place, 2) for place in x.tolist()],
        "drafts": [rounded(draft, 2) for draft in drafts.tolist()],
        "areas": [[rounded(area, 2) for area in row] for row in areas.tolist()],
    }


def segments(
    form: ShipForm, printing: Printing, lightship: Row, fittings: tuple[Fitting, ...], breaks: Array
) -> list[Row]:
    """Lightship by segments: hull steel between `breaks`, linear in each, then the fittings.

    Steel is what the fittings leave of her mass, along her length in proportion to shell and deck at each place, with
    a part that grows linearly so that her LCG comes out. Source: definition (mass and first moment)."""
    share = np.array([_plating(form, place) for place in breaks.tolist()])
    length = np.diff(breaks)
    steel = lightship["mass"] - sum(each.mass for each in fittings)
    moment = lightship["mass"] * lightship["lcg"] - sum(
        each.mass * 0.5 * (each.x_from + each.x_to) for each in fittings
    )

    def totals(rate: Array) -> tuple[float, float]:
        low, high = rate[:-1], rate[1:]
        first = length * (low * (2.0 * breaks[:-1] + breaks[1:]) + high * (breaks[:-1] + 2.0 * breaks[1:]))
        return float((length * (low + high)).sum() / 2.0), float(first.sum() / 6.0)

    tilt = share * (breaks - breaks.mean()) / form.length
    (m0, s0), (m1, s1) = totals(share), totals(tilt)
    even, tilted = np.linalg.solve(np.array([[m0, m1], [s0, s1]]), np.array([steel, moment]))
    rate = even * share + tilted * tilt
    rows = [
        {
            "x_from": printing.x(aft, 2),
            "x_to": printing.x(forward, 2),
            "mass_from": rounded(low, 3),
            "mass_to": rounded(high, 3),
        }
        for (aft, forward), (low, high) in zip(
            pairwise(breaks.tolist()), pairwise(rate.tolist()), strict=True
        )
    ]
    return rows + [
        {"x_from": printing.x(each.x_from, 2), "x_to": printing.x(each.x_to, 2), "mass": each.mass}
        for each in fittings
    ]


def _plating(form: ShipForm, place: float) -> float:
    """Length of shell and deck around the section at a place (girth both sides, deck, and double bottom)."""
    z = np.linspace(0.0, float(form.top(np.array([place]))[0]), 200)
    y = form.half_breadth(np.full_like(z, place), z)
    girth = float(np.hypot(np.diff(y), np.diff(z))[y[1:] > 0.0].sum())
    return 2.0 * girth + 2.0 * float(y[-1]) + 2.0 * float(y.max())


def wave_coefficient(length: float) -> float:
    """C of the wave bending moments, for a length in m up to 300. Source: IACS UR S11.2.2 (value from memory)."""
    return float(10.75 - ((300.0 - length) / 100.0) ** 1.5)


def bending_limits(form: ShipForm, block_coefficient: float) -> dict[str, tuple[float, float]]:
    """Permissible still-water bending moments amidships, (hogging, sagging) in t.m, by set.

    The least midship section modulus C L2 B (Cb + 0.7) cm3 bears 175 N/mm2; the wave takes 190 C L2 B Cb (hogging) and
    110 C L2 B (Cb + 0.7) (sagging), each 1e-3 kN.m, at sea, and half of that in harbour.
    Source: IACS UR S7.3, S11.2.2 (values from memory)."""
    size = wave_coefficient(form.length) * form.length**2 * form.breadth
    borne = STRESS * size * (block_coefficient + 0.7) * 1e-3
    hogging = HOGGING_WAVE * size * block_coefficient * 1e-3
    sagging = SAGGING_WAVE * size * (block_coefficient + 0.7) * 1e-3
    return {
        name: ((borne - part * hogging) / GRAVITY, (borne - part * sagging) / GRAVITY)
        for name, part in (("sea", 1.0), ("harbour", IN_HARBOUR))
    }


def along_her_length(share: float) -> float:
    """Part of the limit amidships at a share of her length from aft: whole from 0.3 to 0.7, falling to the ends.

    Source: our own choice; wave bending moments fall linearly to the ends (IACS UR S11 Fig. 2, value from memory)."""
    return float(np.interp(share, [0.0, 0.3, 0.7, 1.0], [0.15, 1.0, 1.0, 0.15]))


def stations(form: ShipForm, printing: Printing, places: dict[str, float], block: float) -> list[Row]:
    """Read-out points with limits of both signs at sea and in harbour, rounded down to 10."""
    limits = bending_limits(form, block)
    rows = []
    for name, x in places.items():
        part = along_her_length(x / form.length)
        row: Row = {"name": name, "x": printing.x(x, 2)}
        for which, (hogging, sagging) in limits.items():
            shear = SHEAR_OF_BENDING / form.length
            row[f"shear_force_{which}"] = _down(hogging * shear)
            row[f"shear_force_{which}_negative"] = _down(sagging * shear)
            row[f"bending_moment_{which}"] = _down(hogging * part)
            row[f"bending_moment_{which}_sagging"] = _down(sagging * part)
        rows.append(row)
    return rows


def _down(value: float) -> float:
    return float(10.0 * np.floor(value / 10.0))
