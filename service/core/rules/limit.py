"""One row of a rule document, and how a quantity is judged against it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..frame import Bools, Floats, Ints
from ..situation import Situation

VERDICTS = ("pass", "fail", "not_applicable", "not_computable", "outside_validity")
PASS, FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY = range(5)
SEVERITY = np.array([1, 4, 0, 3, 2])
"""Order in which two sides of a ship are compared: the worse verdict counts."""

ROUNDING = 1e-9
"""A value within this of its limit has reached it: rounding of the sums, a billionth of the unit or of the limit."""

AT_LEAST, AT_MOST = ">=", "<="


@dataclass(frozen=True)
class Limit:
    """A clause as a row: `limit` is None where the document computes it. Units are those of the document."""

    id: str
    clause: str
    title: str
    quantity: str
    comparison: str
    limit: float | None
    unit: str
    source: str


@dataclass(frozen=True)
class Detail:
    """An intermediate value a reviewer needs: [N] numbers (NaN: none) in `unit`, or [N] texts."""

    name: str
    unit: str
    values: Floats | Sequence[str | None]


@dataclass(frozen=True)
class Cause:
    """Where `where` [N] holds, the verdict is `verdict` for this reason, whatever the numbers say."""

    where: Bools
    verdict: int
    text: str

    @classmethod
    def for_all(cls, count: int, holds: bool, verdict: int, text: str) -> "Cause":
        """A cause that lies in the ship and not in her loading: it holds for all N conditions or for none.

        Source: definition."""
        return cls(np.full(count, holds), verdict, text)

    @cached_property
    def holds(self) -> bool:
        """Whether it holds for any condition; asked once for every clause it is handed to. Source: definition."""
        return bool(self.where.any())


@dataclass(frozen=True)
class Criterion:
    """One clause judged for N conditions, in the units of its document; reasons are per condition."""

    row: Limit
    attained: Floats
    required: Floats
    verdict: Ints
    causes: tuple[Cause, ...]
    details: tuple[Detail, ...]

    @property
    def margin(self) -> Floats:
        """Attained over required [N], signed so that positive is good. Source: definition."""
        difference = self.attained - self.required
        return difference if self.row.comparison == AT_LEAST else -difference

    def reason(self, n: int) -> str:
        """Why condition `n` has its verdict. Source: definition."""
        for cause in self.causes:
            if cause.where[n]:
                return cause.text
        if self.verdict[n] == NOT_COMPUTABLE:
            return "a value it needs could not be computed"
        return "requirement met" if self.verdict[n] == PASS else "requirement not met"


@dataclass(frozen=True)
class RuleSet:
    """The checks of one document (or part of one) under a public name."""

    name: str
    title: str
    document: str
    edition: str
    limits: tuple[Limit, ...]
    evaluate: Callable[[Situation], list[Criterion]]


def judge(
    row: Limit,
    attained: Floats,
    required: Floats | float | None = None,
    causes: Sequence[Cause] = (),
    details: Sequence[Detail] = (),
) -> Criterion:
    """Compare attained [N] with required (the row's own limit if not given); causes override, the first one first.

    A value that is not a number is not computable. Source: definition."""
    limit = np.empty(attained.shape)
    limit[...] = row.limit if required is None else required
    difference = attained - limit if row.comparison == AT_LEAST else limit - attained
    # an infinite requirement is never met: it has no room for rounding
    size = np.where(np.isfinite(limit), np.abs(limit), 1.0)
    met = difference >= -ROUNDING * np.maximum(1.0, size)
    verdict = np.where(np.isnan(difference), NOT_COMPUTABLE, np.where(met, PASS, FAIL))
    kept = [cause for cause in causes if cause.holds]
    for cause in reversed(kept):
        verdict = np.where(cause.where, cause.verdict, verdict)
    return Criterion(row, attained, limit, verdict, tuple(kept), tuple(details))


def without_curve(rows: Sequence[Limit], count: int) -> list[Criterion]:
    """Every row not computable because the booklet has no cross curves. Source: definition."""
    nothing = np.full(count, np.nan)
    cause = Cause.for_all(count, True, NOT_COMPUTABLE, "the booklet has no cross curves")
    return [judge(row, nothing, np.nan if row.limit is None else None, [cause]) for row in rows]


def unfavourable(both: Criterion) -> Ints:
    """Which half of a criterion judged on two sides, [2N], is the less favourable: -1 first, +1 second, 0 neither.

    Worse is the worse verdict, then the smaller margin. Source: 2008 IS Code Part B 3.5 (the most unfavourable
    righting lever curve is used)."""
    count = len(both.verdict) // 2
    rank, margin = SEVERITY[both.verdict], both.margin
    worse = np.sign(rank[count:] - rank[:count])
    closer = (margin[count:] < margin[:count]).astype(np.int64) - (margin[count:] > margin[:count])
    result: Ints = np.where(worse == 0, closer, worse)
    return result


def one_half(both: Criterion, second: Bools, side: Floats) -> Criterion:
    """Of a criterion judged on two sides, [2N], the second half where `second` [N], else the first: [N].

    The first half is the side given by `side` [N] (+1 port, -1 starboard), the second half the other.
    Source: 2008 IS Code Part B 3.5."""
    chosen = np.arange(len(side)) + len(side) * second
    towards = np.where(second, -side, side)
    details = tuple(Detail(d.name, d.unit, _taken(d.values, chosen)) for d in both.details)
    shown = Detail("side", "", ["port" if s > 0.0 else "starboard" for s in towards])
    return Criterion(
        both.row,
        both.attained[chosen],
        both.required[chosen],
        both.verdict[chosen],
        tuple(Cause(cause.where[chosen], cause.verdict, cause.text) for cause in both.causes),
        (*details, shown),
    )


def _taken(values: Floats | Sequence[str | None], chosen: Ints) -> Floats | Sequence[str | None]:
    if isinstance(values, np.ndarray):
        return values[chosen]
    return [values[i] for i in chosen]
