"""Criteria as the wire shows them: in the units of the answer, and as their document writes them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from service.actions.columns import Row, listed
from service.actions.units import METRIC, Scale
from service.core.assessment import Assessment as Assessed
from service.core.frame import FOOT
from service.core.rules.limit import PASS, VERDICTS, Criterion


def smallest_margin(rows: Sequence[Row]) -> Row | None:
    """The judged criterion nearest to its limit, as a percentage of the limit; None where nothing was judged."""
    best: Row | None = None
    for row in rows:
        margin, limit = row["margin"], row["limit"]
        if row["verdict"] in ("pass", "fail") and margin is not None and limit:
            percent = 100.0 * margin / abs(limit)
            if best is None or percent < best["percent"]:
                best = {"criterion": row["id"], "title": row["title"], "percent": percent}
    return best


_METRES = {
    "m": (1.0, ""),
    "ft": (FOOT, ""),
    "m·rad": (1.0, "·rad"),
    "m·degree": (1.0, "·degree"),
}


@dataclass(frozen=True)
class CriterionColumns:
    """The criteria of a batch with their columns as lists, in the units of the answer and of the document."""

    assessed: Assessed
    columns: list[tuple[str, Criterion, dict[str, Any]]]

    @classmethod
    def of(cls, assessed: Assessed, scale: Scale) -> "CriterionColumns":
        short = "m" if scale is METRIC else "ft"
        columns = []
        for name, criteria in assessed.criteria.items():
            for criterion in criteria:
                unit = criterion.row.unit
                factor, out = 1.0, unit
                if unit in _METRES:
                    metres, rest = _METRES[unit]
                    factor, out = metres / scale.length, short + rest
                listed_columns = {
                    "attained": listed(criterion.attained * factor),
                    "limit": listed(criterion.required * factor),
                    "margin": listed(criterion.margin * factor),
                    "unit": out,
                    "own": list(
                        zip(listed(criterion.attained), listed(criterion.required), listed(criterion.margin))
                    ),
                    "verdict": criterion.verdict.tolist(),
                    "details": [
                        (d.name, listed(d.values) if isinstance(d.values, np.ndarray) else d.values, d.unit)
                        for d in criterion.details
                    ],
                }
                columns.append((name, criterion, listed_columns))
        return cls(assessed, columns)

    def rows(self, n: int) -> list[Row]:
        """The criteria that bind condition n."""
        names = self.assessed.batch.conditions[n].rule_sets
        return [_criterion(name, criterion, c, n) for name, criterion, c in self.columns if name in names]


def _criterion(name: str, criterion: Criterion, columns: dict[str, Any], n: int) -> Row:
    row = criterion.row
    attained, limit, margin = columns["own"][n]
    verdict = columns["verdict"][n]
    shown = "requirement met" if verdict == PASS and not criterion.causes else criterion.reason(n)
    return {
        "id": row.id,
        "rule_set": name,
        "clause": row.clause,
        "title": row.title,
        "source": row.source,
        "quantity": row.quantity,
        "attained": columns["attained"][n],
        "comparison": row.comparison,
        "limit": columns["limit"][n],
        "unit": columns["unit"],
        "margin": columns["margin"][n],
        "verdict": VERDICTS[verdict],
        "reason": shown,
        "as_written": {"unit": row.unit, "attained": attained, "limit": limit, "margin": margin},
        "details": [{"name": d, "value": values[n], "unit": unit} for d, values, unit in columns["details"]],
    }
