"""Figures that the pictures read from the criteria: intermediate values by key, in the units of the answer."""

from service.translation.conversion import in_units_of
from service.translation.units import SCALES
from service.wire.assessment import Assessment, Criterion
from service.wire.righting_lever import RightingLever


def judged(answer: Assessment, key: str) -> list[Criterion]:
    """The criteria that measure `key` and were judged by a number, those that count first."""
    found = [
        c
        for c in answer["criteria"]
        if c["key"] == key and c["limit"] is not None and c["verdict"] in ("pass", "fail")
    ]
    return sorted(found, key=lambda c: not c["counts"])


def detail(answer: Assessment, criterion: str, key: str) -> float | None:
    """An intermediate value of the criteria that measure `criterion`, in the units of the answer; None where it is not
    known."""
    target = SCALES[answer["units"]["system"]]
    for found in answer["criteria"]:
        for row in found["details"] if found["key"] == criterion else ():
            if row["key"] == key and isinstance(row["value"], float):
                return in_units_of(target, row["value"], row["unit"])[0]
    return None


def lever_at(curve: RightingLever, heel: float) -> float:
    """The plotted lever at an angle: straight between the points of the answer; to windward the other way round."""
    if heel < 0.0:
        return -lever_at(curve, -heel)
    heels, levers = curve["heels"], curve["levers"]
    for i in range(1, len(heels)):
        if heel <= heels[i]:
            share = (heel - heels[i - 1]) / (heels[i] - heels[i - 1])
            return levers[i - 1] + share * (levers[i] - levers[i - 1])
    return levers[-1]
