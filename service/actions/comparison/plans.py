"""What differs between the plans of two assessments in the same units."""

from collections.abc import Mapping
from typing import Any

from service.wire.plan_answer import PlanWorstChange


def plan_worst_changes(
    before: Mapping[str, Any], after: Mapping[str, Any]
) -> dict[str, list[PlanWorstChange]]:
    """Every criterion's least favourable judgement in either plan, as a member of a comparison; nothing where neither
    has a plan."""
    plans = before.get("plan"), after.get("plan")
    if plans == (None, None):
        return {}
    first, last = ({row["criterion"]: row for row in (plan or {}).get("worst", ())} for plan in plans)
    return {
        "plan_worst": [
            {"criterion": id, "before": first.get(id), "after": last.get(id)} for id in {**last, **first}
        ]
    }
