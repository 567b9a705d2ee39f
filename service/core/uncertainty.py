"""How sure the figures of a condition are: what its samples (`sampling.py`) come to.

Deviations are normal and independent. Source: definition (mean, standard deviation, quantiles); least squares for the
shares of the variance.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from .assessment import Assessment
from .conventions import Floats
from .normal_numbers import normal_quantile, uniforms
from .samples.aboard import Deviation
from .sampling import FIGURES, Samples, applicable, figures_of

MOST_OUTSIDE = 0.01
"""Part of the samples off her tables beyond which no probability is given."""
MOST_CONTRIBUTIONS = 5
LEAST_MARGIN = "least_margin"


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


def uncertainty(
    nominal: Assessment, deviations: Sequence[Deviation], samples: int, seed: int, found: Samples
) -> Uncertainty:
    """What all samples of a condition come to. Source: see the module."""
    kept, ids, values = len(found.numbers), applicable(nominal), figures_of(nominal.situation)
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
        named = dict(zip(FIGURES, found.figures.T))
        least = _least(nominal, ids)
        if least is not None:
            named[LEAST_MARGIN] = found.margins[:, least]
        shares = _contributions(named, normal, deviations)
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
    figures: Mapping[str, Floats], normal: Floats, deviations: Sequence[Deviation]
) -> list[Contribution]:
    """Shares of the variance of each figure [K] that varies, by least squares on the normal numbers [K, D] of the
    samples, the greatest first."""
    varying = {name: values for name, values in figures.items() if _varies(values)}
    if not varying:
        return []
    centred, about = normal - normal.mean(axis=0), np.column_stack(list(varying.values()))
    about = about - about.mean(axis=0)
    slopes = np.linalg.lstsq(centred, about, rcond=None)[0]
    parts = slopes**2 * centred.var(axis=0)[:, None] / about.var(axis=0)
    return [
        Contribution(name, source, line, share)
        for name, column in zip(varying, parts.T.tolist())
        for (source, line), share in _greatest(column, deviations)
    ]


def _varies(values: Floats) -> bool:
    """Whether a figure is known in every sample, and not the same in all but for rounding."""
    if not np.isfinite(values).all():
        return False
    return bool(values.std() > 1e-12 * max(1.0, float(np.abs(values).max())))


def _greatest(parts: Sequence[float], deviations: Sequence[Deviation]) -> list[tuple[tuple[str, int], float]]:
    """Shares of lightship, tanks, weights and water, by source and line, the greatest first."""
    shares: dict[tuple[str, int], float] = {}
    for (source, line, _, _), share in zip(deviations, parts):
        shares[source, line] = shares.get((source, line), 0.0) + share
    return sorted(shares.items(), key=lambda item: -item[1])[:MOST_CONTRIBUTIONS]
