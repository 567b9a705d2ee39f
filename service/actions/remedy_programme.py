"""The programme of one round of a shift among tanks: targets linear in the masses, each tank empty, slack or full."""

from collections.abc import Mapping, Sequence
from math import inf, isfinite

from service.actions.linear_programme import Programme
from service.translation.remedy import Question, RemedyQuestion, TankEffect

SAME = 1e-6
"""t within which two masses are one."""
PER_TANK = 1e-4
"""Cost of a tonne in or out beside the mass moved, so that none moves for nothing."""
PER_SLACK = 1e-3
"""Cost of a slack tank, so that none is left slack with nothing in it."""


class State:
    """A proposal: t in each tank by its place among the fillings, the values of the rows then, and what each tank does.

    `start`: the masses before. `slack_elsewhere`: slack tanks that may not change."""

    def __init__(self, asked: RemedyQuestion) -> None:
        """The condition as it is."""
        self.asked = asked
        self.start = {place: filling.mass for place, filling in enumerate(self.question.fillings)}
        self.masses = dict(self.start)
        self.values: Sequence[float | None] = self.question.values(asked.before)
        self.effects: dict[int, TankEffect] = {}
        may = {filling.tank for filling in self.question.fillings}
        self.slack_elsewhere = sum(
            liquid.state == "slack" and line.tank not in may
            for line, liquid in zip(asked.before.condition.tanks, asked.before.liquids)
        )

    @property
    def question(self) -> Question:
        """What is asked."""
        return self.asked.question

    def moved(self, masses: Mapping[int, float]) -> float:
        """t moved: of each liquid what is taken or what is given, whichever is more, so that a shift counts once."""
        total = 0.0
        for places in self.groups().values():
            changes = [masses[place] - self.start[place] for place in places]
            total += max(sum(c for c in changes if c > 0.0), -sum(c for c in changes if c < 0.0))
        return total

    def groups(self) -> dict[tuple[str, float], list[int]]:
        """Places by liquid: contents and density."""
        groups: dict[tuple[str, float], list[int]] = {}
        for place, filling in enumerate(self.question.fillings):
            groups.setdefault((filling.contents, filling.density), []).append(place)
        return groups


class Layout:
    """The programme of one round.

    enforced: the pointers of the rows that have to hold (None: all). penalty: what it costs to miss a target by its
    scale (None: none may be missed). box: part of a tank that may change. pads: what each row has to keep in hand.
    tolerant: whether a row may miss by its tolerance, as where it is asked whether targets can hold at all, not only by
    its play.
    """

    def __init__(
        self,
        state: State,
        enforced: frozenset[str] | None,
        *,
        box: float = 1.0,
        penalty: float | None = None,
        pads: Sequence[float] = (),
        moves_cost: bool = True,
        tolerant: bool = False,
    ) -> None:
        self.state, self.question, self.programme = state, state.question, Programme()
        self.tolerant = tolerant
        self.enforced, self.penalty, self.box = enforced, penalty, box
        self.pads = pads or [0.0] * len(self.question.rows)
        self.pointers: list[str] = []
        self.missed: list[tuple[str, int, float]] = []
        self.amount: dict[int, int] = {}
        self.slack: dict[int, int] = {}
        self.full: dict[int, int] = {}
        for place in state.masses:
            self._add_tank(place)
        self._add_moves(1.0 if moves_cost else 0.0)
        self._add_rows()

    def _holds(self, pointer: str) -> bool:
        """Note a pointer, and whether it is enforced."""
        if pointer not in self.pointers:
            self.pointers.append(pointer)
        return self.enforced is None or pointer in self.enforced

    def _add_tank(self, place: int) -> None:
        """Empty, slack with an amount, or full."""
        effect, question, programme = self.state.effects[place], self.question, self.programme
        id, _ = self.state.asked.name(place)
        least, most = question.least[place], question.most[place]
        limited = place in question.limited
        bounded = (
            not limited or self._holds(f"tanks/{id}/least"),
            not limited or self._holds(f"tanks/{id}/most"),
        )
        low = max(effect.slack_from, least) if bounded[0] else effect.slack_from
        high = min(effect.slack_to, most) if bounded[1] else effect.slack_to
        far = max(abs(low), abs(high))
        may_empty = not bounded[0] or effect.emptied >= least - SAME
        may_fill = not bounded[1] or effect.full <= most + SAME
        amount = programme.column(-far, far)
        slack = programme.column(0.0, 1.0 if low <= high else 0.0, PER_SLACK, whole=True)
        full = programme.column(0.0, 1.0 if may_fill else 0.0, whole=True)
        programme.row({amount: 1.0, slack: -low}, lower=0.0)
        programme.row({amount: 1.0, slack: -high}, upper=0.0)
        programme.row({slack: 1.0, full: 1.0}, 0.0 if may_empty else 1.0, 1.0)
        self.amount[place], self.slack[place], self.full[place] = amount, slack, full
        if self.box < 1.0:
            reach = self.box * question.fillings[place].full
            mass = self.state.masses[place]
            programme.row(self._mass(place), mass - reach - effect.emptied, mass + reach - effect.emptied)

    def _mass(self, place: int) -> dict[int, float]:
        """Coefficients of the mass of a tank less that when it is emptied."""
        effect = self.state.effects[place]
        return {
            self.amount[place]: 1.0,
            self.slack[place]: -effect.emptied,
            self.full[place]: effect.full - effect.emptied,
        }

    def _add_moves(self, cost: float) -> None:
        """Mass taken and given by tank; of each liquid the greater of the two counts."""
        programme, state = self.programme, self.state
        for (contents, _), places in state.groups().items():
            counted = programme.column(cost=cost)
            taken, given = {counted: 1.0}, {counted: 1.0}
            for place in places:
                out, into = (programme.column(cost=cost * PER_TANK) for _ in range(2))
                taken[out], given[into] = -1.0, -1.0
                change = state.start[place] - state.effects[place].emptied
                programme.row({**self._mass(place), into: -1.0, out: 1.0}, change, change)
            programme.row(taken, lower=0.0)
            programme.row(given, lower=0.0)
            if contents in self.question.conserved:
                kept = {c: v for c, v in taken.items() if c != counted}
                kept |= {c: -v for c, v in given.items() if c != counted}
                programme.row(kept, 0.0, 0.0)
        if self.question.most_slack is not None and self._holds("most_slack_tanks"):
            room = self.question.most_slack - state.slack_elsewhere
            programme.row(dict.fromkeys(self.slack.values(), 1.0), upper=float(room))

    def _add_rows(self) -> None:
        """Targets and criteria, linear in the masses."""
        for number, (row, value, pad) in enumerate(zip(self.question.rows, self.state.values, self.pads)):
            if value is None or not isfinite(value) or not self._holds(row.pointer):
                continue
            coefficients: dict[int, float] = {}
            wanted = pad - value
            for place, effect in self.state.effects.items():
                empty = effect.when_empty[number]
                coefficients[self.amount[place]] = effect.slope[number]
                offset = effect.offset[number] - effect.slope[number] * effect.at
                coefficients[self.slack[place]] = offset - empty
                coefficients[self.full[place]] = effect.when_full[number] - empty
                wanted -= empty
            scaled = {column: each / row.scale for column, each in coefficients.items()}
            play = row.tolerance if self.tolerant else row.play
            bound = (wanted - play) / row.scale
            if self.penalty is not None:
                for sign in (1.0, -1.0) if row.equal else (1.0,):
                    short = self.programme.column(cost=self.penalty)
                    scaled[short] = sign
                    self.missed.append((row.pointer, short, row.scale))
            self.programme.row(scaled, bound, (wanted + play) / row.scale if row.equal else inf)

    def solution(self, kinds: Mapping[int, int] | None = None) -> list[float] | None:
        """Each tank empty, slack or full, at little cost; None where nothing fits.

        kinds: by place 0 empty, 1 slack, 2 full, where that is settled: a hundredth of the time that it takes to choose
        them."""
        if kinds is None:
            return self.programme.solution()
        held = {}
        for place, kind in kinds.items():
            held[self.slack[place]] = (float(kind == 1), float(kind == 1))
            held[self.full[place]] = (float(kind == 2), float(kind == 2))
        return self.programme.solution(whole=False, held=held)

    def misses(self, columns: Sequence[float]) -> bool:
        """Whether a solution misses a target."""
        return any(columns[short] > SAME for _, short, _ in self.missed)

    def kinds_of(self, columns: Sequence[float]) -> dict[int, int]:
        """By place: 0 empty, 1 slack, 2 full."""
        return {
            place: 1 if columns[self.slack[place]] > 0.5 else 2 if columns[self.full[place]] > 0.5 else 0
            for place in self.amount
        }

    def masses(self, columns: Sequence[float]) -> dict[int, float]:
        """The mass of each tank in a solution."""
        found = {}
        for place, kind in self.kinds_of(columns).items():
            effect = self.state.effects[place]
            amount = min(max(columns[self.amount[place]], effect.slack_from), effect.slack_to)
            found[place] = (effect.emptied, amount, effect.full)[kind]
        return found
