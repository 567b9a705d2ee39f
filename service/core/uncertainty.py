"""How sure the figures of a condition are: the condition assessed many times with what is uncertain varied.

Deviations are normal and independent. Samples are made so that anybody gets the same ones: raw 64-bit words of PCG64,
u = ((word >> 11) + 0.5) / 2^53, and the normal quantile of u; the matrix is filled sample by sample. Fillings keep the
state they have in the condition: a slack tank stays slack.
Source: O'Neill, PCG: A Family of Simple Fast Space-Efficient Statistically Good Algorithms for Random Number
Generation (HMC-CS-2014-0905); Wichura, Algorithm AS 241, Applied Statistics 37 (1988).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from .assessment import Assessment, assess
from .condition import Condition, TankLine
from .conventions import Floats
from .errors import CoreError
from .rules.limit import NOT_APPLICABLE, PASS
from .vessel import Vessel
from .weight import Weight

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
MOST_OUTSIDE = 0.01
"""Part of the samples off her tables beyond which no probability is given."""
MOST_CONTRIBUTIONS = 5
LEAST_MARGIN = "least_margin"

# Coefficients of AS 241, routine PPND16, as published
_CENTRE = (
    (3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3, 1.3731693765509461125e4,
     4.5921953931549871457e4, 6.7265770927008700853e4, 3.3430575583588128105e4, 2.5090809287301226727e3),
    (1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
     2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4, 5.2264952788528545610e3),
)  # fmt: skip
_NEAR = (
    (1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0, 3.64784832476320460504e0,
     1.27045825245236838258e0, 2.41780725177450611770e-1, 2.27238449892691845833e-2, 7.74545014278341407640e-4),
    (1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
     1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4, 1.05075007164441684324e-9),
)  # fmt: skip
_FAR = (
    (6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0, 2.96560571828504891230e-1,
     2.65321895265761230930e-2, 1.24266094738807843860e-3, 2.71155556874348757815e-5, 2.01033439929228813265e-7),
    (1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
     7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7, 2.04426310338993978564e-15),
)  # fmt: skip


class Deviation(NamedTuple):
    """One uncertain quantity: its source and, of a tank or weight, its line in the condition; which quantity, and the
    standard deviation: a part of the mass for `mass` and `quantity`, m for centres and soundings, else t/m3."""

    source: str
    line: int
    quantity: str
    deviation: float


class Figure(NamedTuple):
    """A figure of the condition and over the samples."""

    value: float | None
    mean: float | None
    deviation: float | None
    p05: float | None
    p50: float | None
    p95: float | None


class Chance(NamedTuple):
    """A criterion: how often it holds (None where too many samples were outside), the standard error of that, mean,
    standard deviation and fifth percentile of its margin, and the verdict of the condition itself."""

    id: str
    unit: str
    probability: float | None
    error: float | None
    margin: Figure
    verdict: str


class Contribution(NamedTuple):
    """Share of the variance of a figure that comes from one lightship, tank, weight or the water."""

    figure: str
    source: str
    line: int
    share: float


@dataclass(frozen=True)
class Uncertainty:
    """All samples of a condition; `outside` were left out because they are off her tables, in `clipped` a tank was held
    at its 100 % volume."""

    samples: int
    outside: int
    clipped: int
    figures: dict[str, Figure]
    chances: list[Chance]
    verdict_probability: float | None
    contributions: list[Contribution]

    @property
    def too_many_outside(self) -> bool:
        """Whether more than a hundredth of the samples is off her tables. Source: definition."""
        return self.outside > MOST_OUTSIDE * self.samples


def uniforms(seed: int, samples: int, sources: int, first: int = 0) -> Floats:
    """[samples, sources] numbers between 0 and 1, both excluded, from sample number `first` on.

    Source: O'Neill, PCG64 (HMC-CS-2014-0905); upper 53 bits of each word."""
    generator = np.random.PCG64(seed)
    generator.advance(first * sources)
    words = generator.random_raw(samples * sources)
    upper = (np.asarray(words, dtype=np.uint64) >> np.uint64(11)).astype(np.float64)
    return ((upper + 0.5) / 2.0**53).reshape(samples, sources)


def normal_quantile(u: Floats) -> Floats:
    """Quantiles of the standard normal distribution at u, 0 < u < 1.

    Source: Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988)."""
    q = u - 0.5
    inner = np.abs(q) <= 0.425
    r = 0.180625 - q * q
    centre = q * _ratio(_CENTRE, r)
    tail = np.sqrt(-np.log(np.minimum(u, 1.0 - u)))
    outer = np.where(tail <= 5.0, _ratio(_NEAR, tail - 1.6), _ratio(_FAR, tail - 5.0))
    found: Floats = np.where(inner, centre, np.copysign(outer, q))
    return found


def _ratio(coefficients: Sequence[Sequence[float]], r: Floats) -> Floats:
    above, below = (np.polynomial.polynomial.polyval(r, np.array(row)) for row in coefficients)
    ratio: Floats = above / below
    return ratio


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
    """`count` samples of a condition, assessed already, from number `first` on. Source: see the module."""
    normal = normal_quantile(uniforms(seed, count, len(deviations), first)).tolist()
    ids = _applicable(nominal)
    numbers, passes, clipped = list[int](), 0, 0
    rows: list[list[float]] = []
    margins: list[list[float]] = []
    holds: list[list[bool]] = []
    for n in range(count):
        ship, varied, held = _varied(vessel, nominal.condition, nominal, deviations, normal[n])
        try:
            found = assess(ship, varied, nominal.liquids)
        except CoreError:
            continue
        figures = _figures(found)
        if any(value is None for value in figures[:-1]):
            continue
        clipped += held
        numbers.append(first + n)
        rows.append([np.nan if value is None else value for value in figures])
        judged = [found.criteria[k][1] for k in ids]
        margins.append([np.nan if c.margin is None else c.margin for c in judged])
        holds.append([c.verdict == PASS for c in judged])
        passes += found.verdict == "pass"
    shape = (len(numbers), len(ids))
    return Samples(
        np.array(numbers, dtype=np.float64),
        np.array(rows, dtype=np.float64).reshape(len(numbers), len(FIGURES)),
        np.array(margins, dtype=np.float64).reshape(shape),
        np.array(holds, dtype=np.float64).reshape(shape),
        passes,
        clipped,
    )


def _applicable(nominal: Assessment) -> list[int]:
    """Places of the criteria that apply to the condition."""
    return [k for k, (_, c) in enumerate(nominal.criteria) if c.verdict != NOT_APPLICABLE]


def _varied(
    vessel: Vessel,
    condition: Condition,
    nominal: Assessment,
    deviations: Sequence[Deviation],
    normal: Sequence[float],
) -> tuple[Vessel, Condition, bool]:
    """One sample: the vessel, the condition, and whether a tank was held at its 100 % volume."""
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


def _figures(a: Assessment) -> list[float | None]:
    load, flotation = a.displacement, a.situation.flotation
    lengths = [None if flotation is None else getattr(flotation, name) for name in FIGURES[3:8]]
    return [
        a.situation.gm_corrected,
        load.mass,
        load.vcg_corrected,
        *lengths,
        a.situation.rest.list_angle,
    ]


def uncertainty(
    nominal: Assessment, deviations: Sequence[Deviation], samples: int, seed: int, found: Samples
) -> Uncertainty:
    """What all samples of a condition come to. Source: see the module."""
    kept, ids, values = len(found.numbers), _applicable(nominal), _figures(nominal)
    known = samples - kept <= MOST_OUTSIDE * samples and kept > 1
    chances = []
    for column, k in enumerate(ids):
        _, criterion = nominal.criteria[k]
        part = float(found.holds[:, column].mean()) if known else None
        error = None if part is None else float(np.sqrt(part * (1.0 - part) / kept))
        margin = _figure(criterion.margin, found.margins[:, column])
        chances.append(Chance(criterion.row.id, criterion.row.unit, part, error, margin, criterion.verdict))
    shares: list[Contribution] = []
    if deviations and kept > len(deviations) + 1:
        normal = normal_quantile(uniforms(seed, samples, len(deviations)))[found.numbers.astype(np.int64)]
        for place, name in enumerate(FIGURES):
            shares += _contributions(name, found.figures[:, place], normal, deviations)
        least = _least(nominal, ids)
        if least is not None:
            shares += _contributions(LEAST_MARGIN, found.margins[:, least], normal, deviations)
    return Uncertainty(
        samples=samples,
        outside=samples - kept,
        clipped=found.clipped,
        figures={
            name: _figure(value, found.figures[:, place])
            for place, (name, value) in enumerate(zip(FIGURES, values))
        },
        chances=chances,
        verdict_probability=found.passes / kept if known else None,
        contributions=shares,
    )


def _figure(value: float | None, samples: Floats) -> Figure:
    samples = samples[np.isfinite(samples)]
    value = value if value is not None and np.isfinite(value) else None
    if len(samples) < 2:
        return Figure(value, None, None, None, None, None)
    p05, p50, p95 = (float(p) for p in np.percentile(samples, (5.0, 50.0, 95.0)))
    return Figure(value, float(samples.mean()), float(samples.std(ddof=1)), p05, p50, p95)


def _least(nominal: Assessment, ids: Sequence[int]) -> int | None:
    """The column of the criterion with the least margin in metres of VCG, where that is a plain number."""
    found = [
        (criterion.margin / criterion.vcg_effect, column)
        for column, k in enumerate(ids)
        if (criterion := nominal.criteria[k][1]).margin is not None and criterion.vcg_effect
    ]
    return min(found)[1] if found else None


def _contributions(
    figure: str, values: Floats, normal: Floats, deviations: Sequence[Deviation]
) -> list[Contribution]:
    """Shares of the variance by least squares of a figure on the samples, the greatest first."""
    if not np.isfinite(values).all() or not values.std() > 1e-12 * max(1.0, float(np.abs(values).max())):
        return []
    centred, about = normal - normal.mean(axis=0), values - values.mean()
    slopes = np.linalg.lstsq(centred, about, rcond=None)[0]
    parts = slopes**2 * centred.var(axis=0) / about.var()
    shares: dict[tuple[str, int], float] = {}
    for (source, index, _, _), share in zip(deviations, parts.tolist()):
        shares[source, index] = shares.get((source, index), 0.0) + share
    greatest = sorted(shares.items(), key=lambda item: -item[1])[:MOST_CONTRIBUTIONS]
    return [Contribution(figure, source, index, share) for (source, index), share in greatest]
