"""What would help: fillings of tanks at which targets and criteria hold.

Mode single is the core's. Mode shift is a succession of linear programmes: every target is taken as linear in the
masses, a tank as empty, slack between two masses, or full, with the jump of its free surface. What a programme proposes
is put through the full calculation, which alone decides; where that is worse than what stood before, the next step may
be at most a quarter of each tank, then an eighth, and so on.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from service.actions.remedy_programme import SAME, Layout, State
from service.translation.prepared_vessel import PreparedVessel
from service.translation.remedy import (
    DIGITS,
    TankEffect,
    remedy_question,
    single_answer,
    tank_effect,
)

Row = dict[str, Any]
MAX_ROUNDS = 12
FIRST_BOX = 0.25
"""Part of a tank that may change at a step, once a step over the whole range was worse."""
SETTLED = 0.05
WORTH_A_ROUND = 5e-3
"""t, and part of the mass moved, that another round has to save once nothing is missed."""
SMALLEST_BOX = 1e-3
PENALTY = 10.0
"""Cost of missing a target by its scale, over the capacity of all tanks."""
HOPELESS = 3
"""Rounds in which even a step over the whole range would miss something, after which the search ends."""
CHOICES = 2
"""How often a search may choose anew which tanks are empty, slack or full."""
PADS = 2
PAD_BOXES = (1.0, 0.1, 0.02)
"""Part of a tank that may change where something is to be kept in hand."""
NEAR_END = 0.01
"""Part of the capacity within which of empty or full a tank is tried there."""
METHOD = (
    "successive linear programmes with tanks empty, slack or full; the proposed condition is assessed by the full "
    "calculation, which decides"
)


def remedies(members: Row, prepared: PreparedVessel) -> Row:
    """The answer to a parsed request about a vessel; raises Refusal."""
    asked = remedy_question(members, prepared)
    return single_answer(asked) if asked.mode == "single" else Shift(asked).answer()


class End(NamedTuple):
    """Where a search ended: t in each tank, the values of the rows, what each tank does."""

    masses: dict[int, float]
    values: Sequence[float | None]
    effects: dict[int, TankEffect]


class Shift(State):
    """The search for the least mass moved."""

    rounds = 0
    kinds: Mapping[int, int] | None = None
    """Which tanks are empty, slack or full, as the last programme chose."""

    def answer(self) -> Row:
        """Solved, in conflict or not found."""
        if not self.question.holds(self.asked.before) or self._is_outside():
            self._search()
        found = self._holding()
        ends = [self._here()]
        if found is None and self._begin_anew():
            self._search()
            found = self._holding()
            ends.append(self._here())
        if found is None:
            return self._conflict_answer(ends)
        masses, document, assessed = found
        changed = {place: mass for place, mass in masses.items() if abs(mass - self.start[place]) > SAME}
        moved, unit = self.moved(masses), self.asked.scale.mass
        return {
            **self.asked.head(),
            "outcome": "solved",
            "rounds": self.rounds,
            "moved": moved / unit,
            "changes": [self._change(place, mass) for place, mass in changed.items()],
            "on_the_way": self.asked.way(changed, moved) if changed else None,
            "worst": self.asked.worst(assessed),
            "condition": document,
            "assessment": self.asked.answer(assessed),
            "conflict": [],
            "relaxed": {},
            **self.asked.tail(METHOD),
        }

    def _change(self, place: int, mass: float) -> Row:
        unit = self.asked.scale.mass
        id, name = self.asked.name(place)
        start = self.start[place]
        return {
            "tank": id,
            "name": name,
            "from": start / unit,
            "to": mass / unit,
            "mass": (mass - start) / unit,
        }

    # --- search ------------------------------------------------------------------------------------------------

    def _search(self) -> None:
        """Rounds until nothing is missed and nothing less moves, no step is better, or it is hopeless.

        Which tanks are empty, slack or full is chosen anew only where a round with the last choice misses something."""
        box, hopeless, choices = 1.0, 0, 0
        last = self.rounds + MAX_ROUNDS
        while self.rounds < last and box > SMALLEST_BOX and hopeless < HOPELESS:
            self.rounds += 1
            self._measure()
            layout = Layout(self, None, box=box, penalty=self._penalty())
            columns = layout.solution(self.kinds)
            anew = columns is None or (layout.misses(columns) and choices < CHOICES)
            if self.kinds is not None and anew:
                choices += 1
                columns = layout.solution()
            if columns is None:
                return
            proposed, self.kinds = layout.masses(columns), layout.kinds_of(columns)
            if max(abs(mass - self.masses[place]) for place, mass in proposed.items()) <= SAME:
                return
            if not self._is_missing(self.masses, self.values):
                saved = self.moved(self.masses) - self.moved(proposed)
                if saved <= max(SETTLED, WORTH_A_ROUND * self.moved(self.masses)):
                    return
            if layout.misses(columns):
                hopeless += box == 1.0 or not self._fits(layout.pointers, whole=False)
            values = self._values_at(proposed)
            if values is not None and self._merit(proposed, values) < self._merit(self.masses, self.values):
                self._take(proposed, values)
            else:
                box = FIRST_BOX if box == 1.0 else 0.5 * box

    def _begin_anew(self) -> bool:
        """Take the best of plain fillings, the lowest tanks full and the others empty or as they are, to search from;
        whether one misses less than what was reached. One step from far off shows no way where a criterion
        bends or a free surface has to go first."""
        reached = self.question.missed(self.values) + self._outside(self.masses)
        best: tuple[float, dict[int, float], Sequence[float | None]] | None = None
        for masses in self._plain_fillings():
            values = None if self._outside(masses) else self._values_at(masses)
            if values is not None:
                missed = self.question.missed(values)
                if missed < (reached if best is None else best[0]):
                    best = missed, masses, values
        if best is None:
            return False
        self.effects = {}
        _, self.masses, self.values = best
        self.kinds = None
        return True

    def _plain_fillings(self) -> Iterator[dict[int, float]]:
        """Tanks that may be filled and emptied: so many of the lowest full, the others empty, or as they are."""
        fillings, tanks = self.question.fillings, self.asked.prepared.vessel.tanks
        free = [place for place in self.start if fillings[place].contents not in self.question.conserved]
        free.sort(key=lambda place: tanks[fillings[place].tank].vcg)
        for count in range(len(free) + 1):
            full = {place: fillings[place].full for place in free[:count]}
            yield {**self.start, **full}
            yield {**self.start, **{place: fillings[place].emptied for place in free}, **full}

    def _is_missing(self, masses: Mapping[int, float], values: Sequence[float | None]) -> bool:
        return self.question.missed(values) > SAME or self._outside(masses) > 0.0

    def _take(self, proposed: dict[int, float], values: Sequence[float | None]) -> None:
        for place, mass in proposed.items():
            if abs(mass - self.masses[place]) > SAME:
                self.effects.pop(place, None)
        self.masses, self.values = proposed, values

    def _measure(self) -> None:
        """The effect of each tank that changed since it was last looked at."""
        for place in self.masses:
            if place not in self.effects:
                self.effects[place] = tank_effect(self.question, self.masses, self.values, place)

    def _values_at(self, masses: Mapping[int, float]) -> Sequence[float | None] | None:
        document = self.asked.assessed(self._changed(masses))
        return None if document is None else self.question.values(document[1])

    def _changed(self, masses: Mapping[int, float]) -> dict[int, float]:
        return {place: mass for place, mass in masses.items() if abs(mass - self.start[place]) > SAME}

    def _merit(self, masses: Mapping[int, float], values: Sequence[float | None]) -> float:
        return self.moved(masses) + self._penalty() * (self.question.missed(values) + self._outside(masses))

    def _penalty(self) -> float:
        return PENALTY * max(1.0, sum(filling.full for filling in self.question.fillings))

    def _outside(self, masses: Mapping[int, float]) -> float:
        """By how much fillings are outside their limits, over 100 t."""
        least, most = self.question.least, self.question.most
        return 0.01 * sum(
            max(0.0, least[place] - mass - SAME, mass - most[place] - SAME) for place, mass in masses.items()
        )

    def _is_outside(self) -> bool:
        return self._outside(self.start) > 0.0

    def _holding(self) -> tuple[dict[int, float], Row, Any] | None:
        """The proposal, rounded as far as everything still holds, as a document with its assessment.

        Where masses of one decimal miss a limit that the search has reached exactly, the limit is asked for with what
        they miss it by in hand."""
        pads = [0.0] * len(self.question.rows)
        for attempt in range(PADS + 1):
            found = next(self._tries((1,) if attempt < PADS else DIGITS), None)
            if found is not None or not self.effects or attempt == PADS:
                return found
            values = self._values_at(self._rounded(1)) or ()
            pads = [
                pad + (0.0 if value is None or row.equal else 1.5 * max(0.0, -value))
                for pad, value, row in zip(pads, values, self.question.rows)
            ]
            if any(pads):
                self._pad(pads)
        return None

    def _tries(self, digits: Sequence[int]) -> Iterator[tuple[dict[int, float], Row, Any]]:
        """Proposals at which everything holds: those with tanks quite empty or full first."""
        for number in digits:
            rounded = self._rounded(number)
            for masses in (self._to_the_ends(rounded), rounded):
                tried = self.asked.assessed(self._changed(masses))
                if tried is not None and self.question.holds(tried[1]) and not self._outside(masses):
                    yield masses, *tried

    def _to_the_ends(self, masses: dict[int, float]) -> dict[int, float]:
        """The same with tanks that come near to empty or full quite there; liquids that are conserved left out."""
        found = dict(masses)
        for place, mass in self._changed(masses).items():
            filling = self.question.fillings[place]
            if filling.contents not in self.question.conserved:
                for end in (filling.emptied, filling.full):
                    if abs(mass - end) < NEAR_END * filling.full:
                        found[place] = end
        return found

    def _pad(self, pads: Sequence[float]) -> None:
        """Search once more with something in hand: with the tanks empty, slack or full as they are where that does, and
        with short steps where a long one misses."""
        self._measure()
        for box in PAD_BOXES:
            layout = Layout(self, None, box=box, pads=pads, penalty=self._penalty())
            columns = layout.solution(self.kinds)
            if columns is None or layout.misses(columns):
                columns = layout.solution()
            if columns is None:
                continue
            proposed = layout.masses(columns)
            values = self._values_at(proposed)
            if values is not None and not self._is_missing(proposed, values):
                self._take(proposed, values)
                return

    def _rounded(self, digits: int) -> dict[int, float]:
        """Masses as they would be typed; of a liquid that is conserved the tank that changes most takes the rest."""
        fillings = self.question.fillings
        rounded = {
            place: self.asked.rounded(mass, digits, fillings[place])
            if abs(mass - self.start[place]) > SAME
            else self.start[place]
            for place, mass in self.masses.items()
        }
        for (contents, _), places in self.groups().items():
            if contents in self.question.conserved:
                rest = sum(self.start[place] for place in places) - sum(rounded[place] for place in places)
                free = [
                    place
                    for place in places
                    if rounded[place] != self.start[place]
                    and fillings[place].emptied < rounded[place] + rest < fillings[place].full
                ]
                if free and abs(rest) > SAME:
                    most = max(free, key=lambda place: abs(rounded[place] - self.start[place]))
                    rounded[most] += rest
        return rounded

    # --- conflict ----------------------------------------------------------------------------------------------

    def _here(self) -> End:
        return End(self.masses, self.values, self.effects)

    def _go_to(self, end: End) -> None:
        self.masses, self.values, self.effects = end
        self._measure()

    def _conflict_answer(self, ends: Sequence[End]) -> Row:
        conflict = self._conflict_of(ends)
        return {
            **self.asked.head(),
            "outcome": "conflict" if conflict else "not_found",
            "rounds": self.rounds,
            "moved": None,
            "changes": [],
            "on_the_way": None,
            "worst": None,
            "condition": None,
            "assessment": None,
            "conflict": conflict,
            "relaxed": self._relaxed() if conflict else {},
            **self.asked.tail(METHOD),
        }

    def _conflict_of(self, ends: Sequence[End]) -> list[str]:
        """The smallest conflict that holds at the ends of all searches, else that of the first; empty where one of them
        has none. Far from a solution the programme may miss one: the list is not linear in the masses."""
        found = []
        for end in ends:
            self._go_to(end)
            conflict = self._conflict()
            if not conflict:
                return []
            found.append((len(conflict), conflict, end))
        for _, conflict, end in sorted(found, key=lambda each: each[0]):
            if not any(self._opens(conflict, other) for other in ends if other is not end):
                self._go_to(end)
                return conflict
        self._go_to(ends[0])
        return found[0][1]

    def _opens(self, conflict: Sequence[str], end: End) -> bool:
        """Whether the programme at the end of a search finds a way for these."""
        self._go_to(end)
        return self._fits(conflict, self.question.most_slack is not None)

    def _conflict(self) -> list[str]:
        """Pointers that cannot hold together, none of which can be left out; empty where the programme has a solution.

        Source: deletion filter, Chinneck, Feasibility and Infeasibility in Optimization (2008), chapter 6."""
        every = Layout(self, None).pointers
        # with whole tanks only where their number is limited: that takes seconds
        for whole in (False,) if self.question.most_slack is None else (False, True):
            if not self._fits(every, whole):
                left = list(every)
                for pointer in every:
                    rest = [each for each in left if each != pointer]
                    if not self._fits(rest, whole):
                        left = rest
                return left
        return []

    def _fits(self, enforced: Collection[str], whole: bool) -> bool:
        layout = Layout(self, frozenset(enforced), tolerant=True)
        return layout.programme.solution(whole=whole) is not None

    def _relaxed(self) -> dict[str, float]:
        """The least by which targets and criteria would have to give way, in the units of the answer."""
        layout = Layout(self, None, penalty=1.0, moves_cost=False, tolerant=True)
        columns = layout.solution()
        if columns is None:
            return {}
        found: dict[str, float] = {}
        for pointer, column, scale in layout.missed:
            if columns[column] > 1e-6:
                factor, _ = self.asked.units[pointer]
                found[pointer] = max(found.get(pointer, 0.0), columns[column] * scale * factor)
        return found
