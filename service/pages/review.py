"""Review a revision: accept it or return it, and say exactly which one it was."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from pydantic import ValidationError
from starlette.responses import Response

from service.actions.access import Caller
from service.actions.compare_conditions import compare_revisions
from service.actions.records.repeatable_request import RequestName
from service.actions.review_condition import list_reviews, review_condition
from service.actions.show_condition import list_condition_revisions, read_condition_revision
from service.pages.condition import vessel_doubts
from service.pages.conversation import said_about
from service.pages.doubts_here import doubts_that_touch
from service.pages.drawings.hull_shape import HullShape
from service.pages.drawings.righting_lever_plot import Compared, righting_lever_plot
from service.pages.history import change_figure, figure_name, shown_figure
from service.pages.kept_revision import vessel_behind
from service.pages.page import PageParts, PageRoute, WhoReads, go_to, page, page_parts_of, posted, text_of
from service.pages.session import Reader
from service.pages.since_accepted import earlier_revision, what_changed
from service.pages.typed import once_of
from service.pages.waiting import next_waiting
from service.pages.wording import tank_names
from service.web.addresses import ConditionAddress, RevisionNumber, identifier
from service.web.caller import in_thread
from service.wire.assessment import Assessment
from service.wire.comparison import FigureChange
from service.wire.condition_record import ConditionHistoryLine
from service.wire.fields import UnitSystem
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
    wrong = note_missing(found["record"]["assessment"], typed)
    if wrong:
        return _review_page(request, reader, found, typed, wrong)
    try:
        in_force = typed["decision"] == "in_force"
        decided = "accepted" if in_force else typed["decision"]
        decision = ReviewRequest.model_validate(
            {"decision": decided, "note": typed["note"] or None, "in_force": in_force}
        )
    except ValidationError:
        wrong = "Choose whether to accept or to return it." if not typed["decision"] else _NOTE_WRONG
        return _review_page(request, reader, found, typed, wrong)
    body = f"{condition} {number} {typed['decision']} {typed['note']}".encode()
    name = RequestName(f"page-{once_of(typed['once'])}", hashlib.sha256(body).hexdigest())
    records = page_parts_of(request).records
    await in_thread(request, review_condition, records, reader.caller, condition, number, decision, name=name)
    return go_to(f"/conditions/{condition}/revisions/{number}/reviewed")


def is_plain_pass(answer: Assessment) -> bool:
    """Whether she passes and no danger stands beside it: only that is accepted without a word."""
    return answer["verdict"] == "pass" and answer["dangers"] == 0


def note_missing(answer: Assessment, typed: Mapping[str, str]) -> str:
    """Why a note is needed that was not written; empty where none is."""
    if typed["note"]:
        return ""
    if typed["decision"] == "returned":
        return "Say why it is returned, so that its author knows what to do."
    if typed["decision"] in ("accepted", "in_force") and not is_plain_pass(answer):
        return "This is not a plain pass: say what you accept in spite of it, or what the ship must do."
    return ""


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
        waiting=await in_thread(request, next_waiting, page_parts_of(request), caller, condition),
    )


def _context(request: Request, reader: Reader, condition: str, number: int) -> dict[str, Any]:
    reader.caller.require("review")
    parts, caller = page_parts_of(request), reader.caller
    record = read_condition_revision(parts.records, caller, condition, number)
    if record["author"]["key"] == caller.key_id:
        raise Refusal("own_revision", "A revision is reviewed by somebody other than its author.")
    history = list_condition_revisions(parts.records, caller, condition, before=None, limit=200)
    line = next(line for line in history if line["revision"] == number)
    answer: Assessment = record["assessment"]
    system = answer["units"]["system"]
    vessel = vessel_behind(parts, caller, record)
    touching, others = doubts_that_touch(answer, vessel, vessel_doubts(parts, caller, record))
    return {
        "record": record,
        "latest": history[0]["revision"],
        "letter": what_changed(parts, caller, condition, number, history, system),
        "reviews": said_about(parts, caller, line, history),
        "names": tank_names(vessel),
        "shape": HullShape.of(vessel, system),
        "doubts": touching,
        "other_doubts": len(others),
        "waiting": next_waiting(parts, caller, condition),
        "plain": is_plain_pass(answer),
        "before": _before(parts, caller, condition, number, history, system),
    }


@dataclass(frozen=True)
class Before:
    """The revision that this one is held against: its number, its answer and the figures that differ."""

    number: int
    answer: Assessment
    figures: list[FigureChange]


def _before(
    parts: PageParts,
    caller: Caller,
    condition: str,
    number: int,
    history: Sequence[ConditionHistoryLine],
    system: UnitSystem,
) -> Before | None:
    """None for a first revision."""
    since = earlier_revision(number, history)
    if since is None:
        return None
    compared = compare_revisions(
        parts.records, parts.assessor, caller, condition, since, number, units=system
    )
    answer = read_condition_revision(parts.records, caller, condition, since, system)["assessment"]
    return Before(since, answer, [row for row in compared["figures"] if row["name"] in FIGURES])


FIGURES = (
    *("gm_corrected", "displacement", "draft_aft", "draft_forward", "trim", "list"),
    *("free_surface_correction", "vcg_corrected", "maximum_lever", "down_flooding_angle"),
)
"""What stands before and after, in this order."""


def _review_page(
    request: Request,
    reader: Reader,
    found: dict[str, Any],
    typed: dict[str, str] | None = None,
    wrong: str = "",
) -> Response:
    record, before = found["record"], found["before"]
    answer: Assessment = record["assessment"]
    system = answer["units"]["system"]
    curve = None if before is None else before.answer["righting_lever"]
    compared = (
        None
        if curve is None
        else Compared(f"revision {before.number}", curve, f"revision {record['revision']}")
    )
    return page(
        request,
        "review.html",
        reader,
        system=system,
        status=422 if wrong else 200,
        twin=f"/v1/conditions/{record['condition']}/revisions/{record['revision']}/reviews",
        answer=answer,
        plot=righting_lever_plot(answer, compared=compared),
        figure_name=figure_name,
        shown_figure=lambda row, value: shown_figure(row, value, system),
        change_figure=lambda row: change_figure(row, system),
        typed=typed or {"decision": "", "note": ""},
        wrong=wrong,
        once=once_of((typed or {}).get("once")),
        **found,
    )
