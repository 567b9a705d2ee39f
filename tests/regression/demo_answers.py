"""Frozen answers for the demonstration conditions: our own numbers, with the calculation version that made them.

They guard against a digit that moves unnoticed; they prove nothing else (tests/published and tests/core do that).
After a change that is meant to move figures, bump CALCULATION_VERSION (service/core/conventions.py), or change the demo
data, and freeze again with

    python -m tests.regression.demo_answers

which refuses to overwrite figures that moved although neither version nor inputs changed.
"""

import hashlib
import json
import sys
from pathlib import Path
from typing import Any

from service.actions.assess import Assessor
from service.actions.demo_vessel import find_demo_vessel
from service.core.conventions import CALCULATION_VERSION
from service.demo import condition_names, demo_vessel_ids, read_condition

FOLDER = Path(__file__).parent / "answers"
RELATIVE, ABSOLUTE = 1e-9, 1e-9
Frozen = dict[str, Any]


def demo_conditions() -> list[tuple[str, str]]:
    """Ship and condition, in alphabetical order."""
    return [(ship, name) for ship in demo_vessel_ids() for name in condition_names(ship)]


def path_of(ship: str, name: str) -> Path:
    """Where the answer of one condition is kept."""
    return FOLDER / ship / f"{name}.json"


def computed(ship: str, name: str) -> Frozen:
    """Inputs (as digests) and figures of one condition, computed now."""
    text = read_condition(ship, name)
    answer = Assessor(find_demo_vessel).assessment({"vessel_id": ship, "condition": json.loads(text)})
    return {
        "calculation_version": CALCULATION_VERSION,
        "vessel": answer["provenance"]["vessel"]["digest"],
        "condition": hashlib.sha256(text).hexdigest(),
        "figures": figures(answer),
    }


def figures(answer: dict[str, Any]) -> dict[str, Any]:
    """Numbers and verdicts of an answer by pointer, without sentences; of the levers every tenth."""
    kept = {
        k: v for k, v in answer.items() if k not in ("units", "provenance", "caution", "title", "findings")
    }
    kept["findings"] = [
        [finding["code"], finding["severity"], finding["path"]] for finding in answer["findings"]
    ]
    lever = answer["righting_lever"]
    if lever is not None:
        kept["righting_lever"] = {**lever, "heels": lever["heels"][::10], "levers": lever["levers"][::10]}
    return flat(kept)


_WORDS = {
    "name",
    "title",
    "source",
    "from_memory",
    "quantity",
    "reason",
    "free_surface_reason",
    "free_surface_method",
    "clause",
    "method",
}


def flat(value: Any, path: str = "") -> dict[str, Any]:
    """Leaves by pointer, without words that a person reads."""
    if isinstance(value, dict):
        pairs = [(name, inner) for name, inner in value.items() if name not in _WORDS]
    elif isinstance(value, list):
        pairs = [(str(i), inner) for i, inner in enumerate(value)]
    else:
        return {path: value}
    return {place: leaf for name, inner in pairs for place, leaf in flat(inner, f"{path}/{name}").items()}


def moved(frozen: dict[str, Any], now: dict[str, Any]) -> list[str]:
    """What differs, as lines for a person; numbers by more than 1e-9 of themselves (and 1e-9 of their unit)."""
    lines = []
    for place in sorted(frozen.keys() | now.keys()):
        old, new = frozen.get(place, "absent"), now.get(place, "absent")
        if isinstance(old, int | float) and isinstance(new, int | float):
            if abs(new - old) <= max(ABSOLUTE, RELATIVE * abs(old)):
                continue
        elif old == new:
            continue
        lines.append(f"{place}: {old} -> {new}")
    return lines


NEW = ": absent -> "
"""What stands in the line of a figure that was not there."""


def inputs(record: Frozen) -> tuple[str, str, str]:
    """What may move figures: version and both documents."""
    return record["calculation_version"], record["vessel"], record["condition"]


def freeze() -> int:
    """Write every answer; 1 where figures moved without a reason. Members that are new need none."""
    unexplained = 0
    for ship, name in demo_conditions():
        path, now = path_of(ship, name), computed(ship, name)
        if path.exists():
            frozen = json.loads(path.read_text())
            lines = [line for line in moved(frozen["figures"], now["figures"]) if NEW not in line]
            if lines and inputs(frozen) == inputs(now):
                unexplained += 1
                print(
                    f"{ship}/{name}: {len(lines)} figures moved under version {now['calculation_version']}:"
                )
                print("\n".join(f"    {line}" for line in lines[:10]))
                continue
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(now, indent=0) + "\n")
    return 1 if unexplained else 0


if __name__ == "__main__":
    sys.exit(freeze())
