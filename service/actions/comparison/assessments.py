"""What differs between two assessments in the same units: criteria, figures, tanks, rule sets."""

from collections.abc import Mapping
from typing import Any, Final

from service.translation.rule_sets import present_name
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.comparison import (
    ChangeKind,
    CriterionChange,
    CriterionState,
    FigureChange,
    RuleSetChange,
    TankChange,
    TankState,
)

TOLERANCE: Final = 1e-9  # of the greater value: what a conversion of units may leave
_TANK: Final = ("contents", "density", "mass", "volume", "fill", "state", "free_surface_moment")
# What a flip leads to, the worst first.
_ORDER: Final = {"fail": 0, "not_computable": 1, "outside_validity": 1, "not_applicable": 2, "pass": 3}


def same(before: Any, after: Any) -> bool:
    """Whether two values of answers are equal, but for what a conversion of units leaves."""
    if isinstance(before, int | float) and isinstance(after, int | float):
        return abs(before - after) <= TOLERANCE * max(1.0, abs(before), abs(after))
    return bool(before == after)


def kind_of_change(before: object | None, after: object | None) -> ChangeKind:
    """In a word."""
    return "added" if before is None else "removed" if after is None else "changed"


def criterion_changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[CriterionChange]:
    """Every clause of either answer: those whose verdict flipped first, the worst of them first."""
    first = {_clause(row): row for row in before["criteria"]}
    last = {_clause(row): row for row in after["criteria"]}
    rows = [_criterion(first.get(key), last.get(key)) for key in {**last, **first}]
    return sorted(rows, key=_rank)


def figure_changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[FigureChange]:
    """The main figures of both answers."""
    changes: list[FigureChange] = []
    for row in ANSWER_FIGURES.values():
        if not row.compared:
            continue
        old, new = row.value(before), row.value(after)
        difference = None if old is None or new is None else new - old
        changes.append(
            {"name": row.name, "quantity": row.dimension, "before": old, "after": new, "change": difference}
        )
    return changes


def tank_changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[TankChange]:
    """Tanks whose filling or free surface is another one, in the order of the later answer."""
    first = {row["tank"]: row for row in before["tanks"]}
    last = {row["tank"]: row for row in after["tanks"]}
    changes: list[TankChange] = []
    for tank in {**last, **first}:
        old, new = first.get(tank), last.get(tank)
        members = _members(old, new, _TANK)
        if members:
            changes.append(
                {
                    "tank": tank,
                    "name": (new or old or {})["name"],
                    "change": kind_of_change(old, new),
                    "members": members,
                    "before": _tank_state(old),
                    "after": _tank_state(new),
                }
            )
    return changes


def rule_set_changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[RuleSetChange]:
    """Rule sets that were added, removed, or are of another edition."""
    first = {row["name"]: row for row in before["provenance"]["rule_sets"]}
    last = {row["name"]: row for row in after["provenance"]["rule_sets"]}
    return [
        {
            "name": name,
            "change": kind_of_change(first.get(name), last.get(name)),
            "before": first.get(name),
            "after": last.get(name),
        }
        for name in {**last, **first}
        if first.get(name) != last.get(name)
    ]


def _clause(row: Mapping[str, Any]) -> tuple[str, str]:
    """What a clause is known by in both answers, whatever its rule set was called."""
    return present_name(row["rule_set"]), row["id"]


def _criterion(old: dict[str, Any] | None, new: dict[str, Any] | None) -> CriterionChange:
    shown = new or old
    assert shown is not None
    difference = None
    if old and new and old["margin"] is not None and new["margin"] is not None:
        difference = new["margin"] - old["margin"]
    return {
        "id": shown["id"],
        "rule_set": shown["rule_set"],
        "clause": shown["clause"],
        "title": shown["title"],
        "unit": shown["unit"],
        "flipped": (old and old["verdict"]) != (new and new["verdict"]),
        "before": _criterion_state(old),
        "after": _criterion_state(new),
        "margin_change": difference,
    }


def _criterion_state(row: dict[str, Any] | None) -> CriterionState | None:
    if row is None:
        return None
    return {
        "verdict": row["verdict"],
        "attained": row["attained"],
        "limit": row["limit"],
        "margin": row["margin"],
        "reason": row["reason"],
    }


def _rank(row: CriterionChange) -> tuple[bool, int]:
    after = row["after"]
    return not row["flipped"], _ORDER[after["verdict"]] if row["flipped"] and after else 4


def _members(
    old: Mapping[str, Any] | None, new: Mapping[str, Any] | None, names: tuple[str, ...]
) -> list[str]:
    if old is None or new is None:
        return list(names)
    return [name for name in names if not same(old[name], new[name])]


def _tank_state(row: Mapping[str, Any] | None) -> TankState | None:
    if row is None:
        return None
    return {name: row[name] for name in (*_TANK, "gm_loss")}  # type: ignore[return-value]
