"""The condition page: verdict, why, what changed, detail, record."""

from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from service.actions.show_condition import list_condition_revisions, read_condition_revision
from service.pages import wording
from service.pages.entered_weights import weights_one_by_one
from service.pages.environment import figures_for
from service.pages.page import PageParts, PageRoute, Pages, WhoReads, page, page_parts_of
from service.pages.session import Reader
from service.pages.since_accepted import earlier_revision, what_changed
from service.web.addresses import ConditionAddress, RevisionNumber, identifier, other_system, units_asked
from service.web.caller import in_thread
from service.wire.assessment import Assessment
from service.wire.condition_record import ConditionHistoryLine
from service.wire.fields import UnitSystem
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
LONGEST_HISTORY = 200


@router.get("/conditions/{condition}")
async def get_condition(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """The latest revision."""
    return await _condition_page(request, reader, identifier(condition, "condition"), None)


@router.get("/conditions/{condition}/revisions/{number}")
async def get_revision(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """One revision."""
    return await _condition_page(request, reader, identifier(condition, "condition"), number)


async def _condition_page(request: Request, reader: Reader, condition: str, number: int | None) -> Response:
    path = f"/conditions/{condition}" + ("" if number is None else f"/revisions/{number}")
    units = units_asked(request.query_params.get("units"))
    title, content = await in_thread(
        request, _title_and_content, request, reader, condition, number, path, units
    )
    return page(
        request,
        "made.html",
        reader,
        twin=f"/v1{path}" + ("" if units is None else f"?units={units}"),
        title=title,
        content=content,
        banner=_BANNERS.get(request.query_params.get("done", ""), ""),
    )


_BANNERS = {
    "kept": "Stored as a new revision. It has not been reviewed yet.",
    "entered": "Stored. It has not been reviewed yet.",
}


def _title_and_content(
    request: Request, reader: Reader, condition: str, number: int | None, path: str, units: UnitSystem | None
) -> tuple[Markup, Markup]:
    """Title and content of the page: kept while neither the revision nor what it depends on changes; on a thread."""
    parts, caller = page_parts_of(request), reader.caller
    history = list_condition_revisions(parts.records, caller, condition, before=None, limit=LONGEST_HISTORY)
    line = next((line for line in history if number in (None, line["revision"])), None)
    if line is None:
        raise Refusal("unknown_revision", f"There is no revision {number} of the condition at this address.")
    order = "cost" if request.query_params.get("order") == "cost" else "ship"
    since = earlier_revision(line["revision"], history)
    earlier = next((h["review_state"] for h in history if h["revision"] == since), None)
    author = line["author"]["key"] == caller.key_id
    may = (reader.may("write_condition"), reader.may("review"), author)
    latest = history[0]["revision"]
    key = (line["digest"], line["review_state"], latest, since, earlier, path, units, order, may)
    title, content = (parts.pages.pieces.known((part, *key)) for part in ("title", "content"))
    if title is None or content is None:
        record = read_condition_revision(parts.records, caller, condition, line["revision"], units)
        context = _context(parts, reader, record, history, line, order, path)
        title = parts.pages.piece(("title", *key), "_title.html", context)
        content = parts.pages.piece(("content", *key), "_kept_condition.html", context)
    return title, content


def _context(
    parts: PageParts,
    reader: Reader,
    record: dict[str, Any],
    history: list[ConditionHistoryLine],
    line: ConditionHistoryLine,
    order: str,
    path: str,
) -> dict[str, Any]:
    answer: Assessment = record["assessment"]
    system = answer["units"]["system"]
    number = line["revision"]
    letter = what_changed(parts, reader.caller, line["condition"], number, history, system)
    own = reader.may("review") and line["author"]["key"] == reader.caller.key_id
    return {
        **figures_for(system),
        "answer": answer,
        "record": record,
        "latest": history[0]["revision"],
        "state": line["review_state"],
        "letter": letter,
        "standing": standing(record),
        "found": wording.tank_findings(answer),
        "body": detail_of(parts.pages, answer, order, record["digest"]),
        "other_units": f"{path}?units={other_system(system)}",
        "entered": weights_one_by_one(record),
        "may_edit": reader.may("write_condition"),
        "may_review": reader.may("review") and not own,
        "own": own,
    }


def detail_of(pages: Pages, answer: Assessment, order: str, digest: str) -> Markup:
    """Everything below the first screen."""
    system = answer["units"]["system"]
    context = {
        "answer": answer,
        "order": order,
        "found": wording.tank_findings(answer),
        **figures_for(system),
    }
    return pages.piece(("assessment", digest, system, order), "_assessment.html", context)


def standing(record: dict[str, Any]) -> str:
    """Voyage, revision, author: what somebody says first when asked which condition this is."""
    voyage = record["document"].get("voyage") or {}
    parts = []
    if voyage.get("number"):
        parts.append(f"Voyage {voyage['number']}")
    if voyage.get("from") or voyage.get("to"):
        parts.append(f"{voyage.get('from', 'port not named')} to {voyage.get('to', 'port not named')}")
    if voyage.get("phase"):
        parts.append(voyage["phase"].replace("_", " "))
    made = (
        f"Revision {record['revision']}, {wording.moment(record['created'])}, by {record['author']['name']}."
    )
    return wording.sentence(", ".join(parts)) + (" " if parts else "") + made
