"""Her draft amidships, with the sag or hog of her hull where one is given: that draft is held against her mark."""

from typing import Final

from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import number
from service.wire.plan_answer import PlanPoint

SEEN: Final = 0.0005
"""Deflections below this print as nothing. Where one is shown drafts have three decimals, so that the sum agrees."""


def deflection_of(answer: Assessment) -> float:
    """How much deeper she is amidships than a straight keel, in the lengths of the answer, positive sagging; zero where
    none is given or none shows."""
    line = answer.get("load_line")
    deflection = 0.0 if line is None else line["deflection"]
    return deflection if sag_or_hog(deflection) else 0.0


def sag_or_hog(deflection: float | None) -> str:
    """What a deflection is called, positive sagging; empty where there is none or none shows."""
    if deflection is None or abs(deflection) < SEEN:
        return ""
    return "sag" if deflection > 0.0 else "hog"


def amidships_in_words(answer: Assessment) -> str:
    """Both drafts amidships: "amidships 6.12", or "amidships 6.173: 6.120 and 0.053 of sag". Her drafts are known."""
    straight, system = answer["flotation"]["draft_midship"], answer["units"]["system"]
    return f"amidships {_both(straight, deflection_of(answer), system)}"


def deflection_at(point: PlanPoint) -> float:
    """The same of a point of a plan; zero where an older answer does not say."""
    deflection = point.get("deflection") or 0.0
    return deflection if sag_or_hog(deflection) else 0.0


def amidships_at(point: PlanPoint, system: UnitSystem) -> str:
    """Both drafts amidships at a point of a plan: "6.12", or "6.173: 6.120 and 0.053 of sag"."""
    return _both(point["draft_midship"], deflection_at(point), system)


def _both(straight: float | None, deflection: float, system: UnitSystem) -> str:
    if straight is None or not deflection:
        return number(straight, "draft", system)
    both, shown, size = (
        number(value, "lever", system) for value in (straight + deflection, straight, abs(deflection))
    )
    beside = "and" if deflection > 0.0 else "less"
    return f"{both}: {shown} {beside} {size} of {sag_or_hog(deflection)}"
