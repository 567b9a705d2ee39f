"""One row of a rule document, and how a quantity is judged against it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isinf
from typing import NamedTuple

from ..situation import Heeled, Situation

VERDICTS = ("pass", "fail", "not_applicable", "not_computable", "outside_validity")
PASS, FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY = VERDICTS
SEVERITY = {PASS: 1, FAIL: 4, NOT_APPLICABLE: 0, NOT_COMPUTABLE: 3, OUTSIDE_VALIDITY: 2}
"""Order in which two sides of a ship are compared: the worse verdict counts."""

ROUNDING = 1e-9
"""A value within this of its limit has reached it: rounding of the sums, a billionth of the unit or of the limit."""

AT_LEAST, AT_MOST = ">=", "<="


@dataclass(frozen=True)
class Limit:
    """A clause as a row: `limit` is None where the document computes it. Units are those of the document. `key` says
    what is measured, the same in every document and whatever the words are."""

    id: str
    clause: str
    title: str
    quantity: str
    comparison: str
    limit: float | None
    unit: str
    source: str
    key: str


class Detail(NamedTuple):
    """An intermediate value a reviewer needs, in `unit`: a number, a text, or None where there is none. `key` stays
    the same whatever the words are."""

    key: str
    name: str
    unit: str
    value: float | str | None


class Ruling(NamedTuple):
    """A verdict with its reason, whatever the numbers say."""

    verdict: str
    reason: str


class Criterion(NamedTuple):
    """One clause judged, in the units of its document; None where there is no figure."""

    row: Limit
    attained: float | None
    required: float | None
    verdict: str
    reason: str
    details: tuple[Detail, ...]

    @property
    def margin(self) -> float | None:
        """Attained over required, signed so that positive is good. Source: definition."""
        if self.attained is None or self.required is None:
            return None
        difference = self.attained - self.required
        return difference if self.row.comparison == AT_LEAST else -difference


@dataclass(frozen=True)
class RuleSet:
    """The checks of one document (or part of one) under a public name.

    `evaluate` judges every clause on one side, `evaluate_upright` where nothing depends on the side: a set has one of
    them. `surfaces` names the rule for free surfaces that the document brings (IMO, CFR), `binds_with` the member of
    a condition that makes the set bind although nobody listed it.
    """

    name: str
    title: str
    document: str
    edition: str
    limits: tuple[Limit, ...]
    evaluate: Callable[[Situation, Heeled], list[Criterion]] | None = None
    evaluate_upright: Callable[[Situation], list[Criterion]] | None = None
    surfaces: str | None = None
    binds_with: str | None = None

    @property
    def reads(self) -> str:
        """Whether its clauses read her heeled or upright. Source: definition."""
        return "upright" if self.evaluate is None else "heeled"

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
    details: Sequence[Detail] = (),
) -> Criterion:
    """Compare attained with required (the row's own limit if not given), unless a ruling decides.

    A value that is missing is not computable. Source: definition."""
    limit = row.limit if required is None else required
    if unless is not None:
        return Criterion(row, attained, limit, unless.verdict, unless.reason, tuple(details))
    if attained is None or limit is None:
        missing = "a value it needs could not be computed"
        return Criterion(row, attained, limit, NOT_COMPUTABLE, missing, tuple(details))
    difference = attained - limit if row.comparison == AT_LEAST else limit - attained
    # an infinite requirement is never met: it has no room for rounding
    size = 1.0 if isinf(limit) else max(1.0, abs(limit))
    met = difference >= -ROUNDING * size
    verdict, reason = (PASS, "requirement met") if met else (FAIL, "requirement not met")
    return Criterion(row, attained, limit, verdict, reason, tuple(details))


def without_curve(rows: Sequence[Limit], unless: Ruling | None = None) -> list[Criterion]:
    """Every row not computable because the booklet has no cross curves, or as ruled. Source: definition."""
    ruling = unless or Ruling(NOT_COMPUTABLE, "the booklet has no cross curves")
    return [judge(row, None, unless=ruling) for row in rows]


def is_less_favourable(one: Criterion, other: Criterion) -> bool:
    """Whether the first of two verdicts on one clause is the less favourable: the worse verdict, then the smaller
    margin. Source: 2008 IS Code Part B 3.5 (the most unfavourable righting lever curve is used)."""
    if one.verdict != other.verdict:
        return SEVERITY[one.verdict] > SEVERITY[other.verdict]
    first, second = one.margin, other.margin
    return first is not None and second is not None and first < second


def towards(criterion: Criterion, side: float) -> Criterion:
    """A criterion that says which side it was judged on. Source: definition."""
    shown = Detail("side", "side", "", "port" if side > 0.0 else "starboard")
    return criterion._replace(details=(*criterion.details, shown))
