"""One row of a rule document, and how a quantity is judged against it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isinf
from typing import NamedTuple

from ..condition import Condition
from ..situation import Heeled, Situation
from ..vessel import Vessel

VERDICTS = ("pass", "fail", "not_applicable", "not_computable", "outside_validity")
PASS, FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY = VERDICTS
SEVERITY = {PASS: 1, FAIL: 4, NOT_APPLICABLE: 0, NOT_COMPUTABLE: 3, OUTSIDE_VALIDITY: 2}
"""Order in which two sides of a ship are compared: the worse verdict counts."""
SHIP, CONDITION = "ship", "condition"
"""Why a clause does not apply: because of the ship (her length, her kind), or of what is aboard."""

ROUNDING = 1e-9
"""A value within this of its limit has reached it: rounding of the sums, a billionth of the unit or of the limit."""

PHASES = ("at_sea", "in_port", "always")
AT_SEA, IN_PORT, ALWAYS = PHASES
"""When a clause counts for the verdict. Whatever counts or not, it is computed."""

AT_LEAST, AT_MOST = ">=", "<="
MET, NOT_MET = "requirement met", "requirement not met"


@dataclass(frozen=True)
class Limit:
    """A clause as a row: `limit` is None where the document computes it. Units are those of the document. `key` says
    what is measured, the same in every document and whatever the words are.

    `from_memory` says what of it was recalled and not read, None where limit, formula and applicability were read in
    the document or its twin in law. `judges` is False where too much was recalled: its figure is shown and decides
    nothing. `applies` is one of PHASES where it differs from that of its rule set."""

    id: str
    clause: str
    title: str
    quantity: str
    comparison: str
    limit: float | None
    unit: str
    source: str
    key: str
    from_memory: str | None = None
    judges: bool = True
    applies: str | None = None


class Intermediate(NamedTuple):
    """An intermediate value a reviewer needs, in `unit`: a number, a text, or None where there is none. `key` stays
    the same whatever the words are."""

    key: str
    name: str
    unit: str
    value: float | str | None


Details = Sequence[Intermediate] | Callable[[], Sequence[Intermediate]]
"""Intermediate values of a clause, or what makes them: only answers read them, and of two sides only one."""


class Ruling(NamedTuple):
    """A verdict with its reason, whatever the numbers say; a clause that does not apply says because of what."""

    verdict: str
    reason: str
    because: str | None = None


class Criterion(NamedTuple):
    """One clause judged, in the units of its document; None where there is no figure.

    `vcg_effect` is what the attained value loses for each metre that the centre of gravity rises at this displacement,
    None where that is no plain number; `side` the one it was judged on, +1 to port, where that was chosen."""

    row: Limit
    attained: float | None
    required: float | None
    verdict: str
    reason: str
    because: str | None
    made_of: Details
    vcg_effect: float | None
    side: float | None = None

    @property
    def details(self) -> tuple[Intermediate, ...]:
        """The intermediate values, the side last. Source: definition."""
        made_of = self.made_of() if callable(self.made_of) else self.made_of
        if self.side is None:
            return tuple(made_of)
        return (*made_of, TO_PORT if self.side > 0.0 else TO_STARBOARD)

    @property
    def margin(self) -> float | None:
        """Attained over required, signed so that positive is good. Source: definition."""
        if self.attained is None or self.required is None:
            return None
        difference = self.attained - self.required
        return difference if self.row.comparison == AT_LEAST else -difference

    @property
    def is_judged(self) -> bool:
        """Whether it was compared at all. Source: definition."""
        return self.verdict in (PASS, FAIL)


@dataclass(frozen=True)
class RuleSet:
    """The checks of one document (or part of one) under a public name.

    `evaluate` judges every clause on one side, `evaluate_upright` where nothing depends on the side: a set has one of
    them. `choose` picks between the paragraphs of a document once both sides are judged. `surfaces` names the rule
    for free surfaces that the document brings (IMO, CFR), `automatic_closure` whether by it only openings that close
    watertight automatically stay dry. `binds` tells where it binds although nobody listed it.
    `judges_stability` is False for the sets that cannot stand for a stability document. `excludes` names the sets it
    stands instead of, `also_known_as` the names it had before. `reads_lines` tells that a clause reads single tank
    lines or weights, not only what they come to, `reads_strength` that one reads her forces or the masses in holds.
    """

    name: str
    title: str
    document: str
    edition: str
    limits: tuple[Limit, ...]
    evaluate: Callable[[Situation, Heeled], list[Criterion]] | None = None
    evaluate_upright: Callable[[Situation], list[Criterion]] | None = None
    choose: Callable[[Sequence[Heeled], list[Criterion]], list[Criterion]] | None = None
    surfaces: str | None = None
    automatic_closure: bool = False
    binds: Callable[[Vessel, Condition], bool] | None = None
    judges_stability: bool = True
    excludes: tuple[str, ...] = ()
    also_known_as: tuple[str, ...] = ()
    applies: str = AT_SEA
    brings: tuple[str, ...] = ()
    reads_lines: bool = False
    reads_strength: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """The public name and those it had before. Source: definition."""
        return (self.name, *self.also_known_as)

    @property
    def reads(self) -> str:
        """Whether its clauses read her heeled or upright. Source: definition."""
        return "upright" if self.evaluate is None else "heeled"

    def counts(self, row: Limit, in_port: bool) -> bool:
        """Whether a row of this set counts for the verdict while she lies in port, or is at sea. Source: definition."""
        return (row.applies or self.applies) in (ALWAYS, IN_PORT if in_port else AT_SEA)

    def judged(self, ship: Situation, heeled: Heeled) -> list[Criterion]:
        """Every clause for her heeling to one side. Source: the document."""
        if self.evaluate is not None:
            return self.evaluate(ship, heeled)
        return [] if self.evaluate_upright is None else self.evaluate_upright(ship)


def judge(
    row: Limit,
    attained: float | None,
    required: float | None = None,
    *,
    unless: Ruling | None = None,
    details: Details = (),
    vcg_effect: float | None = None,
) -> Criterion:
    """Compare attained with required (the row's own limit if not given), unless a ruling decides.

    A value that is missing is not computable, and neither is a row that does not judge. Source: definition."""
    limit = row.limit if required is None else required
    if not row.judges and (unless is None or unless.verdict != NOT_APPLICABLE):
        unless = NOT_READ
    if unless is not None:
        ruled, reason, because = unless
        return Criterion(row, attained, limit, ruled, reason, because, details, vcg_effect)
    if attained is None or limit is None:
        verdict, reason = NOT_COMPUTABLE, "a value it needs could not be computed"
    else:
        difference = attained - limit if row.comparison == AT_LEAST else limit - attained
        # an infinite requirement is never met: it has no room for rounding
        met = difference >= -ROUNDING * (1.0 if isinf(limit) else max(1.0, abs(limit)))
        verdict, reason = (PASS, MET) if met else (FAIL, NOT_MET)
    return Criterion(row, attained, limit, verdict, reason, None, details, vcg_effect)


NOT_READ = Ruling(NOT_COMPUTABLE, "the clause could not be read; figure for information")


def without(ship: Situation, figure: str) -> Ruling | None:
    """Not computable where a figure of the situation (a key of its `gaps`) is missing. Source: definition."""
    gap = ship.gaps.get(figure)
    return None if gap is None else Ruling(NOT_COMPUTABLE, gap.cause)


NO_CURVES = Ruling(NOT_COMPUTABLE, "the booklet has no cross curves")


def without_curve(rows: Sequence[Limit], ship: Situation, unless: Ruling | None = None) -> list[Criterion]:
    """Every row as ruled, or not computable because there is no righting lever curve. Source: definition."""
    ruling = unless or without(ship, "righting_lever") or NO_CURVES
    return [judge(row, None, unless=ruling) for row in rows]


def judge_gm(row: Limit, ship: Situation, unless: Ruling | None = None) -> Criterion:
    """Corrected GM in metres against a row's own limit. Source: the document of the row."""
    unless = unless or without(ship, "stability")
    return judge(row, ship.gm_corrected, unless=unless, vcg_effect=1.0)


def is_less_favourable(one: Criterion, other: Criterion) -> bool:
    """Whether the first of two verdicts on one clause is the less favourable: the worse verdict, then the smaller
    margin. Source: 2008 IS Code Part B 3.5 (the most unfavourable righting lever curve is used)."""
    if one.verdict != other.verdict:
        return SEVERITY[one.verdict] > SEVERITY[other.verdict]
    first, second = one.margin, other.margin
    return first is not None and second is not None and first < second


TO_PORT, TO_STARBOARD = (Intermediate("side", "side", "", side) for side in ("port", "starboard"))


def towards(criterion: Criterion, side: float) -> Criterion:
    """A criterion that says which side it was judged on. Source: definition."""
    return Criterion(*criterion[:-1], side)
