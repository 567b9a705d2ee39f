"""What would do: single changes of one tank at which everything holds, each judged in full, and the way there.

A page of its own, because it takes seconds. Nothing is recorded by it; what was found stays in
memory for whoever asks again.
"""

from collections.abc import Mapping
from typing import Any, Literal

from fastapi import APIRouter, Request
from pydantic_core import to_json
from starlette.responses import Response

from service.actions.propose_remedy import remedies
from service.pages.kept_revision import answer_or_refusal, record_with_vessel, request_again, worked_out_once
from service.pages.page import PageRoute, WhoReads, page, page_parts_of
from service.pages.pictures import short_name
from service.pages.sheet import form
from service.pages.sheet.layout import kept_lines
from service.pages.wording import share_words
from service.web.addresses import ConditionAddress, RevisionNumber, identifier
from service.web.caller import in_thread

router = APIRouter(route_class=PageRoute, include_in_schema=False)
MOST = 8
LEAST_MOVED = 0.05
"""Mass under which a tank is not moved: it shows as 0.0."""
Mode = Literal["single", "shift"]


@router.get("/conditions/{condition}/revisions/{number}/what-would-do")
async def get_remedies(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """A page that waits, at once; the whole of it with `wait=1`, what was found alone with `part=found`. Computed in
    its turn among the calculations, and shown at once to whoever asks again."""
    parts, caller = page_parts_of(request), reader.caller
    mode: Mode = "shift" if request.query_params.get("mode") == "shift" else "single"
    record, vessel = await in_thread(
        request, record_with_vessel, parts, caller, identifier(condition, "condition"), number
    )
    has_plan = bool(record["document"].get("plan"))
    text = _question(record, mode)
    found, refused = None, None
    key = ("remedies", record["digest"], record["vessel_digest"], mode)
    alone = request.query_params.get("part") == "found"
    waits = not (
        alone or has_plan or request.query_params.get("wait") == "1" or parts.pages.pieces.known(key)
    )
    if not has_plan and not waits:
        found, refused = await answer_or_refusal(worked_out_once(parts, caller, key, text, remedies))
    answer = record["assessment"]
    return page(
        request,
        "_remedies_found.html" if alone else "remedies.html",
        reader,
        system=answer["units"]["system"],
        record=record,
        answer=answer,
        base=f"/conditions/{condition}/revisions/{number}",
        mode=mode,
        found=found,
        has_plan=has_plan,
        waits=waits,
        found_in_words=found_in_words(found),
        in_order=found is not None and _nothing_to_change(found),
        nothing_moves=lambda one: _is_still(one["moved"]),
        refused=refused,
        ballast=[tank["name"] for tank in vessel["tanks"] if tank["contents"] == "ballast"],
        pointer_name=lambda pointer: pointer_name(pointer, answer, vessel),
        fields_of=lambda document: _fields(document, vessel),
        may_edit=reader.may("write_condition"),
    )


def _question(record: Mapping[str, Any], mode: Mode) -> bytes:
    """The request to `POST /v1/remedies`: her stored data, the kept condition, the kind of change."""
    count = {"count": MOST} if mode == "single" else {}
    return to_json(request_again(record, mode=mode, **count))


def _nothing_to_change(found: Mapping[str, Any]) -> bool:
    """Whether everything holds already: no tank of any proposal moves."""
    if found["mode"] == "single":
        return bool(found["remedies"]) and all(_is_still(one["moved"]) for one in found["remedies"])
    return found["outcome"] == "solved" and not found["changes"]


def found_in_words(found: Mapping[str, Any] | None) -> str:
    """What came of the search in a few words, for whoever waited for it without seeing the page."""
    if found is None:
        return "It was not worked out."
    if _nothing_to_change(found):
        return "Worked out: nothing has to change."
    if found["mode"] == "single":
        count = len(found["remedies"])
        changes = share_words(count, "change", "changes") if count else "no single change"
        return f"Worked out: {changes} at which everything holds."
    return {"solved": "Worked out: one way.", "conflict": "Worked out: there is none."}.get(
        found["outcome"], "Worked out: none was found."
    )


def _is_still(mass: float) -> bool:
    return abs(mass) < LEAST_MOVED


def pointer_name(pointer: str, answer: Any, vessel: Mapping[str, Any]) -> str:
    """A pointer of an answer about remedies as people say it."""
    kind, _, rest = pointer.partition("/")
    if kind == "criteria":
        row = next((c for c in answer["criteria"] if c["id"] == rest), None)
        return rest if row is None else short_name(row)
    if kind == "tanks":
        id, _, what = rest.partition("/")
        name = next((tank["name"] for tank in vessel["tanks"] if tank["id"] == id), id)
        return f"{name}, {what}"
    return pointer


def _fields(document: dict[str, Any], vessel: dict[str, Any]) -> dict[str, str]:
    """The fields of the sheet for a proposed condition; none where the sheet would lose a part of it."""
    return {} if kept_lines(document) else form.fields_of(document, vessel)
