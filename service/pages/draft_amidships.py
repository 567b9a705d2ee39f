"""Her draft amidships, with the sag or hog of her hull where one is given: that draft is held against her mark."""

from typing import Final

from service.wire.assessment import Assessment
from service.wire.figures import number

SEEN: Final = 0.005
"""Deflections below this print as nothing."""


def deflection_of(answer: Assessment) -> float:
    """How much deeper she is amidships than a straight keel, in the lengths of the answer, positive sagging; zero where
    none is given or none shows."""
    line = answer.get("load_line")
    deflection = 0.0 if line is None else line["deflection"]
    return deflection if abs(deflection) >= SEEN else 0.0


def amidships_in_words(answer: Assessment) -> str:
    """Both drafts amidships: "amidships 6.12", "amidships 6.17: 6.12 and 0.05 of sag". Where her drafts are known."""
    straight, deflection, system = (
        answer["flotation"]["draft_midship"],
        deflection_of(answer),
        answer["units"]["system"],
    )
    shown = number(straight, "draft", system)
    if straight is None or not deflection:
        return f"amidships {shown}"
    both = number(straight + deflection, "draft", system)
    size = number(abs(deflection), "draft", system)
    beside = f"and {size} of sag" if deflection > 0.0 else f"less {size} of hog"
    return f"amidships {both}: {shown} {beside}"
