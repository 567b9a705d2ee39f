"""Greatest VCG, and so least GM, at which each criterion holds at a draft and trim: the curves of a booklet.

VCG is that of the fluid, with the correction for free surface. She is upright, and the worse side counts. Each
criterion is judged by its own document at a scan of VCGs going up; its greatest VCG is where it first ceases to hold,
so that one which holds in two separate ranges never gives the upper one.
Source: SOLAS II-1/5-1 (curves of minimum GM or maximum VCG over drafts and trims).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import NamedTuple

from .assessment import judged, waterline
from .condition import Condition
from .cross_curves import KnCurve
from .displacement import Displacement
from .errors import CoreError, OutsideTable
from .flotation import Flotation, floating
from .hydrostatics import Hydrostatics
from .interpolation import interval, is_outside
from .righting_lever import RightingLever
from .rules.limit import NOT_APPLICABLE, NOT_COMPUTABLE, PASS, SHIP, Criterion, RuleSet
from .situation import Situation
from .stability import Rest
from .vessel import Vessel

STATUSES = ("found", "holds_throughout", "fails_throughout", "not_computable")
FOUND, HOLDS, FAILS, UNKNOWN = STATUSES
SCAN = 33
"""VCGs of the scan, from 0 to KM + 1 m."""
ABOVE_KM = 1.0
NEAR = 1e-9
"""m of VCG to which a limit is found."""
ROOT = 1e-12
"""A margin as small as this is none, in the unit of the criterion."""
GIVEN = "at the draft and trim asked for"


class CriterionLimit(NamedTuple):
    """One criterion: the VCGs (m) between which it holds, `highest` None unless found; `lowest` is 0 unless it fails at
    a small VCG. `reason` says why nothing was found."""

    rule_set: RuleSet
    criterion: Criterion
    status: str
    lowest: float
    highest: float | None
    reason: str | None


@dataclass(frozen=True)
class VcgLimit:
    """One draft (m, moulded, amidships) and trim (m by the stern): displacement t, KM m, and every criterion."""

    draft: float
    trim: float
    displacement: float
    km: float
    criteria: list[CriterionLimit]

    @property
    def governing(self) -> CriterionLimit | None:
        """The criterion that is first to cease to hold, one that never holds before all; None where none limits her or
        one cannot be judged. Source: definition."""
        if any(limit.status == UNKNOWN for limit in self.criteria):
            return None
        never = next((limit for limit in self.criteria if limit.status == FAILS), None)
        if never is not None:
            return never
        found = [limit for limit in self.criteria if limit.highest is not None]
        return min(found, key=lambda limit: limit.highest or 0.0, default=None)

    @property
    def highest(self) -> float | None:
        """Greatest VCG (m) at which every criterion holds; None where there is none, or where one cannot be judged.

        Source: definition."""
        governing = self.governing
        if governing is None or governing.highest is None:
            return None
        lowest = max(limit.lowest for limit in self.criteria)
        return governing.highest if governing.highest >= lowest else None


def vcg_limit(
    vessel: Vessel, condition: Condition, sets: Sequence[RuleSet], draft: float, trim: float
) -> VcgLimit:
    """Limits of VCG at a draft and a trim in the water and wind of a condition, whose masses are not read.

    Raises OutsideTable for a draft or a trim off her tables. Source: see the module."""
    mass, flotation = at_draft(
        vessel.hydrostatics, vessel.particulars.length_bp, draft, trim, condition.water_density
    )
    search = _Search(vessel, condition, sets, mass, flotation)
    return VcgLimit(draft, trim, mass, flotation.km, search.limits())


def at_draft(
    hydrostatics: Hydrostatics, length_bp: float, draft: float, trim: float, water_density: float
) -> tuple[float, Flotation]:
    """Displacement (t) and flotation at a draft amidships and a trim (m), in water of a density (t/m3).

    Raises OutsideTable. Source: hydrostatic tables; definition of trim."""
    if len(hydrostatics.tables) > 1:
        low, high = hydrostatics.trims[0], hydrostatics.trims[-1]
        if is_outside(trim, low, high):
            raise OutsideTable("trim", trim, low, high, "length")
    tables = hydrostatics.tables
    if len(tables) > 1:
        i, part = interval(hydrostatics.trims, trim)
        tables = tables[i : i + 2] if part > 0.0 else tables[i : i + 1]
    least = max(table.displacement[0] for table in tables)
    most = min(table.displacement[-1] for table in tables)

    def afloat(displacement: float) -> Flotation:
        row = hydrostatics.at(displacement, trim)
        return floating(hydrostatics, length_bp, row, trim, water_density, None, GIVEN)

    ends = afloat(least).draft_midship, afloat(most).draft_midship
    if is_outside(draft, *ends):
        raise OutsideTable("draft amidships", draft, ends[0], ends[1], "length")
    found = _root(lambda displacement: afloat(displacement).draft_midship - draft, least, most)
    return found * (water_density / hydrostatics.density), afloat(found)


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """Root of a rising function by the Illinois method, to rounding; an end where the root lies there."""
    below, above = function(low), function(high)
    if below >= 0.0:
        return low
    if above <= 0.0:
        return high
    side = 0
    for _ in range(100):
        middle = (low * above - high * below) / (above - below)
        value = function(middle)
        if abs(value) < 1e-13 or high - low < 1e-12 * abs(high):
            return middle
        if value > 0.0:
            high, above = middle, value
            below *= 0.5 if side > 0 else 1.0
            side = 1
        else:
            low, below = middle, value
            above *= 0.5 if side < 0 else 1.0
            side = -1
    return 0.5 * (low + high)


class _Search:
    """One draft and trim, to be judged at any VCG."""

    def __init__(
        self,
        vessel: Vessel,
        condition: Condition,
        sets: Sequence[RuleSet],
        mass: float,
        flotation: Flotation,
    ) -> None:
        self.sets, self.mass = sets, mass
        curves, gaps = vessel.cross_curves, dict[str, CoreError]()
        self.kn: KnCurve | None = None
        if curves is not None:
            try:
                kn = curves.kn(mass * (curves.density / condition.water_density), flotation.trim)
                self.kn = KnCurve(curves, kn, flotation.km)
            except OutsideTable as off:
                gaps["righting_lever"] = off
        at = waterline(vessel, condition, mass, flotation)
        self.ship = Situation(
            vessel=vessel,
            condition=condition,
            displacement=Displacement(mass, flotation.lcb, 0.0, 0.0, 0.0, 0.0, 0.0),
            flotation=flotation,
            km=flotation.km,
            gm_solid=None,
            gm_corrected=None,
            waterplane=at.waterplane,
            wind=at.wind,
            deck_edge=at.deck_edge,
            rest=Rest(None, None),
            gaps=gaps,
        )

    def at(self, vcg: float, sets: Sequence[RuleSet]) -> list[tuple[RuleSet, Criterion]]:
        """Every criterion of some sets at a VCG (m)."""
        ship = self.ship
        gm = (ship.km or 0.0) - vcg
        load = ship.displacement._replace(vcg_solid=vcg, vcg_corrected=vcg)
        ship = replace(ship, displacement=load, gm_solid=gm, gm_corrected=gm, gaps=dict(ship.gaps))
        arm = ship.heeling_arm
        curve = None if self.kn is None else RightingLever(self.kn, vcg, abs(arm))
        return judged(ship, sets, curve)[1]

    def limits(self) -> list[CriterionLimit]:
        """Each criterion, from one scan of all."""
        top = (self.ship.km or 0.0) + ABOVE_KM
        levels = [top * k / (SCAN - 1) for k in range(SCAN)]
        scan = [self.at(vcg, self.sets) for vcg in levels]
        return [self._limit(levels, [row[k] for row in scan], k) for k in range(len(scan[0]))]

    def _limit(
        self, levels: Sequence[float], scan: Sequence[tuple[RuleSet, Criterion]], k: int
    ) -> CriterionLimit:
        rule_set, criteria = scan[0][0], [criterion for _, criterion in scan]
        shown = criteria[0]
        holding = [_holds(criterion) for criterion in criteria]
        unknown = next((c for c in criteria if c.verdict == NOT_COMPUTABLE and not any(holding)), None)
        ship = next((c for c in criteria if c.verdict == NOT_APPLICABLE and c.because == SHIP), None)
        if unknown is not None or ship is not None:
            reason = (unknown or ship or shown).reason
            return CriterionLimit(rule_set, shown, UNKNOWN, 0.0, None, reason)
        if not any(holding):
            return CriterionLimit(rule_set, shown, FAILS, 0.0, None, criteria[0].reason)
        # the criterion by its place in its own set, so that only that set is judged while its limit is sought
        first = sum(row[0] is not rule_set for row in self.at(levels[0], self.sets)[:k])
        judge = self._one(rule_set, k - first)
        i = holding.index(True)
        lowest = 0.0 if i == 0 else _between(judge, levels[i], levels[i - 1], criteria[i], criteria[i - 1])
        for j in range(i + 1, len(levels)):
            if holding[j] and criteria[j].verdict == criteria[j - 1].verdict:
                continue
            if holding[j]:
                highest = _hidden(judge, levels[j - 1], levels[j], criteria[j - 1].verdict)
            else:
                highest = _between(judge, levels[j - 1], levels[j], criteria[j - 1], criteria[j])
            if highest is not None:
                return CriterionLimit(rule_set, shown, FOUND, lowest, highest, None)
        return CriterionLimit(rule_set, shown, HOLDS, lowest, None, None)

    def _one(self, rule_set: RuleSet, k: int) -> Callable[[float], Criterion]:
        return lambda vcg: self.at(vcg, (rule_set,))[k][1]


def _holds(criterion: Criterion) -> bool:
    """Whether a criterion stands in the way of nothing: outside its validity, or not computable, it does not hold."""
    return criterion.verdict in (PASS, NOT_APPLICABLE)


def _hidden(judge: Callable[[float], Criterion], low: float, high: float, verdict: str) -> float | None:
    """Where a criterion ceases to hold between two VCGs at which it holds with different verdicts, because another
    paragraph is chosen in between: the last VCG of the first verdict, if it does not hold right above it."""
    while high - low > NEAR:
        middle = 0.5 * (low + high)
        if judge(middle).verdict == verdict:
            low = middle
        else:
            high = middle
    return None if _holds(judge(high)) else low


def _margin(criterion: Criterion) -> float | None:
    """The margin where it decides."""
    return criterion.margin if criterion.is_judged else None


def _between(
    judge: Callable[[float], Criterion], holds: float, fails: float, held: Criterion, failed: Criterion
) -> float:
    """The last VCG at which a criterion holds, between one where it does and one where it does not: the root of its
    margin by the Illinois method where that is what decides, else by halves."""
    good, bad, side = _margin(held), _margin(failed), 0
    for _ in range(200):
        if abs(fails - holds) <= NEAR:
            break
        middle = 0.5 * (holds + fails)
        by_margin = good is not None and bad is not None and inf > good > 0.0 > bad > -inf
        if by_margin and good is not None and bad is not None:
            middle = holds + (fails - holds) * good / (good - bad)
        found = judge(middle)
        margin = _margin(found)
        if by_margin and margin is not None and abs(margin) < ROOT:
            return middle
        if _holds(found) and not (by_margin and margin is not None and margin < 0.0):
            holds, good = middle, margin
            bad = bad if bad is None or side <= 0 else 0.5 * bad
            side = 1
        else:
            fails, bad = middle, margin
            good = good if good is None or side >= 0 else 0.5 * good
            side = -1
    return holds
