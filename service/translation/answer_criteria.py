"""Criteria as the wire shows them: in the units of the answer, and as their document writes them."""

from collections.abc import Sequence
from math import inf
from typing import Any

from service.core.conventions import FOOT
from service.core.rules.limit import Criterion, RuleSet
from service.translation.units import METRIC, Scale

Row = dict[str, Any]


def smallest_margin(rows: Sequence[Row]) -> Row | None:
    """The judged criterion that counts and is nearest to its limit, as a percentage of the limit; None where nothing
    was judged."""
    best: Row | None = None
    for row in rows:
        margin, limit = row["margin"], row["limit"]
        if row["counts"] and row["verdict"] in ("pass", "fail") and margin is not None and limit:
            percent = 100.0 * margin / abs(limit)
            if best is None or percent < best["percent"]:
                best = {"criterion": row["id"], "title": row["title"], "percent": percent}
    return best


METRES = {
    "m": (1.0, ""),
    "ft": (FOOT, ""),
    "m·rad": (1.0, "·rad"),
    "m·degree": (1.0, "·degree"),
}


def unit_in(unit: str, scale: Scale) -> tuple[float, str]:
    """Factor and name that bring a unit of a document into the answer's, where it is a mass, a length or holds one."""
    if unit == "t":
        return 1.0 / scale.mass, "t" if scale is METRIC else "LT"
    if unit not in METRES:
        return 1.0, unit
    metres, rest = METRES[unit]
    return metres / scale.length, ("m" if scale is METRIC else "ft") + rest


def criterion_row(rule_set: RuleSet, criterion: Criterion, counts: bool, scale: Scale) -> Row:
    """One criterion of a rule set; `counts` tells whether the verdict reads it."""
    row = criterion.row
    attained, limit, margin = (
        finite(criterion.attained),
        finite(criterion.required),
        finite(criterion.margin),
    )
    factor, unit = unit_in(row.unit, scale)
    return {
        "id": row.id,
        "rule_set": rule_set.name,
        "clause": row.clause,
        "title": row.title,
        "source": row.source,
        "from_memory": row.from_memory,
        "key": row.key,
        "quantity": row.quantity,
        "attained": None if attained is None else attained * factor,
        "comparison": row.comparison,
        "limit": None if limit is None else limit * factor,
        "unit": unit,
        "margin": None if margin is None else margin * factor,
        "verdict": criterion.verdict,
        "counts": counts,
        "reason": criterion.reason,
        "because": criterion.because,
        "as_written": {"unit": row.unit, "attained": attained, "limit": limit, "margin": margin},
        "details": [
            {"key": detail.key, "name": detail.name, "value": finite(detail.value), "unit": detail.unit}
            for detail in criterion.details
        ],
    }


def finite(value: Any) -> Any:
    """A figure, None where there is none: an angle that does not exist is infinite."""
    return None if value == inf or value == -inf else value
