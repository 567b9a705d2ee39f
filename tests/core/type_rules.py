"""What the tests of the rules for one type of ship share: a row by its slug on a curve of one's own."""

from collections.abc import Callable, Sequence
from math import inf, radians
from typing import Any

from service.core.rules.limit import Criterion, RuleSet
from service.core.situation import Situation
from tests.core.ship import cubic, cubic_area, cubic_lever, heeled, situation

MAXIMUM = 35.0
"""Degrees of the greatest lever where nothing else is said."""


def judged(
    rule_set: RuleSet,
    slope: float = 1.0,
    maximum: float = MAXIMUM,
    flooding: float | None = inf,
    last: float = 80.0,
    ship: Situation | None = None,
    **changes: Any,
) -> dict[str, Criterion]:
    """Every row by what follows the name of its set, on GZ = slope (a - a^3 / 3 m^2); openings of the other rule flood
    at once."""
    where = ship or situation(**changes)
    curve = cubic_lever(slope, maximum, last)
    side = (
        heeled(curve, 0.5, automatic=flooding) if rule_set.automatic_closure else heeled(curve, flooding, 0.5)
    )
    found = rule_set.judged(where, side)
    if rule_set.choose is not None:
        found = rule_set.choose([side], found)
    return {row.row.id.removeprefix(f"{rule_set.name}-"): row for row in found}


def without_a_curve(rule_set: RuleSet, **changes: Any) -> dict[str, Criterion]:
    """Every row where there are no cross curves."""
    found = rule_set.judged(situation(**changes), heeled(None))
    return {row.row.id.removeprefix(f"{rule_set.name}-"): row for row in found}


def area(to: float, maximum: float = MAXIMUM) -> float:
    """Area under the unit cubic from upright, m.rad."""
    return cubic_area(radians(to), radians(maximum))


def lever(at: float, maximum: float = MAXIMUM) -> float:
    """The unit cubic at `at` degrees, m."""
    return cubic(radians(at), radians(maximum))


def verdicts_of(slug: str, given: Sequence[dict[str, Criterion]]) -> list[str]:
    return [rows[slug].verdict for rows in given]


Judged = Callable[..., dict[str, Criterion]]
