"""Form of an invented ship: parallel middle body, entrance and run, sheer and erections, as a hull by formulas.

Axes as in `service.core.hull.hull`. All forms are our own invention.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from service.core.hull.hull import Hull
from service.core.hull.sections import Array


@dataclass(frozen=True)
class ShipForm:
    """A ship's form: parallel middle body, entrance and run that change with height, sheer, erections.

    Half-breadth = midship half-breadth at that height * (1 - u**p), where u runs from 0 at the end of the
    parallel body to 1 at the stem (or at the virtual end of the run, which may lie abaft the transom).
    Values given as pairs hold at the baseline and at the summer draft; they vary smoothly between and
    beyond.  Lengths in the ship's unit.
    """

    length: float
    breadth: float
    depth: float
    draft: float
    bilge_radius: float
    rise_of_floor: float
    transom: float
    entrance_start: tuple[float, float]
    entrance_power: tuple[float, float]
    forefoot: float
    stem_rake: float
    run_start: tuple[float, float]
    run_power: tuple[float, float]
    run_end: tuple[float, float]
    counter: tuple[float, float]
    sheer_forward: tuple[float, float]
    sheer_aft: tuple[float, float]
    poop: tuple[float, float]
    forecastle: tuple[float, float]

    def half_breadth(self, x: Array, z: Array) -> Array:
        """Moulded half-breadth at (x, z), broadcast; 0 outside the hull."""
        ratio = z / self.draft
        start = _between(self.entrance_start, ratio)
        forward = np.clip((x - start) / (self.stem(z) - start), 0.0, 1.0)
        after_start = _between(self.run_start, ratio)
        end = self.end_of_run(z)
        aft = np.clip((after_start - x) / (after_start - end), 0.0, 1.0)
        fullness = (1.0 - forward ** _between(self.entrance_power, ratio)) * (
            1.0 - aft ** _between(self.run_power, ratio)
        )
        return np.asarray(self.midship(z) * fullness)

    def midship(self, z: Array) -> Array:
        """Half-breadth of the midship section: rise of floor, bilge arc, vertical side."""
        below = np.clip(self.bilge_radius + self.rise_of_floor - z, 0.0, self.bilge_radius)
        arc = self.bilge_radius - np.sqrt(self.bilge_radius**2 - below**2)
        flat = self.breadth / 2.0 - arc
        if self.rise_of_floor == 0.0:
            return np.asarray(flat)
        floor = (self.breadth / 2.0 - self.bilge_radius) * z / self.rise_of_floor
        return np.asarray(np.minimum(flat, floor))

    def stem(self, z: Array) -> Array:
        """Position of the stem at height z: cut-up forefoot below the summer draft, raked above it."""
        below = np.clip(1.0 - z / self.draft, 0.0, 1.0)
        above = np.maximum(z - self.draft, 0.0)
        return self.length - self.forefoot * below**2 + self.stem_rake * above

    def end_of_run(self, z: Array) -> Array:
        """Position at height z where the waterlines would close aft, were there no transom."""
        low, high = self.counter
        return _between(self.run_end, _smooth((z - low) / (high - low)))

    def stern(self, z: Array) -> Array:
        """Position of the stern profile at height z: stern post, counter and transom."""
        return np.maximum(self.end_of_run(z), self.transom)

    def deck(self, x: Array) -> Array:
        """Height of the uppermost continuous deck at side, with sheer, at x."""
        forward, rise_forward = self.sheer_forward
        aft, rise_aft = self.sheer_aft
        ahead = np.maximum(x - forward, 0.0) / (self.length - forward)
        astern = np.maximum(aft - x, 0.0) / aft
        return self.depth + rise_forward * ahead**2 + rise_aft * astern**2

    def top(self, x: Array) -> Array:
        """Height of the uppermost watertight deck at x: poop and forecastle count, being enclosed."""
        after_end, poop_height = self.poop
        forward_end, forecastle_height = self.forecastle
        poop = np.where(x < after_end, poop_height, 0.0)
        forecastle = np.where(x > forward_end, forecastle_height, 0.0)
        return np.asarray(self.deck(x) + poop + forecastle)

    def foremost(self) -> float:
        """Position of the stem at the top of the forecastle."""
        x = np.array([self.length])
        for _ in range(50):
            x = self.stem(self.top(x))
        return float(x[0])

    def hull(self, panel: float, levels: Array) -> Hull:
        """The hull for calculation, with panels along x of about the given length."""
        knuckles = {
            self.transom,
            self.poop[0],
            self.forecastle[0],
            self.foremost(),
            self.sheer_aft[0],
            self.sheer_forward[0],
        }
        ordered = sorted(x for x in knuckles if self.transom <= x <= self.foremost())
        breaks: list[float] = [ordered[0]]
        for start, end in pairwise(ordered):
            count = max(1, round((end - start) / panel))
            breaks += [start + (end - start) * k / count for k in range(1, count + 1)]
        return Hull(self.length, self.half_breadth, self.top, tuple(breaks), levels)


def levels(ends: tuple[float, ...], counts: tuple[int, ...]) -> Array:
    """Heights in steps, increasing: counts[k] equal steps from ends[k] to ends[k + 1]."""
    parts = [np.linspace(a, b, n + 1)[1:] for (a, b), n in zip(pairwise(ends), counts, strict=True)]
    return np.concatenate(([ends[0]], *parts))


def _between(pair: tuple[float, float], share: Array) -> Array:
    """From the first value at share 0 to the second at 1; slowly levelling off beyond 1."""
    first, second = pair
    eased = np.where(share <= 1.0, share, 1.0 + (1.0 - np.exp(-2.0 * np.maximum(share - 1.0, 0.0))) / 2.0)
    return first + (second - first) * eased


def _smooth(share: Array) -> Array:
    """Cubic step: 0 below 0, 1 above 1, without a knuckle between."""
    clipped = np.clip(share, 0.0, 1.0)
    return clipped**2 * (3.0 - 2.0 * clipped)
