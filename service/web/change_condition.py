"""Judge a condition and store it as a revision: the one way in, for API and pages alike."""

from functools import partial

from service.actions.access import Caller
from service.actions.keep_condition import Draft, kept_in
from service.actions.records.repeatable_request import Made, Once
from service.web.parts import RecordParts


async def change_condition(
    parts: RecordParts, caller: Caller, draft: Draft, reason: str | None, name: Once | None = None
) -> Made:
    """The stored revision of a draft, committed. It is judged and written together with others that wait.

    name: the sender's name for a request that may be repeated. Raises Refusal (stale when somebody else was faster,
    busy when the waiting room is full)."""
    judged = await parts.judge_queue.judged(caller, draft, reason)
    return await parts.writer_queue.keep(partial(kept_in, caller=caller, done=judged, name=name))
