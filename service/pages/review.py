"""Review a revision: accept it or return it, and say exactly which one it was."""

import hashlib
from typing import Any

from fastapi import APIRouter, Request
from pydantic import ValidationError
from starlette.responses import Response

from service.actions.records.repeatable_request import RequestName
from service.actions.review_condition import list_reviews, review_condition
from service.actions.show_condition import list_condition_revisions, read_condition_revision
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of, posted, text_of
from service.pages.session import Reader
from service.pages.since_accepted import what_changed
from service.pages.typed import once_of
from service.web.addresses import ConditionAddress, RevisionNumber, identifier
from service.web.caller import in_thread
from service.wire.refusal import Refusal
from service.wire.review import MAX_NOTE, ReviewRequest

router = APIRouter(route_class=PageRoute, include_in_schema=False)
PATH = "/conditions/{condition}/revisions/{number}/review"


@router.get(PATH)
async def get_review(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """The form; not for the author."""
    found = await in_thread(request, _context, request, reader, identifier(condition, "condition"), number)
    return _review_page(request, reader, found)


@router.post(PATH)
async def post_review(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """Keep the decision."""
    form = await posted(request)
    found = await in_thread(request, _context, request, reader, identifier(condition, "condition"), number)
    typed = {name: text_of(form, name) for name in ("decision", "note", "once", "digest")}
    typed["note"] = typed["note"].replace("\r\n", "\n")
    if typed["digest"] != found["record"]["digest"]:
        raise Refusal("conflict", "The revision that was decided on is not the one at this address.")
    if typed["decision"] == "returned" and not typed["note"]:
        return _review_page(
            request, reader, found, typed, "Say why it is returned, so that its author knows what to do."
        )
    try:
        decision = ReviewRequest.model_validate(
            {"decision": typed["decision"], "note": typed["note"] or None}
        )
    except ValidationError:
        wrong = "Choose whether to accept or to return it." if not typed["decision"] else _NOTE_WRONG
        return _review_page(request, reader, found, typed, wrong)
    body = f"{condition} {number} {typed['decision']} {typed['note']}".encode()
    name = RequestName(f"page-{once_of(typed['once'])}", hashlib.sha256(body).hexdigest())
    records = page_parts_of(request).records
    await in_thread(request, review_condition, records, reader.caller, condition, number, decision, name=name)
    return go_to(f"/conditions/{condition}/revisions/{number}/reviewed")


_NOTE_WRONG = f"A note has at most {MAX_NOTE} characters, and none that do not show."


@router.get("/conditions/{condition}/revisions/{number}/reviewed")
async def get_reviewed(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """What was decided, on which revision and digest."""
    identifier(condition, "condition")
    records, caller = page_parts_of(request).records, reader.caller
    reviews = await in_thread(request, list_reviews, records, caller, condition, number)
    record = await in_thread(request, read_condition_revision, records, caller, condition, number)
    if not reviews["items"]:
        return go_to(f"/conditions/{condition}/revisions/{number}")
    return page(
        request,
        "reviewed.html",
        reader,
        twin=f"/v1/conditions/{condition}/revisions/{number}/reviews",
        review=reviews["items"][-1],
        record=record,
    )


def _context(request: Request, reader: Reader, condition: str, number: int) -> dict[str, Any]:
    reader.caller.require("review")
    parts, caller = page_parts_of(request), reader.caller
    record = read_condition_revision(parts.records, caller, condition, number)
    if record["author"]["key"] == caller.key_id:
        raise Refusal("own_revision", "A revision is reviewed by somebody other than its author.")
    history = list_condition_revisions(parts.records, caller, condition, before=None, limit=200)
    units = record["assessment"]["units"]["system"]
    return {
        "record": record,
        "latest": history[0]["revision"],
        "letter": what_changed(parts, caller, condition, number, history, units),
        "earlier": list_reviews(parts.records, caller, condition, number)["items"],
    }


def _review_page(
    request: Request,
    reader: Reader,
    found: dict[str, Any],
    typed: dict[str, str] | None = None,
    wrong: str = "",
) -> Response:
    record = found["record"]
    return page(
        request,
        "review.html",
        reader,
        system=record["assessment"]["units"]["system"],
        status=422 if wrong else 200,
        twin=f"/v1/conditions/{record['condition']}/revisions/{record['revision']}/reviews",
        answer=record["assessment"],
        typed=typed or {"decision": "", "note": ""},
        wrong=wrong,
        once=once_of((typed or {}).get("once")),
        **found,
    )
