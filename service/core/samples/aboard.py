"""What is aboard in every sample of a condition at once: masses, centres and the free surface that counts.

Arrays [N] run along the samples. A sample is `ordinary` where what is done here for all of them holds: every filling is
on its tank's table, no weight changes its sign, and no choice between free surface rules or printed columns hangs on
the last digit. Any other one is left to `assess`. Each sum is taken line by line, so that how many samples are drawn
together moves no digit.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..conventions import Floats
from ..free_surface import (
    AS_FILLED,
    BY_RULE,
    CFR,
    FULL_BY_THE_CODE,
    IMO,
    MOMENT_AT_30_DEGREES,
    greatest_moment,
)
from ..interpolation import intervals
from ..tank import BEYOND_BELIEF, CONSUMABLE, EMPTY, ROUNDING, SLACK, Liquid, Tank
from ..weight import Weight

if TYPE_CHECKING:
    from ..assessment import Assessment
    from ..condition import TankLine
    from ..vessel import Vessel

LIGHTSHIP, TANK, WEIGHT, WATER = SOURCES = ("lightship", "tank", "weight", "water")
MASS, LCG, VCG, TCG, QUANTITY, SOUNDING, DENSITY = (
    "mass",
    "lcg",
    "vcg",
    "tcg",
    "quantity",
    "sounding",
    "density",
)
LAST_DIGIT = 1e-9
"""Relative difference of two totals within which it is left to `assess` which of them is the greater."""

Flags = NDArray[np.bool_]


class Deviation(NamedTuple):
    """One uncertain quantity: its source and, of a tank or weight, its line in the condition; which quantity, and the
    standard deviation: a part of the mass for `mass` and `quantity`, m for centres and soundings, else t/m3."""

    source: str
    line: int
    quantity: str
    deviation: float


class Aboard(NamedTuple):
    """All samples: t, m and t.m as in `Displacement`, density of the water (t/m3), which are ordinary, and in which a
    tank was held at its 100 % volume. `heeled`: for each tank line that may take part with its actual moments, the
    line, where it does so [N], its density [N] and its moment upright [N]. `lines` are the tank lines, `weights` mass
    and centre of the lightship, of the weights of the condition and of what is added."""

    ordinary: Flags
    clipped: Flags
    mass: Floats
    lcg: Floats
    tcg: Floats
    vcg: Floats
    free_surface_moment: Floats
    water_density: Floats
    heeled: list[tuple[int, Flags, Floats, Floats]]
    lines: "list[_Lines]"
    weights: "list[tuple[Floats, Floats, Floats, Floats]]"

    def liquids(self, n: int, nominal: "Assessment") -> list[Liquid]:
        """What is in the tanks in sample `n`, each with the state and filling of the condition.

        Source: definition."""
        return [
            Liquid(
                volume=float(one.volume[n]),
                mass=float(one.volume[n] * one.density[n]),
                fill=was.fill,
                lcg=float(one.lcg[n]),
                vcg=float(one.vcg[n]),
                tcg=float(one.tcg[n]),
                inertia=float(one.inertia[n]),
                state=was.state,
            )
            for one, was in zip(self.lines, nominal.liquids)
        ]

    def carried(self, n: int, lightship: Weight, weights: Sequence[Weight]) -> tuple[Weight, list[Weight]]:
        """Lightship and weights of the condition in sample `n`. Source: definition."""
        first, *others = (
            moved(was, *(float(each[n]) for each in one))
            for was, one in zip((lightship, *weights), self.weights)
        )
        return first, others


def moved(weight: Weight, mass: float, lcg: float, vcg: float, tcg: float) -> Weight:
    """A weight of another mass (t) with its centre elsewhere (m); one that is spread over her length moves with its
    ends. Source: definition."""
    _, before, _, _, category, extent, hold = weight
    if extent is not None:
        extent = (extent[0] + lcg - before, extent[1] + lcg - before)
    return Weight(mass, lcg, vcg, tcg, category, extent, hold)


class _Lines(NamedTuple):
    """One tank line in all samples: m3, t/m3, centre in m, inertia in m4."""

    volume: Floats
    density: Floats
    lcg: Floats
    vcg: Floats
    tcg: Floats
    inertia: Floats


class _Moments(NamedTuple):
    """Free surface of the tank lines in all samples, t.m: total [N] and a line [N] each; which count at their
    filling."""

    total: Floats
    moments: list[Floats]
    at_filling: list[Flags]


def aboard(
    vessel: "Vessel",
    nominal: "Assessment",
    deviations: Sequence[Deviation],
    normal: Floats,
    added: Sequence[Weight] = (),
) -> Aboard:
    """Every sample, for standard normal numbers [N, D] of the deviations [D]; `added` is what is aboard besides the
    lines of the condition. Fillings keep the state they have in the condition, as `assess` keeps it.

    Source: first moments (definition); the documents named in `free_surface.py`."""
    condition, steps = nominal.condition, _Steps(deviations, normal)
    ordinary, clipped = np.ones(len(normal), dtype=bool), np.zeros(len(normal), dtype=bool)
    lines = []
    for k, (line, liquid) in enumerate(zip(condition.tanks, nominal.liquids)):
        tank = vessel.tanks[line.tank]
        volume, held = _volume(tank, liquid, k, steps)
        density = line.density + steps.of(TANK, k, DENSITY)
        ordinary &= _is_on_table(tank, volume) & _keeps_column(tank, line, density)
        clipped |= held
        lines.append(_Lines(volume, density, *_at(tank, volume)))
    weights = [_weight(vessel.lightship, LIGHTSHIP, 0, steps)]
    weights += [_weight(weight, WEIGHT, k, steps) for k, weight in enumerate(condition.weights)]
    weights += [_weight(weight, "", 0, steps) for weight in added]
    masses = [(one.volume * one.density, one.lcg, one.vcg, one.tcg) for one in lines] + weights
    total, x, z, y = (np.zeros(len(normal)) for _ in range(4))
    for mass, lcg, vcg, tcg in masses:
        total += mass
        x += mass * lcg
        z += mass * vcg
        y += mass * tcg
    ordinary &= total > 0.0
    for (mass, *_), weight in zip(weights[1:], condition.weights):
        ordinary &= (mass > 0.0) == (weight.mass > 0.0)
    judged, clear = _free_surface(vessel, nominal, lines, steps.nothing)
    with np.errstate(all="ignore"):
        return Aboard(
            ordinary & clear,
            clipped,
            total,
            x / total,
            y / total,
            z / total,
            judged.total,
            condition.water_density + steps.of(WATER, 0, DENSITY),
            [
                (k, judged.at_filling[k], one.density, judged.moments[k])
                for k, (line, one) in enumerate(zip(condition.tanks, lines))
                if line.tank in vessel.heeled
            ],
            lines,
            weights,
        )


class _Steps:
    """By how much each quantity is off in every sample."""

    def __init__(self, deviations: Sequence[Deviation], normal: Floats) -> None:
        columns = np.ascontiguousarray(normal.T)
        self.by_name: dict[tuple[str, int, str], Floats] = {
            one[:3]: one.deviation * z for one, z in zip(deviations, columns)
        }
        self.nothing: Floats = np.zeros(len(normal))

    def of(self, source: str, line: int, quantity: str) -> Floats:
        return self.by_name.get((source, line, quantity), self.nothing)

    def has(self, source: str, line: int, quantity: str) -> bool:
        return (source, line, quantity) in self.by_name


def _weight(weight: Weight, source: str, line: int, steps: _Steps) -> tuple[Floats, Floats, Floats, Floats]:
    """Mass and centre of a weight in all samples."""
    return (
        weight.mass * (1.0 + steps.of(source, line, MASS)),
        weight.lcg + steps.of(source, line, LCG),
        weight.vcg + steps.of(source, line, VCG),
        weight.tcg + steps.of(source, line, TCG),
    )


def _volume(tank: Tank, liquid: Liquid, line: int, steps: _Steps) -> tuple[Floats, Flags]:
    """Volume in a tank in all samples, between nothing and its 100 % volume, and where it was held there."""
    levels = tank.levels.get("sounding")
    if steps.has(TANK, line, SOUNDING):
        level = tank.level("sounding", liquid.volume)
        if level is not None and levels is not None:
            wanted = level + steps.of(TANK, line, SOUNDING)
            value = np.clip(wanted, levels[0], levels[-1])
            i, part = intervals(np.array(levels), value)
            volumes = np.array(tank.volumes)
            volume: Floats = volumes[i] + part * (volumes[i + 1] - volumes[i])
            return volume, value != wanted
    wanted = liquid.volume * (1.0 + steps.of(TANK, line, QUANTITY))
    if not steps.has(TANK, line, QUANTITY):
        return wanted, np.zeros(len(wanted), dtype=bool)
    volume = np.clip(wanted, 0.0, max(tank.capacity, liquid.volume))
    return volume, volume != wanted


def _at(tank: Tank, volume: Floats) -> Floats:
    """LCG, VCG, TCG and inertia of the surface [4, N] at volumes [N]."""
    i, part = intervals(np.array(tank.volumes), volume)
    rows = np.array(tank.rows).T
    low = rows[:, i]
    at: Floats = low + part * (rows[:, i + 1] - low)
    return at


def _is_on_table(tank: Tank, volume: Floats) -> Flags:
    """Where `Tank.liquid` refuses no volume."""
    low = tank.volumes[0] * (1.0 - ROUNDING)
    beyond = volume > BEYOND_BELIEF * tank.capacity
    on_table: Flags = ~(beyond | ((tank.unpumpable < volume) & (volume < low)))
    return on_table


def _keeps_column(tank: Tank, line: "TankLine", density: Floats) -> Flags:
    """Where the printed column of the liquid is the one it is in the condition."""
    if len(tank.printed) < 2:
        return np.ones(len(density), dtype=bool)
    away = [
        np.abs(column.density - density) + 1e3 * (column.contents != line.contents) for column in tank.printed
    ]
    same: Flags = np.argmin(away, axis=0) == tank.printed.index(tank.column(line))
    return same


def _free_surface(
    vessel: "Vessel", nominal: "Assessment", lines: Sequence[_Lines], nothing: Floats
) -> tuple[_Moments, Flags]:
    """What `free_surfaces` counts, and where it is clear which total that is."""
    condition = nominal.condition
    rules = {rule_set.surfaces for rule_set in nominal.sets if rule_set.surfaces is not None}
    if condition.basis == BY_RULE and not rules:
        rules = {IMO}
    filled, greatest = _surfaces(vessel, nominal, lines, IMO in rules)
    as_filled = condition.basis == AS_FILLED
    asked = filled if as_filled else greatest
    everywhere = np.full(len(nothing), as_filled)
    judged = _Moments(_sum(asked, nothing), asked, [everywhere] * len(asked))
    clear = np.ones(len(nothing), dtype=bool)
    ruled = [_by_rule(rule, vessel, nominal, lines, (filled, greatest), nothing) for rule in sorted(rules)]
    for k, other in enumerate(ruled):
        if k == 0 and condition.basis == BY_RULE:
            judged = other
            continue
        more = other.total > judged.total
        # where two totals are the same it may still differ which lines count at their filling
        if vessel.heeled:
            clear &= np.abs(other.total - judged.total) > LAST_DIGIT * judged.total
        judged = _Moments(
            np.where(more, other.total, judged.total),
            [np.where(more, a, b) for a, b in zip(other.moments, judged.moments)],
            [np.where(more, a, b) for a, b in zip(other.at_filling, judged.at_filling)],
        )
    return judged, clear


def _surfaces(
    vessel: "Vessel", nominal: "Assessment", lines: Sequence[_Lines], code: bool
) -> tuple[list[Floats], list[Floats]]:
    """Moment at the filling and greatest moment of each line: by the inertia at its filling where that counts, else in
    proportion to the density aboard."""
    filled, greatest = [], []
    for line, liquid, surface, one in zip(
        nominal.condition.tanks, nominal.liquids, nominal.surfaces.surfaces, lines
    ):
        tank = vessel.tanks[line.tank]
        slack = liquid.state == SLACK or (code and liquid.fill < FULL_BY_THE_CODE)
        if slack and liquid.state != EMPTY and not tank.printed and line.slack_between is None:
            filled.append(one.inertia * one.density)
            greatest.append(np.maximum(tank.greatest_inertia, one.inertia) * one.density)
        else:
            scale = one.density / line.density
            filled.append(surface.as_filled * scale)
            greatest.append(surface.greatest * scale)
    return filled, greatest


def _by_rule(
    rule: str,
    vessel: "Vessel",
    nominal: "Assessment",
    lines: Sequence[_Lines],
    surfaces: tuple[list[Floats], list[Floats]],
    nothing: Floats,
) -> _Moments:
    """As `free_surface` counts by rule: see there."""
    least, small = vessel.particulars.minimum_service_displacement, 0.0
    if rule == IMO and least is not None:
        small = 0.01 * least / MOMENT_AT_30_DEGREES
    moments, at_filling = list[Floats](), list[Flags]()
    for line, surface, filled, greatest in zip(nominal.condition.tanks, nominal.surfaces.surfaces, *surfaces):
        at_greatest = rule == CFR or line.contents in CONSUMABLE
        left_out = (surface.counted_as == SLACK) & (greatest < small)
        moments.append(np.where(left_out, 0.0, greatest if at_greatest else filled))
        at_filling.append(~left_out & (not at_greatest))
    total = _sum([*moments, *_assumed(vessel, nominal, lines, moments)], nothing)
    return _Moments(total, moments, at_filling)


def _assumed(
    vessel: "Vessel", nominal: "Assessment", lines: Sequence[_Lines], moments: Sequence[Floats]
) -> list[Floats]:
    """Moments assumed for consumables, a line [N] each: see `free_surface.py`."""
    effects: dict[str, dict[int, Floats]] = {}
    most: dict[int, Floats] = {}
    condition = nominal.condition
    for k, (line, liquid, one) in enumerate(zip(condition.tanks, nominal.liquids, lines)):
        if line.contents in CONSUMABLE and liquid.state != EMPTY:
            units = effects.setdefault(line.contents, {})
            most[k] = greatest_moment(vessel.tanks[line.tank], line) / line.density * one.density
            for pair in vessel.units_of[line.tank]:
                units[pair] = units[pair] + most[k] if pair in units else most[k]
    chosen = {}
    for contents, units in effects.items():
        names = np.array(sorted(units))
        chosen[contents] = names[np.argmax([units[name] for name in names.tolist()], axis=0)]
    found = []
    for k, (line, liquid, surface) in enumerate(
        zip(condition.tanks, nominal.liquids, nominal.surfaces.surfaces)
    ):
        if SLACK in (liquid.state, surface.counted_as) or k not in most:
            continue
        counts = np.isin(chosen[line.contents], vessel.units_of[line.tank])
        counts &= moments[k] < most[k] * (1.0 - 1e-9)
        found.append(np.where(counts, most[k] - moments[k], 0.0))
    return found


def _sum(parts: Sequence[Floats], nothing: Floats) -> Floats:
    """One after the other, whatever their number."""
    total = nothing.copy()
    for part in parts:
        total += part
    return total
