"""What is judged of her shear forces and bending moments in every sample of a condition: arrays [N] along the samples.

The formulas are those of `still_water.py` and `limits.py`, where their sources are. A sample in which one of her
tables does not allow them, or in which it hangs on the last digit what is judged, is not `clear` and is left to
`still_water`.
"""

from typing import NamedTuple

import numpy as np

from ..conventions import Floats
from ..interpolation import ROOM_AT_THE_ENDS, intervals
from .booklet import StrengthBooklet
from .limits import BENDING, SHEAR, LimitLine, Station, used
from .load_curve import Cut
from .samples_curve import Cuts, Indices, LoadCurves, Values
from .samples_loads import Flags, Loads, lightships
from .samples_waterline import areas, displacements, waterlines
from .sections import Sections
from .still_water import (
    LIGHTSHIP_TOLERANCE,
    WATERLINE_TOLERANCE,
    Extreme,
    Forces,
    StationForces,
    station_forces,
)

SAME = 1e-9
"""Relative difference of two values within which it is left to `still_water` which is the greater."""
STEEPEST = 1e4
"""Slope of a load (t/m2), in parts of her mean mass a metre over her length, beyond which a sum loses digits."""


class Ship(NamedTuple):
    """How she floats by her hydrostatic table [N]: drafts at the perpendiculars (m), displacement (t), and the density
    of the water (t/m3); mass (t) and LCG (m) of her lightship, and as the booklet gives them."""

    draft_aft: Floats
    draft_forward: Floats
    mass: Floats
    water_density: Floats
    lightship: Floats
    lightship_lcg: Floats
    lightship_given: tuple[float, float]
    length_bp: float


class ForcesOfSamples:
    """Her forces in every sample."""

    def __init__(self, booklet: StrengthBooklet, which: str, ship: Ship, others: Loads, fits: Flags) -> None:
        """All loads but her lightship, which fit in the samples `fits`. Raises ValueError for a booklet that is not
        complete.

        Source: see the module."""
        sections = booklet.sections
        if sections is None:
            raise ValueError("forces need sections")
        self.booklet, self.which = booklet, which
        with np.errstate(all="ignore"):
            given, centre = ship.lightship_given
            light = lightships(booklet.segments, ship.lightship / given, ship.lightship_lcg - centre)
            loads = Loads.joined(light, others)
            mass, moment = loads.totals()
            start = (ship.draft_aft, ship.draft_forward)
            afloat = waterlines(sections, mass, moment, ship.length_bp, ship.water_density, start)
            steep = np.abs(loads.slope).max(axis=1) * ship.length_bp**2
            self.clear = fits & afloat.found & _agrees(light, ship, sections)
            self.clear &= (mass > 0.0) & (steep <= STEEPEST * mass)
            area, _ = areas(sections, afloat.aft, afloat.fore, ship.length_bp)
        # what is not clear is not read: nothing aboard keeps its arithmetic harmless
        loads = Loads(*(np.where(self.clear[:, None], each, 0.0) for each in loads))
        area = np.where(self.clear[:, None], area, 0.0)
        curves = LoadCurves(loads, sections.place, ship.water_density[:, None] * area)
        self._stations(curves)
        self._found = {
            SHEAR: self._extremes(SHEAR, curves.shear_extremes()),
            BENDING: self._extremes(BENDING, curves.bending_extremes()),
        }

    def _stations(self, curves: LoadCurves) -> None:
        """Cuts at the read-out points, and for either quantity which of them uses most of its limit (-1: none)."""
        stations = self.booklet.stations
        cuts = [curves.at(station.x) for station in stations]
        rows, every = np.array(cuts), np.arange(len(self.clear))
        self._worst = []
        for quantity in (SHEAR, BENDING):
            percents = [_percent(s, self.which, quantity, cut) for s, cut in zip(stations, cuts)]
            worst = _greatest(np.stack(percents))
            self._worst.append((worst.tolist(), rows[worst, :, every].tolist()))

    def _extremes(self, quantity: str, values: Values) -> list[list[Extreme | None]]:
        """The greatest, the least and the one between stations that uses most of its limit, of every sample. A sample
        in which the limit hangs on which of two equal ones is taken is not clear any more."""
        sample, x, value = values
        limit = self._limits(quantity, values)
        starts = np.searchsorted(sample, np.arange(len(self.clear)))
        limited, percent = ~np.isnan(limit), _percents(limit, value)
        found = []
        for sign in (1.0, -1.0):
            top = np.maximum.reduceat(sign * value, starts)
            near = sign * value >= (top - SAME * np.abs(top))[sample]
            self.clear &= ~(
                np.logical_or.reduceat(near & limited, starts)
                & np.logical_or.reduceat(near & ~limited, starts)
            )
            found.append(_first(sign * value == top[sample], starts))
        percent = np.where(limited, percent, -1.0)
        top = np.maximum.reduceat(percent, starts)
        found.append(np.where(top < 0.0, -1, _first(percent == top[sample], starts)))
        rows = np.column_stack((x, value, limit))
        return [_extremes(rows, each) for each in found]

    def _limits(self, quantity: str, values: Values) -> Floats:
        """As `StrengthBooklet.limit_between`, nan where there is none."""
        lines = self.booklet.lines
        positive, negative = (
            _along(lines[self.which, quantity, is_negative], values.x) for is_negative in (False, True)
        )
        return np.where(values.value < 0.0, negative, positive)

    def at(self, n: int) -> Forces:
        """Those of a sample that is clear. Source: see `still_water`."""
        most, least, between = zip(*((each[n] for each in self._found[q]) for q in (SHEAR, BENDING)))
        return Forces(
            which=self.which,
            stations=self._stations_of(n),
            shear_greatest=most[0],
            shear_least=least[0],
            bending_greatest=most[1],
            bending_least=least[1],
            between={q: each for q, each in zip((SHEAR, BENDING), between) if each is not None},
        )

    def _stations_of(self, n: int) -> tuple[StationForces, ...]:
        worst = {places[n]: cuts[n] for places, cuts in self._worst if places[n] >= 0}
        return tuple(station_forces(self.booklet.stations[k], Cut(*cut)) for k, cut in sorted(worst.items()))


def _agrees(light: Loads, ship: Ship, sections: Sections) -> Flags:
    """Where `still_water` finds segments and lightship, and sections and hydrostatic table, to be those of one ship."""
    mass, moment = light.totals()
    centre = np.where(mass != 0.0, moment / mass, 0.0)
    same = np.abs(mass - ship.lightship) <= LIGHTSHIP_TOLERANCE * ship.lightship
    same &= np.abs(centre - ship.lightship_lcg) <= LIGHTSHIP_TOLERANCE * ship.length_bp
    displaced = displacements(
        sections, ship.draft_aft, ship.draft_forward, ship.length_bp, ship.water_density
    )
    most = WATERLINE_TOLERANCE * (1.0 - SAME)
    agrees: Flags = same & (np.abs(displaced - ship.mass) <= most * ship.mass)
    return agrees


def _percents(limit: Floats, value: Floats) -> Floats:
    """As `used`, nan without a limit."""
    with np.errstate(all="ignore"):
        plain = 100.0 * np.abs(value) / limit
    return np.where(limit == 0.0, np.where(value == 0.0, 0.0, np.inf), plain)


def _percent(station: Station, which: str, quantity: str, cut: Cuts) -> Floats:
    """As `used_by`, nan where there is none."""
    limits = station.limits(which)
    positive, negative = (limits.of_sign(quantity, sign) for sign in (1.0, -1.0))
    values = (cut.shear_aft, cut.shear_forward) if quantity == SHEAR else (cut.bending,)
    ends = (np.nan if positive is None else positive, np.nan if negative is None else negative)
    each = [_percents(np.where(value >= 0.0, *ends), value) for value in values]
    percent: Floats = np.maximum(each[0], each[-1])
    return percent


def _greatest(percents: Floats) -> Indices:
    """Which of [T, N] is the greatest in every sample, -1 where none is known."""
    known = np.where(np.isnan(percents), -1.0, percents)
    found: Indices = np.where(known.max(axis=0) < 0.0, -1, known.argmax(axis=0))
    return found


def _along(line: LimitLine, x: Floats) -> Floats:
    """As `LimitLine.at`, nan where there is none."""
    if not line.places:
        return np.full_like(x, np.nan)
    places, limits = np.array(line.places, dtype=float), np.array(line.limits, dtype=float)
    room = ROOM_AT_THE_ENDS * max(abs(places[0]), abs(places[-1]))
    inside = (places[0] - room <= x) & (x <= places[-1] + room)
    if len(places) == 1:
        return np.where(inside, limits[0], np.nan)
    i, part = intervals(places, x)
    return np.where(inside, limits[i] + part * (limits[i + 1] - limits[i]), np.nan)


def _first(hits: Flags, starts: Indices) -> Indices:
    """The first place in every sample where something holds."""
    first: Indices = np.minimum.reduceat(np.where(hits, np.arange(len(hits)), len(hits) - 1), starts)
    return first


def _extremes(rows: Floats, places: Indices) -> list[Extreme | None]:
    """Extremes at places of the rows [M, 3] of x, value and limit; None at -1."""
    found = zip(places.tolist(), rows[places].tolist())
    return [
        None if k < 0 else Extreme(x, value, used(None if limit != limit else limit, value))
        for k, (x, value, limit) in found
    ]
