"""What waits for a reviewer after this."""

from dataclasses import dataclass

from service.actions.access import Caller
from service.actions.show_condition import ConditionChoice, list_conditions
from service.actions.show_vessel import list_vessel_revisions
from service.pages.page import PageParts
from service.wire.condition_record import ConditionLine

LONGEST = 200


@dataclass(frozen=True)
class Waiting:
    """The condition that has waited longest, the name of its ship, and how many more there are."""

    line: ConditionLine
    ship: str
    more: int


def next_waiting(parts: PageParts, caller: Caller, but: str) -> Waiting | None:
    """Of conditions in force or worked on that nobody reviewed and that this caller may review; None where there
    is none beside `but`."""
    found = list_conditions(
        parts.records,
        caller,
        vessel=None,
        wanted=ConditionChoice(
            review_states=["unreviewed"], states=["worked_on", "in_force"], sort="updated"
        ),
        units="metric",
        before=None,
        limit=LONGEST,
    )
    own = [line for line in found if line["id"] != but and line["author"]["key"] != caller.key_id]
    if not own:
        return None
    first = min(own, key=lambda line: line["updated"])
    ship = list_vessel_revisions(parts.records, caller, first["vessel"], before=None, limit=1)[0]["name"]
    return Waiting(first, ship, len(own) - 1)
