"""The condition page: verdict, why, what changed, detail, record."""

from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from pydantic_core import from_json
from starlette.responses import Response

from service.actions.show_condition import list_condition_revisions, show_condition, show_condition_revision
from service.pages import wording
from service.pages.address import ConditionId, RevisionNumber, known_form, other, units_asked
from service.pages.changed import what_changed
from service.pages.environment import figures_for
from service.pages.session import Reader
from service.pages.show import PageRoute, Pages, WhoReads, in_thread, page, state_of
from service.wire.assessment import Assessment

router = APIRouter(route_class=PageRoute, include_in_schema=False)
LONGEST_HISTORY = 200


@router.get("/conditions/{condition}")
async def get_condition(request: Request, reader: WhoReads, condition: ConditionId) -> Response:
    """The latest revision."""
    return await _shown(request, reader, known_form(condition, "condition"), None)


@router.get("/conditions/{condition}/revisions/{number}")
async def get_revision(
    request: Request, reader: WhoReads, condition: ConditionId, number: RevisionNumber
) -> Response:
    """One revision."""
    return await _shown(request, reader, known_form(condition, "condition"), number)


async def _shown(request: Request, reader: Reader, condition: str, number: int | None) -> Response:
    found = await in_thread(request, _found, request, reader, condition, number)
    record: dict[str, Any] = found["record"]
    answer: Assessment = record["assessment"]
    system = answer["units"]["system"]
    order = "cost" if request.query_params.get("order") == "cost" else "ship"
    path = f"/conditions/{condition}" + ("" if number is None else f"/revisions/{number}")
    return page(
        request,
        "kept_condition.html",
        reader,
        system=system,
        twin=f"/v1{path}" + ("" if found["units"] is None else f"?units={system}"),
        answer=answer,
        record=record,
        history=found["history"],
        latest=found["history"][0]["revision"],
        state=found["state"],
        letter=found["letter"],
        standing=standing(record),
        found=wording.tank_findings(answer),
        body=detail_of(state_of(request).pages, answer, order, record["digest"]),
        other_units=f"{path}?units={other(system)}",
        may_edit=reader.may("write_condition"),
        may_review=reader.may("review") and record["author"]["key"] != reader.caller.key_id,
        own=reader.may("review") and record["author"]["key"] == reader.caller.key_id,
        banner=_BANNERS.get(request.query_params.get("done", ""), ""),
    )


_BANNERS = {
    "kept": "Kept as a new revision. It has not been reviewed yet.",
    "entered": "Kept. It has not been reviewed yet.",
}


def _found(request: Request, reader: Reader, condition: str, number: int | None) -> dict[str, Any]:
    """The revision, its history and what changed; on a thread."""
    records, caller = state_of(request).records, reader.caller
    units = units_asked(request.query_params.get("units"))
    if number is None:
        text, _ = show_condition(records, caller, condition, units)
    else:
        text, _ = show_condition_revision(records, caller, condition, number, units)
    record = from_json(text)
    history = list_condition_revisions(records, caller, condition, before=None, limit=LONGEST_HISTORY)
    own = next((line for line in history if line["revision"] == record["revision"]), None)
    letter = what_changed(
        state_of(request),
        caller,
        condition,
        record["revision"],
        history,
        record["assessment"]["units"]["system"],
    )
    return {
        "record": record,
        "units": units,
        "history": history,
        "state": "unreviewed" if own is None else own["review_state"],
        "letter": letter,
    }


def detail_of(pages: Pages, answer: Assessment, order: str, digest: str | None) -> Markup:
    """Everything below the first screen; made once for a kept revision."""
    system = answer["units"]["system"]
    context = {
        "answer": answer,
        "order": order,
        "found": wording.tank_findings(answer),
        **figures_for(system),
    }
    if digest is None:
        return Markup(pages.environment.get_template("_assessment.html").render(context))  # noqa: S704 - autoescaped
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
