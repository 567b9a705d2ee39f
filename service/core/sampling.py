"""Samples of a condition: assessed with what is uncertain varied.

The matrix of normal numbers is filled sample by sample. Fillings keep the state they have in the condition: a slack
tank stays slack. What is the same work in every sample is done for all at once (`samples/`); a sample for which that
does not hold goes through `assess` alone. Either way its figures are the same to the last digits.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from .assessment import Assessment, assess, judged
from .condition import Condition, TankLine
from .conventions import Floats
from .errors import CoreError
from .normal_numbers import normal_quantile, uniforms
from .rules.limit import NOT_APPLICABLE, PASS, Criterion, RuleSet
from .samples.aboard import (
    DENSITY,
    LCG,
    LIGHTSHIP,
    MASS,
    SOUNDING,
    WATER,
    WEIGHT,
    Aboard,
    Deviation,
    aboard,
)
from .samples.afloat import Afloat
from .samples.strength import StrengthOfSamples
from .situation import Situation
from .vessel import Vessel
from .weight import Weight

FIGURES = (
    "gm_corrected",
    "displacement",
    "vcg_corrected",
    "draft_at_lcf",
    "draft_forward",
    "draft_midship",
    "draft_aft",
    "trim",
    "list",
)


class Samples(NamedTuple):
    """Samples that stay within her tables: their numbers [K], FIGURES [K, F] with nan for a list that is not known,
    margins [K, C] and whether they hold [K, C] for the criteria that apply, and how many pass as a whole or had a tank
    held at its 100 % volume."""

    numbers: Floats
    figures: Floats
    margins: Floats
    holds: Floats
    passes: int
    clipped: int

    @classmethod
    def joined(cls, parts: "Sequence[Samples]") -> "Samples":
        """Parts of one sampling in order. Source: definition."""
        return cls(
            np.concatenate([part.numbers for part in parts]),
            np.concatenate([part.figures for part in parts]),
            np.concatenate([part.margins for part in parts]),
            np.concatenate([part.holds for part in parts]),
            sum(part.passes for part in parts),
            sum(part.clipped for part in parts),
        )


def sampled(
    vessel: Vessel,
    nominal: Assessment,
    deviations: Sequence[Deviation],
    seed: int,
    first: int,
    count: int,
) -> Samples:
    """`count` samples of a condition, assessed already, from number `first` on. What is the same work in all of them is
    done for all at once; samples for which that does not hold, each alone. Source: see the module."""
    normal = normal_quantile(uniforms(seed, count, len(deviations), first))
    together = Together.of(vessel, nominal, deviations, normal)
    alone = normal.tolist() if together is None or not together.ordinary.all() else []
    ids = applicable(nominal)
    numbers, passes, clipped = list[int](), 0, 0
    rows: list[list[float | None]] = []
    margins: list[list[float]] = []
    holds: list[list[bool]] = []
    for n in range(count):
        if together is not None and together.ordinary[n]:
            found = together.sample(n)
        else:
            one = assessed_alone(vessel, nominal, deviations, alone[n])
            if one is None:
                continue
            found = one
        clipped += found.clipped
        numbers.append(first + n)
        rows.append(found.figures)
        judged = [found.criteria[k][1] for k in ids]
        margins.append([np.nan if (margin := c.margin) is None else margin for c in judged])
        holds.append([c.verdict == PASS for c in judged])
        passes += found.passes
    shape = (len(numbers), len(ids))
    return Samples(
        np.array(numbers, dtype=np.float64),
        np.array(rows, dtype=np.float64).reshape(len(numbers), len(FIGURES)),
        np.array(margins, dtype=np.float64).reshape(shape),
        np.array(holds, dtype=np.float64).reshape(shape),
        passes,
        clipped,
    )


class Sample(NamedTuple):
    """FIGURES, the criteria, whether she passes, and whether a tank was held at its 100 % volume."""

    figures: list[float | None]
    criteria: list[tuple[RuleSet, Criterion]]
    passes: bool
    clipped: bool


def assessed_alone(
    vessel: Vessel, nominal: Assessment, deviations: Sequence[Deviation], normal: Sequence[float]
) -> Sample | None:
    """One sample by the full chain; None where it is off her tables.

    Source: see `assess`."""
    ship, changed, held = varied(vessel, nominal.condition, nominal, deviations, normal)
    try:
        found = assess(ship, changed, nominal.liquids)
    except CoreError:
        return None
    figures = figures_of(found.situation)
    if any(value is None for value in figures[:-1]):
        return None
    return Sample(figures, found.criteria, found.verdict == PASS, held)


class Together:
    """All samples of a condition without ice or timber on deck."""

    def __init__(self, nominal: Assessment, load: Aboard, afloat: Afloat) -> None:
        self.nominal, self.afloat = nominal, afloat
        self.ordinary, self._clipped = afloat.ordinary, load.clipped
        self._reads_lines = any(rule_set.reads_lines for rule_set in nominal.sets)
        self.strength = None
        booklet, sets = afloat.vessel.strength, nominal.sets
        if booklet is not None and booklet.is_used and any(rule_set.reads_strength for rule_set in sets):
            self.strength = StrengthOfSamples(booklet, afloat)
        self._verdicts: dict[tuple[tuple[str, str | None], ...], bool] = {}

    @classmethod
    def of(
        cls, vessel: Vessel, nominal: Assessment, deviations: Sequence[Deviation], normal: Floats
    ) -> "Together | None":
        """None with ice or timber, and without cross curves.

        Source: see the module."""
        condition = nominal.condition
        if condition.timber or condition.icing is not None or vessel.cross_curves is None:
            return None
        load = aboard(vessel, nominal, deviations, normal, [each.weight for each in nominal.added])
        return cls(nominal, load, Afloat(vessel, nominal, load))

    def sample(self, n: int) -> Sample:
        """One that is ordinary. Source: see `assessment.py`."""
        ship = self.afloat.situation(n)
        if self._reads_lines:
            ship = self.afloat.with_lines(n, ship)
        if self.strength is not None:
            ship = self.strength.of(n, ship)
        curve, other = self.afloat.levers.of(n)
        ship, criteria, _ = judged(ship, self.nominal.sets, curve, other, self.afloat.flooding(n))
        return Sample(figures_of(ship), criteria, self._passes(ship, criteria), bool(self._clipped[n]))

    def _passes(self, ship: Situation, criteria: list[tuple[RuleSet, Criterion]]) -> bool:
        """Whether she passes as a whole, which hangs on nothing but the verdicts."""
        key = tuple((row.verdict, row.because) for _, row in criteria)
        if key not in self._verdicts:
            whole = replace(self.nominal, situation=ship, criteria=criteria)
            self._verdicts[key] = whole.verdict == PASS
        return self._verdicts[key]


def applicable(nominal: Assessment) -> list[int]:
    """Places of the criteria that apply to the condition. Source: definition."""
    return [k for k, (_, c) in enumerate(nominal.criteria) if c.verdict != NOT_APPLICABLE]


def varied(
    vessel: Vessel,
    condition: Condition,
    nominal: Assessment,
    deviations: Sequence[Deviation],
    normal: Sequence[float],
) -> tuple[Vessel, Condition, bool]:
    """One sample: the vessel, the condition, and whether a tank was held at its 100 % volume.

    Source: see the module."""
    light, water = vessel.lightship, condition.water_density
    tanks, weights = list(condition.tanks), list(condition.weights)
    clipped = False
    for (source, index, quantity, deviation), z in zip(deviations, normal):
        step = deviation * z
        if source == LIGHTSHIP:
            light = _moved(light, quantity, step)
        elif source == WEIGHT:
            weights[index] = _moved(weights[index], quantity, step)
        elif source == WATER:
            water += step
        elif quantity == DENSITY:
            tanks[index] = _denser(tanks[index], nominal.liquids[index].volume, step)
        else:
            tanks[index], held = _filled(vessel, tanks[index], nominal, index, quantity, step)
            clipped = clipped or held
    ship = vessel if light is vessel.lightship else vessel.with_lightship(light)
    return ship, replace(condition, tanks=tanks, weights=weights, water_density=water), clipped


def _moved(weight: Weight, quantity: str, step: float) -> Weight:
    """Another mass or place; one that is spread over her length moves with its ends."""
    if quantity == MASS:
        return weight._replace(mass=weight.mass * (1.0 + step))
    if quantity == LCG and weight.extent is not None:
        weight = weight._replace(extent=(weight.extent[0] + step, weight.extent[1] + step))
    return weight._replace(**{quantity: getattr(weight, quantity) + step})


def _denser(line: TankLine, volume: float, step: float) -> TankLine:
    """Another density of the same volume, whichever way the quantity was typed."""
    if line.quantity == MASS:
        line = line._replace(value=line.value / line.density * (line.density + step))
    return line._replace(density=line.density + step)


def _filled(
    vessel: Vessel, line: TankLine, nominal: Assessment, index: int, quantity: str, step: float
) -> tuple[TankLine, bool]:
    """Another quantity in a tank, between nothing and its 100 % volume; whether it was held there."""
    tank, liquid = vessel.tanks[line.tank], nominal.liquids[index]
    if quantity == SOUNDING:
        level = tank.level("sounding", liquid.volume)
        levels = tank.levels.get("sounding")
        if level is None or levels is None:
            return line, False
        value = min(max(level + step, levels[0]), levels[-1])
        return line._replace(quantity="sounding", value=value), value != level + step
    volume = liquid.volume * (1.0 + step)
    most = max(tank.capacity, liquid.volume)
    return line._replace(quantity="volume", value=min(max(volume, 0.0), most)), not 0.0 <= volume <= most


def figures_of(ship: Situation) -> list[float | None]:
    """FIGURES of her, None for what is not known. Source: definition."""
    load, flotation = ship.displacement, ship.flotation
    lengths = [None if flotation is None else getattr(flotation, name) for name in FIGURES[3:8]]
    return [
        ship.gm_corrected,
        load.mass,
        load.vcg_corrected,
        *lengths,
        ship.rest.list_angle,
    ]
