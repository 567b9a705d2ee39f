"""Righting levers of every sample of a condition, to both sides: arrays [N] along the samples.

The formulas are those of `righting_lever.py` and `cross_curves.py`, where their sources are.
"""

import numpy as np

from ..conventions import Floats
from ..cross_curves import STEP, CrossCurves, KnCurve
from ..righting_lever import Greatest, RightingLever
from .heeled import Indices, roots, values


class Levers:
    """The curves of all samples, with their greatest levers."""

    def __init__(self, curves: CrossCurves, kn: Floats, km: Floats, vcg: Floats, arm: Floats) -> None:
        """KN [N, H], KM, fluid VCG and arm of her weight to the side she leans to, m."""
        self._curves, self._km, self._vcg, self._arm = curves, km.tolist(), vcg.tolist(), arm.tolist()
        data: Floats = curves.matrix @ np.column_stack((kn, km))[:, :, None]
        self._data = data[:, :, 0]
        self._leaning, self._other = (self._greatest(vcg, tcg) for tcg in (arm, -arm))

    def of(self, n: int) -> tuple[RightingLever, RightingLever]:
        """Sample `n` heeling to the side she leans to, and to the other. Source: see `righting_lever.py`."""
        kn, vcg, arm = KnCurve.of(self._curves, self._data[n], self._km[n]), self._vcg[n], self._arm[n]
        leaning = RightingLever(kn, vcg, arm, self._leaning[n])
        return leaning, RightingLever(kn, vcg, -arm, self._other[n], other_side=leaning)

    def _greatest(self, vcg: Floats, tcg: Floats) -> list[Greatest]:
        """The greatest lever to one side, as `RightingLever` finds it."""
        curves, every = self._curves, np.arange(len(vcg))
        knots, heels, points = np.array(curves.knots), np.array(curves.grid), len(curves.grid)
        pieces = self._data[:, 2 * points :].reshape(len(vcg), 3, -1, 5)
        levers = self._data[:, :points] - np.outer(vcg, curves.grid_sine) - np.outer(tcg, curves.grid_cosine)
        best = levers.argmax(axis=1)
        bracket = np.radians([heels[np.maximum(best - 1, 0)], heels[np.minimum(best + 1, points - 1)]])
        terms = np.stack((np.zeros_like(vcg), tcg, -vcg))
        start = np.radians(self._vertices(levers, best))
        angle = np.degrees(roots(pieces[:, 2], knots, terms, bracket, start))
        x = np.radians(angle)
        lever = values(pieces[:, 0], knots, x) - vcg * np.sin(x) - tcg * np.cos(x)
        printed = levers[every, best]
        inside = lever >= printed
        lever, angle = np.where(inside, lever, printed), np.where(inside, angle, heels[best])
        return list(map(Greatest, levers.tolist(), lever.tolist(), angle.tolist()))

    def _vertices(self, levers: Floats, best: Indices) -> Floats:
        """As `RightingLever._vertex`, degrees."""
        heels, every = np.array(self._curves.grid), np.arange(len(best))
        k = np.clip(best, 1, len(heels) - 2)
        before, at, after = levers[every, k - 1], levers[every, k], levers[every, k + 1]
        part = 0.5 * (before - after) / (before - 2.0 * at + after)
        usable = (k == best) & (heels[k + 1] - heels[k] == STEP) & (np.abs(part) < 1.0)
        return np.where(usable, heels[best] + part * STEP, heels[best])
