"""What the addresses share that ask something about a vessel and keep nothing: limits, remedies, tests."""

from collections.abc import Callable
from functools import partial

from fastapi import Request
from starlette.responses import Response

from service.actions.access import Caller
from service.actions.assess import Answer, PreparedVessel
from service.actions.request_members import Members
from service.api.record_exchange import refuse_query
from service.api.request_body import read_body
from service.web.parts import parts_of


async def answer_question(
    request: Request, caller: Caller, answer: Callable[[Members, PreparedVessel], Answer]
) -> Response:
    """`answer` to the posted question, as `Assessor.answer_about_vessel` calls it; computed in a thread, as any request
    that takes its time. Raises Refusal and what a parameter is refused with."""
    await refuse_query(request)
    parts, body = parts_of(request), await read_body(request)
    work = partial(parts.assessor.within(caller.vessels).answer_about_vessel, body, answer)
    return Response(await parts.slots.run(work, text=len(body)), media_type="application/json")
