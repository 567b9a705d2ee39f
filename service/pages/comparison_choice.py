"""The choice of the condition that another one is compared with: a page of hers at a time, found as on her own page."""

from typing import Any

from service.actions.access import Caller
from service.actions.compare_conditions import RevisionName
from service.actions.records.transactions import Records
from service.actions.show_condition import read_condition
from service.actions.show_vessel import list_vessel_revisions
from service.pages.condition_search import REVIEWS, STATES, VERDICTS, Search, found_by


def choice_of_another(records: Records, caller: Caller, last: RevisionName, search: Search) -> dict[str, Any]:
    """What the page of the choice shows; last: the condition that stands as the one after. Raises Refusal."""
    record, _ = read_condition(records, caller, last.condition)
    found = found_by(records, caller, record["vessel"], search)
    return {
        "record": record,
        "ship": list_vessel_revisions(records, caller, record["vessel"], before=None, limit=1)[0]["name"],
        "number": last.number or record["revision"],
        "search": search,
        "choices": {"verdict": VERDICTS, "state": STATES, "review": REVIEWS},
        "found": found,
        "has_others": any(line["id"] != last.condition for line in found.lines),
    }
