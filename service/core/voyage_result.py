"""A plan assessed: every point, the least favourable of each criterion, the load line over the whole, what is used.

Source: 2008 IS Code Part A 2.1.5 (margins at all stages); International Convention on Load Lines, 1966, article 12.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from .assessment import Assessment, assess
from .consumption import TankUse, WeightUse, stock
from .errors import CoreError, OutsideTable
from .finding_kinds import Finding, finding
from .load_line_figures import mass_to_line
from .rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY, Criterion, RuleSet
from .vessel import Vessel
from .voyage import ARRIVAL, IN_PORT, AtStage, Itinerary, Plan, Point, itinerary_of

INCOMPLETE = "incomplete"
STOCK_GONE = "more is used than she carries: nothing is known from then on"


class AssessedPoint(NamedTuple):
    """A point with its assessment; None, with the reason, where it cannot be assessed."""

    point: Point
    assessment: Assessment | None
    reason: str | None


class Worst(NamedTuple):
    """The least favourable judgement of one criterion, and the number of its point."""

    number: int
    rule_set: RuleSet
    criterion: Criterion


class PointLine(NamedTuple):
    """The load line at one point: the draft permitted (m), what is left to it (m), and the mass to it (t; None off her
    tables)."""

    permitted: float
    margin: float
    mass: float | None


class PlanLine(NamedTuple):
    """The load line over the plan: the limiting point by number, with its figures; the days of the plan's own
    consumption after that point until she is at the line (None: she is not over, or never comes to it)."""

    number: int
    line: PointLine
    days_to_line: float | None


class Used(NamedTuple):
    """One consumption over the plan: t used (negative: made) and left at the end; days what is left lasts at the rate
    last in force, and the day of the plan on which nothing is left to draw, None where nothing is used up."""

    contents: str | None
    weight: str | None
    used: float
    left: float
    lasts_days: float | None
    empty_on_day: float | None


@dataclass(frozen=True)
class Voyage:
    """A plan with every point assessed, in order; findings about the plan itself; ids of her tanks by index."""

    plan: Plan
    itinerary: Itinerary
    points: list[AssessedPoint]
    used: list[Used]
    findings: list[Finding]
    tank_ids: list[str]

    @property
    def verdict(self) -> str:
        """fail, else incomplete, else pass, over all points. Source: definition."""
        verdicts = {INCOMPLETE if a is None else a.verdict for _, a, _ in self.points}
        return next((word for word in (FAIL, INCOMPLETE) if word in verdicts), "pass")


def assess_plan(vessel: Vessel, plan: Plan, start: Assessment) -> Voyage:
    """Assess every point of a plan whose first condition is assessed already. Raises AtStage and PlanTooLong.

    Source: the documents named in the docstring of this module."""
    itinerary = itinerary_of(vessel.tanks, plan)
    points = [AssessedPoint(itinerary.points[0], start, None)]
    points += [_assessed(vessel, point) for point in itinerary.points[1:]]
    findings = [*_stock(plan, itinerary), *_contents(plan, vessel), *_stages(plan, itinerary)]
    return Voyage(
        plan, itinerary, points, list(_used(vessel, plan, itinerary)), findings, [t.id for t in vessel.tanks]
    )


def _assessed(vessel: Vessel, point: Point) -> AssessedPoint:
    if point.condition is None:
        return AssessedPoint(point, None, STOCK_GONE)
    try:
        return AssessedPoint(point, assess(vessel, point.condition), None)
    except CoreError as problem:
        if isinstance(problem, OutsideTable) and problem.tank is not None:
            tank = vessel.tanks[problem.tank].id
            return AssessedPoint(point, None, f"tank {tank}: {problem.cause}")
        raise AtStage(max(point.stage, 1), problem) from None


def worst_of(points: Sequence[AssessedPoint]) -> list[Worst]:
    """One a criterion that counts and is judged or open anywhere, in the order of the documents: failures first, then
    what is not known, then the least margin. Source: definition."""
    found: dict[str, Worst] = {}
    for index, (_, assessment, _) in enumerate(points):
        for rule_set, criterion in assessment.criteria if assessment is not None else ():
            if assessment is None or not assessment.counts(rule_set, criterion):
                continue
            before = found.get(criterion.row.id)
            if before is None or _order(criterion) < _order(before.criterion):
                found[criterion.row.id] = Worst(index, rule_set, criterion)
    return [worst for worst in found.values() if worst.criterion.verdict != NOT_APPLICABLE]


def _order(criterion: Criterion) -> tuple[int, bool, float]:
    ranks = {FAIL: 0, NOT_COMPUTABLE: 1, OUTSIDE_VALIDITY: 2, NOT_APPLICABLE: 4}
    margin = criterion.margin
    # a failure without a margin is the worst of all, a pass without one the best
    failed = criterion.verdict == FAIL
    return ranks.get(criterion.verdict, 3), (margin is None) != failed, margin or 0.0


def line_at(assessment: Assessment | None) -> PointLine | None:
    """The load line at a point, the lower side counting; None where no mark binds or none was judged.

    Source: International Convention on Load Lines 1966, article 12."""
    rows = [
        criterion
        for rule_set, criterion in (assessment.criteria if assessment is not None else ())
        if rule_set.name == "load-lines" and criterion.is_judged and criterion.margin is not None
    ]
    if assessment is None or not rows or rows[0].required is None:
        return None
    permitted = rows[0].required
    return PointLine(
        permitted, min(row.margin or 0.0 for row in rows), mass_to_line(assessment.situation, permitted)
    )


def plan_line(points: Sequence[AssessedPoint]) -> PlanLine | None:
    """The point at which least may still be loaded; None where no mark binds at any.

    Source: International Convention on Load Lines 1966, article 12; what is used on the way may be carried beyond
    (common practice, no source)."""
    lines = [(index, line) for index, point in enumerate(points) if (line := line_at(point.assessment))]
    known = [(index, line) for index, line in lines if line.mass is not None]
    if not known:
        return None
    index, line = min(known, key=lambda pair: pair[1].mass or 0.0)
    return PlanLine(index, line, _days_to_line(points, index, line.mass or 0.0))


def _days_to_line(points: Sequence[AssessedPoint], index: int, mass: float) -> float | None:
    if mass >= 0.0:
        return None
    first, wanted = points[index].point, points[index].point.used - mass
    before = first
    for each in points[index + 1 :]:
        after = each.point
        if after.used >= wanted > before.used:
            part = (wanted - before.used) / (after.used - before.used)
            return before.day + part * (after.day - before.day) - first.day
        before = after
    return None


def _used(vessel: Vessel, plan: Plan, itinerary: Itinerary) -> Iterator[Used]:
    """Each consumption, those of the same liquid from the same tanks together."""
    end = itinerary.points[-1].day
    known = end if itinerary.known_until is None else itinerary.known_until
    tanks: dict[tuple[str, tuple[tuple[int, ...], ...]], list[tuple[TankUse, float, float | None]]] = {}
    weights: dict[int, list[tuple[WeightUse, float, float, float]]] = {}
    for leg in itinerary.legs:
        days = min(plan.stages[leg.stage - 1].days, known - leg.start)
        for each in leg.tanks:
            empty = leg.start + each.ends if each.ends is not None else None
            entry = (each.use, each.used(days), empty)
            tanks.setdefault((each.use.contents, each.use.order), []).append(entry)
        for fall, mass in leg.weights:
            weights.setdefault(fall.weight, []).append((fall, mass, leg.start, days))
    for (contents, _), entries in tanks.items():
        use, _, empty = entries[-1]
        mass, free = stock(use, vessel.tanks, itinerary.tanks)
        lasts = free / use.rate if use.rate > 0.0 else None
        if use.rate > 0.0 and empty is None and lasts is not None:
            empty = end + lasts
        total = sum(used for _, used, _ in entries)
        yield Used(contents, None, total, mass, lasts, empty if use.rate > 0.0 else None)
    for falls in weights.values():
        yield _weight_used(itinerary, falls)


def _weight_used(itinerary: Itinerary, falls: Sequence[tuple[WeightUse, float, float, float]]) -> Used:
    """By its falls: use, mass and day at the start of the leg, days known of it."""
    use, end = falls[-1][0], itinerary.points[-1].day
    used = sum(min(mass, fall.rate * days) for fall, mass, _, days in falls)
    gone = (start + mass / fall.rate for fall, mass, start, days in falls if mass <= fall.rate * days)
    left = itinerary.weights[use.weight].mass if use.weight in itinerary.weights else 0.0
    return Used(None, use.name, used, left, left / use.rate, next(gone, end + left / use.rate))


def _stock(plan: Plan, itinerary: Itinerary) -> Iterator[Finding]:
    """What runs out, and what is made without room for it."""
    for leg in itinerary.legs:
        for each in leg.tanks:
            if each.ends is None:
                continue
            what, day = each.use.contents.replace("_", " "), leg.start + each.ends
            if each.use.rate > 0.0:
                yield finding("consumption_exceeds_stock", each.use.place, day=f"{day:.2f}", contents=what)
            else:
                yield finding("made_liquid_has_no_room", each.use.place, day=f"{day:.2f}", contents=what)


def _contents(plan: Plan, vessel: Vessel) -> Iterator[Finding]:
    seen = set[tuple[tuple[str | int, ...], int]]()
    for stage in plan.stages:
        aboard = {line.tank: line for line in stage.along.condition.tanks}
        for use in stage.uses:
            if not isinstance(use, TankUse):
                continue
            for tank in (tank for group in use.order for tank in group if tank in aboard):
                if aboard[tank].contents == use.contents or (use.place, tank) in seen:
                    continue
                seen.add((use.place, tank))
                other = aboard[tank].contents.replace("_", " ")
                id = vessel.tanks[tank].id
                yield finding("consumption_contents_differ", use.place, tank=id, contents=other)


def _stages(plan: Plan, itinerary: Itinerary) -> Iterator[Finding]:
    for number in itinerary.idle:
        yield finding("stage_without_change", ("plan", "stages", number - 1))
    if plan.stages[-1].phase not in (ARRIVAL, IN_PORT):
        yield finding("plan_ends_at_sea", ("plan", "stages", len(plan.stages) - 1))
