"""What is worth saying about the view ahead, beside the verdict."""

from .condition import Condition
from .finding import CAUTION, Finding


def view_findings(condition: Condition) -> list[Finding]:
    """Deck cargo whose top nobody gave. Source: SOLAS V/22.1.1 (under all conditions of deck cargo)."""
    return [
        Finding(
            "deck_cargo_without_top",
            CAUTION,
            ("weights", i),
            "deck cargo without its top: the view from the bridge cannot be judged; give obstructions",
        )
        for i in condition.deck_cargo_without_top
    ]
