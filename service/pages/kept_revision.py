"""A kept revision of a condition as pages work with it: its record, the vessel behind it, the request to judge it
again, and what comes of a question about it."""

from collections.abc import Awaitable, Callable, Mapping
from functools import partial
from typing import Any, TypeVar

from fastapi import Request
from pydantic_core import from_json

from service.actions.access import Caller
from service.actions.assess import Answer, PreparedVessel
from service.actions.request_members import Members
from service.actions.show_condition import read_condition_revision
from service.actions.show_vessel import show_vessel
from service.pages.page import PageParts, page_parts_of
from service.web.addresses import identifier, units_asked
from service.web.caller import in_thread
from service.wire.fields import UnitSystem
from service.wire.plan_answer import PlanAnswer
from service.wire.refusal import Refusal

T = TypeVar("T")
Record = dict[str, Any]
Question = Callable[[Members, PreparedVessel], Answer]


async def answer_or_refusal(asked: Awaitable[T]) -> tuple[T | None, Refusal | None]:
    """What comes of a question that a page asks, or why it is refused. Raises Refusal (busy): that is a page of its
    own."""
    try:
        return await asked, None
    except Refusal as refused:
        if refused.code == "busy":
            raise
        return None, refused


async def worked_out_once(
    parts: PageParts, caller: Caller, key: tuple[object, ...], text: bytes, question: Question
) -> Any:
    """The answer to a question about a vessel, kept in memory under `key` for whoever asks again. Raises Refusal."""
    answer = parts.pages.pieces.known(key)
    if answer is None:
        work = partial(parts.assessor.within(caller.vessels).answer_about_vessel, text, question)
        answer = await parts.slots.run(work, text=len(text))
        parts.pages.pieces.value(key, lambda: answer)
    return from_json(answer)


async def record_of(request: Request, caller: Caller, condition: str, number: int) -> Record:
    """The record in the units that the query asks for, else in its own. Raises Refusal."""
    units = units_asked(request.query_params.get("units"))
    records = page_parts_of(request).records
    id = identifier(condition, "condition")
    return await in_thread(request, read_condition_revision, records, caller, id, number, units)


def record_with_vessel(
    parts: PageParts, caller: Caller, condition: str, number: int, units: UnitSystem | None = None
) -> tuple[Record, dict[str, Any]]:
    """The record and the vessel document that it was judged by. Raises Refusal."""
    record = read_condition_revision(parts.records, caller, condition, number, units)
    return record, vessel_behind(parts, caller, record)


def vessel_behind(parts: PageParts, caller: Caller, record: Mapping[str, Any]) -> dict[str, Any]:
    """The vessel document that a revision was judged by."""
    text, _ = show_vessel(parts.records, caller, record["vessel"], record["vessel_revision"])
    document: dict[str, Any] = from_json(text)["document"]
    return document


def plan_in(record: Record) -> PlanAnswer:
    """The plan of a revision's answer. Raises Refusal (not_found) where it has none."""
    plan: PlanAnswer | None = record["assessment"].get("plan")
    if plan is None:
        raise Refusal("not_found", "This revision has no plan.")
    return plan


def request_again(record: Mapping[str, Any], **more: Any) -> dict[str, Any]:
    """The request to assess the revision with the data of then, and more members of it."""
    return {
        "vessel_id": record["vessel"],
        "vessel_revision": record["vessel_revision"],
        "condition": record["document"],
        **more,
    }


def request_of_start(record: Mapping[str, Any]) -> dict[str, Any]:
    """The request to assess what is aboard at the start: the revision without its plan."""
    return request_again({**record, "document": {k: v for k, v in record["document"].items() if k != "plan"}})
