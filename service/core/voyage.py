"""A plan: the states a condition goes through on a voyage, or while she loads or discharges, as conditions.

A stage is a leg of some days, along which liquids and weights are used, and then changes of tanks and weights. What
else a stage says (mark, density, phase ...) holds from its beginning to its end, both included. The points of a plan
are the moments at which her stability or her load line may be least favourable; each is a whole condition.
Source: 2008 IS Code Part A 2.1.5 and Part B 3.1.4, 3.1.5 (margins at all stages of the voyage, tanks while they are
filled or emptied); MSC/Circ.1108 3.2 (a step whenever the loader moves).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from .condition import Condition, TankLine
from .consumption import INSTANT, TankLeg, TankUse, WeightUse, along, drawn_line
from .errors import CoreError
from .strength.weight_curve import Extent
from .tank import Tank
from .weight import Weight

MOST_POINTS = 300
START, BEGUN, EMPTIED, SEASON, DAY, CHANGE, END = KINDS = (
    "start",
    "begun",
    "emptied",
    "season",
    "day",
    "change",
    "end",
)
IN_PORT, ARRIVAL = "in_port", "arrival"


class AtStage(CoreError):
    """A stage (from 1) that contradicts her booklet, with what is wrong."""

    def __init__(self, stage: int, problem: CoreError) -> None:
        super().__init__(str(problem))
        self.stage, self.problem = stage, problem


class PlanTooLong(CoreError):
    """A plan with more points than are computed, noticed in a stage (from 1)."""

    def __init__(self, stage: int) -> None:
        super().__init__(f"the plan has more than {MOST_POINTS} points")
        self.stage = stage


class Lines(NamedTuple):
    """Which tanks and weights a state lists, in order, with all else that holds: the quantities are those of the
    state. `weights` [W] are ids that a weight keeps through the plan; `document` is a number of the reader's."""

    condition: Condition
    weights: tuple[int, ...]
    document: int


@dataclass(frozen=True)
class Stage:
    """A leg of `days` and the changes at its end. `along` lists what is aboard on the leg, `between` what is while the
    changes are made, `after` what is then. `mark` is None where the stage gives none; `season` holds the marks in force
    from a day of the plan on, the first at the beginning of the stage. `own_tanks` (by tank) and `own_weights` (by id)
    are as the stage gives them, `removed` are ids of weights put ashore. `through`: the changes are checked at a
    quarter, a half and three quarters of them."""

    name: str
    days: float
    phase: str | None
    mark: str | None
    season: tuple[tuple[float, str], ...]
    along: Lines
    between: Lines
    after: Lines
    own_tanks: Mapping[int, TankLine]
    own_weights: Mapping[int, Weight]
    removed: frozenset[int]
    uses: tuple[TankUse | WeightUse, ...]
    through: bool


@dataclass(frozen=True)
class Plan:
    """What will be done with a condition (`start`); days count from departure."""

    kind: str
    every_days: float
    start: Lines
    phase: str | None
    stages: tuple[Stage, ...]


@dataclass(frozen=True)
class Point:
    """One moment of a plan. `condition` is None where she would have used more than she carries; `used` is what was
    used (less what was made) since departure, t."""

    stage: int
    name: str
    at: str
    kind: str
    tanks: tuple[int, ...]
    day: float
    phase: str | None
    mark: str | None
    lines: Lines
    condition: Condition | None
    used: float


class Leg(NamedTuple):
    """The consumptions of a stage along its days; weights with their masses (t) at the start."""

    stage: int
    start: float
    tanks: tuple[TankLeg, ...]
    weights: tuple[tuple[WeightUse, float], ...]


@dataclass
class Itinerary:
    """The points of a plan in order, the legs between them, what is aboard at the end, and the day from which nothing
    is known because a stock ran out (None: it did not)."""

    points: list[Point] = field(default_factory=list)
    legs: list[Leg] = field(default_factory=list)
    tanks: dict[int, TankLine] = field(default_factory=dict)
    weights: dict[int, Weight] = field(default_factory=dict)
    idle: list[int] = field(default_factory=list)
    known_until: float | None = None


class _Event(NamedTuple):
    """Something on a leg, sorted by its day and, at one instant, by rank."""

    day: float
    rank: int
    at: str
    kind: str
    tanks: tuple[int, ...]


def itinerary_of(tanks: Sequence[Tank], plan: Plan) -> Itinerary:
    """Every point of a plan. Raises AtStage and PlanTooLong.

    Source: see the module."""
    return _Walk(tanks, plan).whole()


class _Walk:
    """The state while a plan is gone through."""

    def __init__(self, tanks: Sequence[Tank], plan: Plan) -> None:
        self.booklet, self.plan, self.made = tanks, plan, Itinerary()
        condition = plan.start.condition
        self.tanks = {line.tank: line for line in condition.tanks}
        self.weights = dict(zip(plan.start.weights, condition.weights))
        self.day, self.used, self.known = 0.0, 0.0, True
        self.mark, self.phase = condition.load_line_mark, plan.phase
        self.terms = _terms(condition, self.mark, self.phase)
        self.number, self.name = 0, ""

    def whole(self) -> Itinerary:
        made = self.made
        self.add(self.plan.start, START)
        for number, stage in enumerate(self.plan.stages, 1):
            self.number, self.name = number, stage.name
            self.go(stage)
        made.tanks, made.weights = self.tanks, self.weights
        return made

    def add(
        self,
        lines: Lines,
        at: str,
        kind: str | None = None,
        tanks: tuple[int, ...] = (),
        slack: Mapping[int, tuple[float, float]] | None = None,
    ) -> None:
        if len(self.made.points) == MOST_POINTS:
            raise PlanTooLong(max(self.number, 1))
        condition = None
        if self.known:
            condition = _aboard(lines, self.tanks, self.weights, slack or {}, self.mark)
        self.made.points.append(
            Point(
                self.number, self.name, at, kind or at, tanks, self.day, self.phase, self.mark, lines, condition,
                self.used,
            )
        )  # fmt: skip

    def go(self, stage: Stage) -> None:
        for line in stage.own_tanks.values():
            try:
                self.booklet[line.tank].liquid(line)
            except CoreError as problem:
                raise AtStage(self.number, problem) from None
        self.phase, self.mark = stage.phase, self._mark(stage, self.day)
        terms = _terms(stage.along.condition, self.mark, self.phase)
        new_terms = terms != self.terms
        if new_terms:
            self.add(stage.along, START)
        self._leg(stage)
        changed = self._change(stage)
        self.terms = _terms(stage.after.condition, self.mark, self.phase)
        if stage.days == 0.0 and not (new_terms or changed or stage.removed):
            self.made.idle.append(self.number)
        self.add(stage.after, END)

    def _mark(self, stage: Stage, day: float) -> str | None:
        if stage.season:
            return [mark for first, mark in stage.season if first <= day + INSTANT][-1]
        return stage.mark or self.mark

    def _leg(self, stage: Stage) -> None:
        """The points along the days of a stage."""
        if stage.days <= 0.0:
            return
        start, used, tanks, weights = self.day, self.used, self.tanks, self.weights
        missing = [line for line in stage.along.condition.tanks if line.tank not in tanks]
        tanks = {**tanks, **{line.tank: drawn_line(line.tank, line, 0.0) for line in missing}}
        legs = tuple(
            along(use, self.booklet, tanks, stage.days) for use in stage.uses if isinstance(use, TankUse)
        )
        falls = tuple(use for use in stage.uses if isinstance(use, WeightUse) and use.weight in weights)
        if self.known:
            masses = tuple((use, weights[use.weight].mass) for use in falls)
            self.made.legs.append(Leg(self.number, start, legs, masses))
        out = min((leg.ends for leg in legs if leg.ends is not None and leg.use.rate > 0.0), default=None)

        def come_to(day: float) -> None:
            self.day = start + day
            if out is not None and day > out + INSTANT and self.known:
                self.known, self.made.known_until = False, start + out
            drawn = {
                tank: drawn_line(tank, line, mass)
                for tank, line in tanks.items()
                for leg in legs
                if (mass := leg.mass(tank, day)) is not None
            }
            self.tanks = {**tanks, **drawn}
            self.weights = dict(weights)
            for use in falls:
                weight = weights[use.weight]
                self.weights[use.weight] = weight._replace(mass=max(0.0, weight.mass - use.rate * day))
            self.used = used + sum(leg.used(day) for leg in legs)
            self.used += sum(min(weights[use.weight].mass, use.rate * day) for use in falls)

        begun: list[_Event] = []
        for event in self._events(stage, legs, start):
            if event.kind in (BEGUN, EMPTIED) and not self.known:
                continue
            come_to(event.day)
            if event.kind == SEASON or event.kind == DAY:
                before = event.at != SEASON and event.kind == SEASON
                self.mark = self.mark if before else self._mark(stage, self.day)
            if event.kind == BEGUN:
                begun = [e for e in begun if e.day > event.day - INSTANT] + [event]
            counted = begun if event.kind == BEGUN else [event] if event.kind == EMPTIED else []
            slack = {tank: self._volumes(tank) for each in counted for tank in each.tanks}
            self.add(stage.along, event.at, event.kind, event.tanks, slack)
        come_to(stage.days)

    def _volumes(self, tank: int) -> tuple[float, float]:
        volume = self.booklet[tank].liquid(self.tanks[tank]).volume
        return volume, volume

    def _events(self, stage: Stage, legs: Sequence[TankLeg], start: float) -> list[_Event]:
        events = [event for leg in legs for event in self._drawings(leg)]
        for day, _ in stage.season[1:]:
            events.append(_Event(day - start, 2, "before season", SEASON, ()))
            events.append(_Event(day - start, 3, SEASON, SEASON, ()))
        taken = [0.0, stage.days, *(event.day for event in events)]
        every = self.plan.every_days
        first, last = int(start / every), int((start + stage.days) / every)
        if last - first > MOST_POINTS:
            raise PlanTooLong(self.number)
        for n in range(first, last + 2):
            day = n * every - start
            if 0.0 < day < stage.days and all(abs(day - other) > INSTANT for other in taken):
                events.append(_Event(day, 4, f"day {n * every:g}", DAY, ()))
        return sorted(events, key=lambda event: (round(event.day / INSTANT), event.rank))

    def _drawings(self, leg: TankLeg) -> Iterator[_Event]:
        for i, drawing in enumerate(leg.drawings):
            ids = ", ".join(self.booklet[tank].id for tank in drawing.tanks)
            uses = leg.use.rate > 0.0
            if not drawing.slack or (uses and i > 0):
                yield _Event(drawing.start, 1, f"begun {ids}", BEGUN, drawing.tanks)
            if uses and drawing.whole:
                yield _Event(drawing.end, 0, f"emptied {ids}", EMPTIED, drawing.tanks)

    def _change(self, stage: Stage) -> bool:
        """The points while tanks and weights are changed, and the state after it; whether anything changes."""
        before, weights = dict(self.tanks), dict(self.weights)
        tanks = {**before, **stage.own_tanks}
        after = {id: w for id, w in {**weights, **stage.own_weights}.items() if id not in stage.removed}
        volumes = {tank: self._both(before.get(tank), line) for tank, line in stage.own_tanks.items()}
        changing = {tank: pair for tank, pair in volumes.items() if pair[0] != pair[1]}
        if stage.through and (changing or after != weights):
            for k in (1, 2, 3):
                part = 0.25 * k
                self.tanks = {
                    **tanks,
                    **{
                        tank: _tank_between(before.get(tank), tanks[tank], volumes[tank], part)
                        for tank in changing
                    },
                }
                self.weights = {
                    id: _weight_between(weights.get(id), after.get(id), part) for id in {**weights, **after}
                }
                self.add(stage.between, f"{k}/4", CHANGE, tuple(changing), changing)
        self.tanks, self.weights = tanks, after
        return after != weights or any(before.get(tank) != line for tank, line in stage.own_tanks.items())

    def _both(self, before: TankLine | None, after: TankLine) -> tuple[float, float]:
        tank = self.booklet[after.tank]
        return 0.0 if before is None else tank.liquid(before).volume, tank.liquid(after).volume


def _terms(condition: Condition, mark: str | None, phase: str | None) -> tuple[object, ...]:
    """What binds and surrounds her; no phase is at sea."""
    c = condition
    around = (c.water_density, c.inland, c.deflection, c.wind_area, c.wind_moment, c.icing, c.obstructions)
    return (phase or "at_sea", mark, *around, tuple(c.grain))


def _aboard(
    lines: Lines,
    tanks: Mapping[int, TankLine],
    weights: Mapping[int, Weight],
    slack: Mapping[int, tuple[float, float]],
    mark: str | None,
) -> Condition:
    """A state as a condition; what is not aboard stands with no mass."""
    return replace(
        lines.condition,
        tanks=[_line_now(line, tanks, slack) for line in lines.condition.tanks],
        weights=[
            weights[id] if id in weights else weight._replace(mass=0.0)
            for id, weight in zip(lines.weights, lines.condition.weights)
        ],
        load_line_mark=mark,
    )


def _line_now(
    line: TankLine, tanks: Mapping[int, TankLine], slack: Mapping[int, tuple[float, float]]
) -> TankLine:
    found = tanks.get(line.tank) or drawn_line(line.tank, line, 0.0)
    between = slack.get(line.tank)
    return found if between is None else found._replace(slack_between=between)


def _tank_between(
    before: TankLine | None, after: TankLine, volumes: tuple[float, float], part: float
) -> TankLine:
    """A tank after `part` of its change; of another density, a mixture."""
    old, new = (1.0 - part) * volumes[0], part * volumes[1]
    density, contents = after.density, after.contents
    if before is not None and volumes[0] > 0.0:
        if volumes[1] == 0.0:
            density, contents = before.density, before.contents
        elif before.density != after.density:
            density = (old * before.density + new * after.density) / (old + new)
    return TankLine(after.tank, "volume", old + new, density, contents)


def _weight_between(before: Weight | None, after: Weight | None, part: float) -> Weight:
    """A weight after `part` of its change: its mass and its moments linear."""
    if before is None or after is None:
        weight = before or after
        assert weight is not None
        return weight._replace(mass=weight.mass * (part if before is None else 1.0 - part))
    if before == after:
        return after
    one, other = (1.0 - part) * before.mass, part * after.mass
    mass = one + other
    if mass == 0.0:
        return after._replace(mass=0.0)
    lcg, vcg, tcg = ((one * a + other * b) / mass for a, b in zip(before[1:4], after[1:4]))
    return after._replace(mass=mass, lcg=lcg, vcg=vcg, tcg=tcg, extent=_both_extents(before, after))


def _both_extents(before: Weight, after: Weight) -> Extent | None:
    """From end to end of where a weight was and where it comes to; None where one of them is unknown."""
    if before.extent is None or after.extent is None:
        return None
    return min(before.extent[0], after.extent[0]), max(before.extent[1], after.extent[1])
