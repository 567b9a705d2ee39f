"""What is worth saying about the view ahead, beside the verdict."""

from .condition import Condition
from .finding_kinds import Finding, finding


def view_findings(condition: Condition) -> list[Finding]:
    """Deck cargo whose top nobody gave. Source: SOLAS V/22.1.1 (under all conditions of deck cargo)."""
    return [finding("deck_cargo_without_top", ("weights", i)) for i in condition.deck_cargo_without_top]
