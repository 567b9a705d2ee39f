"""Her draft amidships, with the sag or hog of her hull where one is given: that draft is held against her mark."""

from typing import Final

from service.wire.assessment import Assessment
from service.wire.figures import number

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
    straight, deflection, system = (
        answer["flotation"]["draft_midship"],
        deflection_of(answer),
        answer["units"]["system"],
    )
    if straight is None or not deflection:
        return f"amidships {number(straight, 'draft', system)}"
    both, shown, size = (
        number(value, "lever", system) for value in (straight + deflection, straight, abs(deflection))
    )
    beside = "and" if deflection > 0.0 else "less"
    return f"amidships {both}: {shown} {beside} {size} of {sag_or_hog(deflection)}"
