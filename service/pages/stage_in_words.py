"""The stages of a plan as they were typed: days, what holds, what is filled, emptied, taken aboard and put ashore."""

from collections.abc import Mapping
from typing import Any

from service.wire.figures import figure, words

Row = Mapping[str, Any]
_AMOUNTS = (
    ("mass", "mass"),
    ("volume", "volume"),
    ("fill", "percent"),
    ("sounding", "length"),
    ("ullage", "length"),
)


def stages_in_words(document: Row, names: Mapping[str, str]) -> list[str]:
    """A sentence a stage. names: of her tanks, by id."""
    plan = document.get("plan") or {"stages": []}
    system = document["units"]
    has_days = any(stage.get("days") for stage in plan["stages"])
    return [_stage(i, stage, system, names, has_days) for i, stage in enumerate(plan["stages"], 1)]


def _stage(number: int, stage: Row, system: Any, names: Mapping[str, str], has_days: bool) -> str:
    parts = [f"{stage['days']:g} days" if stage.get("days") else "no days"] if has_days else []
    if stage.get("phase"):
        parts.append(words(stage["phase"]))
    if stage.get("inland"):
        parts.append("inland")
    if stage.get("load_line_mark"):
        parts.append(f"mark {stage['load_line_mark']}")
    season = stage.get("season")
    if season:
        parts.append(
            f"mark {season['mark']} from {season['from']} to {season['to']}, else {season['otherwise']}"
        )
    if stage.get("water_density"):
        parts.append(f"water of {figure(stage['water_density'], 'density', system)}")
    parts += [_tank(line, system, names) for line in stage.get("tanks") or ()]
    parts += [f"{w['name']} {figure(w['mass'], 'mass', system)}" for w in stage.get("weights") or ()]
    parts += [f"{name} ashore" for name in stage.get("removed_weights") or ()]
    others = [
        words(member)
        for member in (
            "grain",
            "wind_additions",
            "icing",
            "obstructions",
            "passengers",
            "operation",
            "consumption",
        )
        if stage.get(member) is not None
    ]
    if others:
        parts.append(f"{', '.join(others)} said anew")
    return f"{number} {stage['name']}: {', '.join(parts)}." if parts else f"{number} {stage['name']}."


def _tank(line: Row, system: Any, names: Mapping[str, str]) -> str:
    name = names.get(line["tank"], line["tank"])
    for member, quantity in _AMOUNTS:
        if line.get(member) is not None:
            what = "" if member in ("mass", "volume", "fill") else f"{member} "
            return f"{name} to {what}{figure(line[member], quantity, system)}"  # type: ignore[arg-type]
    return name
