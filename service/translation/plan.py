"""A plan document into the core's plan: for each stage the condition as it would be typed out, merged and translated.

What a stage says is laid over the condition before it, so that every member means in a stage what it means in a
condition. Places of the merged documents are turned back into places of what was posted.
"""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from service.core import condition as core
from service.core.consumption import TankUse, WeightUse
from service.core.vessel import Vessel
from service.core.voyage import Lines, Plan, Stage
from service.translation.condition import ROOT, condition_of
from service.translation.season import MonthDay, Season
from service.translation.units import SCALES
from service.wire import condition as wire
from service.wire.fields import MAX_WEIGHTS, Axes
from service.wire.plan import Consumption, Phase, PlanSeason
from service.wire.pointer import pointer_of
from service.wire.problem import ProblemError, error
from service.wire.refusal import Refusal

Place = tuple[str | int, ...]
OF_WEIGHTS = ("wind_additions", "obstructions")
"""Lists whose lines may belong to a weight, and count while that is aboard."""
TERMS = ("water_density", "deflection", "wind_additions", "grain", "icing", "obstructions")
"""Members of a stage that hold from its beginning on, besides mark, season, phase and inland."""
DAYS_OF_MONTH = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True)
class Origins:
    """Where the lines and members of a merged document were posted, as places in the condition."""

    tanks: tuple[Place, ...]
    weights: tuple[Place, ...]
    members: dict[str, Place]
    counted: dict[str, tuple[int, ...]]

    def posted(self, pointer: str) -> str:
        """A pointer into the merged document as the pointer into what was posted."""
        _, condition, *steps = pointer.split("/")
        if not steps:
            return pointer
        member, rest = steps[0], steps[1:]
        where: Place = self.members.get(member, (member,))
        lines = {"tanks": self.tanks, "weights": self.weights}.get(member)
        if rest and lines is not None:
            where, rest = lines[int(rest[0])], rest[1:]
        elif rest and member in self.counted:
            where, rest = (*where, self.counted[member][int(rest[0])]), rest[1:]
        return "/".join((pointer_of((condition, *where)), *rest))


@dataclass
class TranslatedPlan:
    """The core's plan, the time of departure (UTC), the merged documents by the numbers in its lines, and
    where they were posted."""

    plan: Plan
    departs: datetime | None
    documents: list[wire.Condition]
    origins: list[Origins]


def plan_of(
    document: wire.Condition, start: core.Condition, vessel: Vessel, vessel_axes: Axes | None
) -> TranslatedPlan:
    """Translate the plan of a condition that is translated already; refuses what contradicts itself, the condition or
    her booklet, naming each place."""
    assert document.plan is not None
    return _Merger(document, document.plan, start, vessel, vessel_axes).translated()


class _Merger:
    """The condition as it stands after the stages merged so far."""

    def __init__(
        self,
        document: wire.Condition,
        plan: wire.Plan,
        start: core.Condition,
        vessel: Vessel,
        axes: Axes | None,
    ) -> None:
        self.posted, self.vessel, self.axes = plan, vessel, axes
        self.scale = SCALES[document.units]
        self.errors: list[ProblemError] = []
        self.document = document.model_copy(update={"plan": None})
        self.tanks: list[Place] = [("tanks", i) for i in range(len(document.tanks))]
        self.weights: list[Place] = [("weights", i) for i in range(len(document.weights))]
        self.ids = list(range(len(document.weights)))
        self.next_id = len(document.weights)
        self.members: dict[str, Place] = {}
        self.uses: list[Consumption] = list(plan.consumption or ())
        self.use_place: Place = ("plan", "consumption")
        stages = (weight.name for stage in plan.stages for weight in stage.weights or ())
        self.names = {*(weight.name for weight in document.weights), *stages}
        self.phase: Phase | None = None if document.voyage is None else document.voyage.phase
        self.documents = [self.document]
        self.origins = [self._origins({})]
        self.lines = Lines(start, tuple(self.ids), 0)
        self.start = self.lines
        self.departs: datetime | None = None
        self.day = 0.0

    def translated(self) -> TranslatedPlan:
        plan = self.posted
        self.departs = self._moment(plan.departs)
        self._check_uses(self.uses, self.use_place)
        phase = self.phase
        if plan.kind != "voyage":
            self.phase = "in_port"
        stages = [self._stage(k, stage) for k, stage in enumerate(plan.stages)]
        if self.errors:
            raise Refusal(
                "invalid_condition", "The plan does not fit the condition or the vessel.", self.errors
            )
        core_plan = Plan(plan.kind, plan.every_days, self.start, phase, tuple(stages))
        return TranslatedPlan(core_plan, self.departs, self.documents, self.origins)

    def _note(self, place: Place, code: str, detail: str) -> None:
        found = error((*ROOT, *place), code, detail)
        if found not in self.errors:
            self.errors.append(found)

    def _moment(self, text: str | None) -> datetime | None:
        if text is None:
            return None
        try:
            return datetime.fromisoformat(text).astimezone(UTC)
        except ValueError:
            self._note(("plan", "departs"), "no_such_date", "there is no such day.")
            return None

    def _stage(self, k: int, stage: wire.Stage) -> Stage:
        place: Place = ("plan", "stages", k)
        self.phase = stage.phase or self.phase
        if stage.consumption is not None:
            self.uses, self.use_place = stage.consumption, (*place, "consumption")
            self._check_uses(self.uses, self.use_place)
        season = self._season(stage, place)
        self.day += stage.days
        along = self._along(stage, place)
        uses = tuple(use for use in map(self._use, range(len(self.uses))) if use is not None)
        between, after, own_weights, removed = self._changes(stage, place)
        own_tanks = {line.tank for line in stage.tanks or ()}
        return Stage(
            name=stage.name,
            days=stage.days,
            phase=self.phase,
            mark=stage.load_line_mark,
            season=season,
            along=along,
            between=between,
            after=after,
            own_tanks={
                line.tank: line
                for line in after.condition.tanks
                if self.vessel.tanks[line.tank].id in own_tanks
            },
            own_weights={
                id: weight for id, weight in zip(after.weights, after.condition.weights) if id in own_weights
            },
            removed=frozenset(removed),
            uses=uses,
            through=stage.transition == "through",
        )

    def _along(self, stage: wire.Stage, place: Place) -> Lines:
        """What is aboard on the leg, under the terms of the stage; tanks that liquid is made into stand in it."""
        update: dict[str, Any] = {}
        for name in TERMS:
            value = getattr(stage, name)
            if value is not None:
                update[name] = value
                self.members[name] = (*place, name)
        if stage.inland != self.document.inland:
            update["inland"] = stage.inland
        voyage = self.document.voyage
        if self.phase is not None and (voyage is None or voyage.phase != self.phase):
            update["voyage"] = (voyage or wire.Voyage()).model_copy(update={"phase": self.phase})
        if self.document.observed is not None:
            update["observed"] = None
        known = {line.tank for line in self.document.tanks}
        made = [
            (i, tank, use.contents)
            for i, use in enumerate(self.uses)
            if use.mass_per_day < 0.0 and stage.days > 0.0
            for group in use.order or ()
            for tank in group
            if tank not in known and tank in self.vessel.index
        ]
        if made:
            lines = [wire.TankFilling(tank=tank, contents=contents, mass=0.0) for _, tank, contents in made]
            update["tanks"] = [*self.document.tanks, *lines]
            self.tanks += [(*self.use_place, i) for i, _, _ in made]
        if update:
            self.document = self.document.model_copy(update=update)
            self.lines = self._lines(self.document, self.ids, self.weights)
        return self.lines

    def _changes(self, stage: wire.Stage, place: Place) -> tuple[Lines, Lines, set[int], set[int]]:
        """What is aboard while the stage's changes are made and after them, the ids of its own weights and of those
        it removes."""
        along = self.lines
        own, removed = self._merge_weights(stage, place)
        self._merge_tanks(stage, place)
        if not (stage.tanks or own or removed):
            return along, along, own, removed
        self.lines = between = self._lines(self.document, self.ids, self.weights)
        if removed:
            kept = [j for j, id in enumerate(self.ids) if id not in removed]
            weights = [self.document.weights[j] for j in kept]
            self.document = self.document.model_copy(update={"weights": weights})
            self.ids = [self.ids[j] for j in kept]
            self.weights = [self.weights[j] for j in kept]
            self.lines = self._lines(self.document, self.ids, self.weights)
        return between, self.lines, own, removed

    def _merge_weights(self, stage: wire.Stage, place: Place) -> tuple[set[int], set[int]]:
        weights, own, removed = list(self.document.weights), set[int](), set[int]()
        index: dict[str, list[int]] = {}
        for j, weight in enumerate(weights):
            index.setdefault(weight.name, []).append(j)
        before = {name: list(found) for name, found in index.items()}
        for j, weight in enumerate(stage.weights or ()):
            found = index.get(weight.name, [])
            if len(found) > 1 or (found and self.ids[found[0]] in own):
                words = "several weights have this name."
                self._note((*place, "weights", j, "name"), "ambiguous_weight", words)
            elif found:
                weights[found[0]], self.weights[found[0]] = weight, (*place, "weights", j)
                own.add(self.ids[found[0]])
            else:
                index[weight.name] = [len(weights)]
                weights.append(weight)
                self.weights.append((*place, "weights", j))
                self.ids.append(self.next_id)
                own.add(self.next_id)
                self.next_id += 1
        for j, name in enumerate(stage.removed_weights or ()):
            found = before.get(name, [])
            if len(found) != 1 or self.ids[found[0]] in own | removed:
                code = "ambiguous_weight" if found else "unknown_weight"
                words = "several lines of this stage and the weights before it have this name."
                words = words if found else "no weight aboard before this stage has this name."
                self._note((*place, "removed_weights", j), code, words)
            else:
                removed.add(self.ids[found[0]])
        if len(weights) > MAX_WEIGHTS:
            words = f"more than {MAX_WEIGHTS} weights would be aboard."
            self._note((*place, "weights"), "plan_too_long", words)
        self.document = self.document.model_copy(update={"weights": weights}) if own else self.document
        return own, removed

    def _merge_tanks(self, stage: wire.Stage, place: Place) -> None:
        if not stage.tanks:
            return
        tanks = list(self.document.tanks)
        index = {line.tank: j for j, line in enumerate(tanks)}
        seen = set[str]()
        for j, line in enumerate(stage.tanks):
            if line.tank in seen:
                self._note((*place, "tanks", j, "tank"), "duplicate", "this tank is filled twice.")
            seen.add(line.tank)
            if line.tank in index:
                tanks[index[line.tank]], self.tanks[index[line.tank]] = line, (*place, "tanks", j)
            else:
                index[line.tank] = len(tanks)
                tanks.append(line)
                self.tanks.append((*place, "tanks", j))
        self.document = self.document.model_copy(update={"tanks": tanks})

    def _lines(self, document: wire.Condition, ids: list[int], weights: list[Place]) -> Lines:
        """A merged document translated; what it is refused for is noted, and the lines before stand for it."""
        aboard = {weight.name for weight in document.weights}
        counted: dict[str, tuple[int, ...]] = {}
        for name in OF_WEIGHTS:
            lines = getattr(document, name) or ()
            kept = [
                j for j, a in enumerate(lines) if a.of is None or a.of in aboard or a.of not in self.names
            ]
            if len(kept) < len(lines):
                counted[name] = tuple(kept)
                document = document.model_copy(update={name: [lines[j] for j in kept]})
        origins = self._origins(counted)
        try:
            condition = condition_of(document, self.vessel, self.axes)
        except Refusal as refused:
            for found in refused.errors:
                moved: ProblemError = {**found, "pointer": origins.posted(found["pointer"])}
                if moved not in self.errors:
                    self.errors.append(moved)
            return self.lines
        self.documents.append(document)
        self.origins.append(origins)
        return Lines(condition, tuple(ids), len(self.documents) - 1)

    def _origins(self, counted: dict[str, tuple[int, ...]]) -> Origins:
        return Origins(tuple(self.tanks), tuple(self.weights), dict(self.members), counted)

    def _season(self, stage: wire.Stage, place: Place) -> tuple[tuple[float, str], ...]:
        """The marks by date in a stage that begins on the present day of the plan."""
        season = stage.season
        if season is None:
            return ()
        if stage.load_line_mark is not None:
            words = "give the mark in force or the season, not both."
            self._note((*place, "season"), "season_or_mark", words)
        if self.posted.departs is None:
            words = "a season needs the time of departure: give `departs` in the plan."
            self._note((*place, "season"), "departs_missing", words)
        first, last = self._day(season, "first", place), self._day(season, "last", place)
        if self.departs is None:
            return ()
        return Season(first, last, season.mark, season.otherwise).marks(self.departs, self.day, stage.days)

    def _day(self, season: PlanSeason, end: str, place: Place) -> MonthDay:
        month, day = (int(part) for part in getattr(season, end).split("-"))
        if day > DAYS_OF_MONTH[month - 1]:
            name = {"first": "from", "last": "to"}[end]
            self._note((*place, "season", name), "no_such_date", "there is no such day in any year.")
        return month, day

    def _check_uses(self, uses: list[Consumption], place: Place) -> None:
        """A list of consumptions by itself."""
        seen = set[str]()
        for i, use in enumerate(uses):
            if (use.contents is None) == (use.weight is None):
                self._note((*place, i), "one_quantity", "give exactly one of contents and weight.")
            if use.contents is not None and not use.order:
                self._note((*place, i, "order"), "missing", "a liquid needs the order of its tanks.")
            if use.weight is not None:
                self._check_weight_use(use, (*place, i))
            for g, group in enumerate(use.order or ()):
                for t, tank in enumerate(group):
                    where = (*place, i, "order", g, t)
                    if tank not in self.vessel.index:
                        self._note(where, "unknown_tank", "her booklet has no tank of this id.")
                    elif tank in seen:
                        words = "this tank stands in the order before already."
                        self._note(where, "tank_in_two_orders", words)
                    seen.add(tank)

    def _check_weight_use(self, use: Consumption, place: Place) -> None:
        if use.order is not None:
            self._note((*place, "order"), "not_here", "only with contents.")
        if use.mass_per_day <= 0.0:
            self._note((*place, "mass_per_day"), "sign", "a weight only becomes less: give more than 0.")
        if use.weight not in self.names:
            self._note((*place, "weight"), "unknown_weight", "no weight has this name.")

    def _use(self, i: int) -> TankUse | WeightUse | None:
        """One consumption in force; None for a weight that is not aboard."""
        use, place, mass = self.uses[i], (*self.use_place, i), self.scale.mass
        if use.contents is not None:
            index = self.vessel.index
            order = tuple(tuple(index[tank] for tank in group if tank in index) for group in use.order or ())
            return TankUse(use.contents, use.mass_per_day * mass, order, use.leave, place)
        found = [id for id, weight in zip(self.ids, self.document.weights) if weight.name == use.weight]
        if len(found) > 1:
            self._note((*place, "weight"), "ambiguous_weight", "several weights have this name.")
        if len(found) != 1 or use.weight is None:
            return None
        return WeightUse(use.weight, found[0], use.mass_per_day * mass, place)
