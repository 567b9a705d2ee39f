"""Everything the one-page report of a revision is set from, for page and interface alike."""

from typing import Any, NamedTuple

from pydantic_core import from_json

from service.actions.access import Caller
from service.actions.records.transactions import Records
from service.actions.review_condition import list_reviews
from service.actions.show_condition import list_condition_revisions, read_condition_revision
from service.actions.show_vessel import show_vessel
from service.wire.fields import UnitSystem
from service.wire.refusal import Refusal
from service.wire.review import Review


class ReportData(NamedTuple):
    """A revision as the API gives it, its reviews, the number of the latest revision, the vessel document that it was
    judged by."""

    record: dict[str, Any]
    reviews: list[Review]
    latest: int
    vessel: dict[str, Any]


def report_data(
    records: Records, caller: Caller, condition: str, number: int, units: UnitSystem | None
) -> ReportData:
    """What is kept, in units. Raises Refusal (unknown_condition, unknown_revision)."""
    record = read_condition_revision(records, caller, condition, number, units)
    reviews = list_reviews(records, caller, condition, number)["items"]
    latest = list_condition_revisions(records, caller, condition, before=None, limit=1)[0]["revision"]
    text, _ = show_vessel(records, caller, record["vessel"], record["vessel_revision"])
    return ReportData(record, reviews, latest, from_json(text)["document"])


def require_plan(record: dict[str, Any]) -> None:
    """Raises Refusal where the revision has no plan to report."""
    if record["assessment"].get("plan") is None:
        raise Refusal("invalid_query", "This revision has no plan.")
