"""Set the state of a condition or a vessel: events that are kept, one condition in force per vessel at most."""

from typing import Any, cast

from pydantic_core import to_json

from service.actions.access import Caller
from service.actions.records.audit_note import write_audit_line
from service.actions.records.entity_tag import require_state, require_tag
from service.actions.records.repeatable_request import RequestName, WriteResult, answer_once
from service.actions.records.transactions import Records
from service.actions.show_condition import condition_tag
from service.actions.show_vessel import vessel_tag
from service.actions.taken import taken
from service.storage import Condition, ConditionState, StateEntry, Transaction, VesselState
from service.wire import state as wire
from service.wire.refusal import Refusal

MOST_EVENTS = 100


def set_condition_state(
    records: Records,
    caller: Caller,
    id: str,
    request: wire.ConditionStateRequest,
    *,
    expected: frozenset[str],
    name: RequestName | None = None,
) -> WriteResult:
    """Keep the new state of a condition whose revision and state are those of a tag among `expected`.

    What it is already, by its latest revision, is not kept again. Raises Refusal: stale; conflict where a withdrawn
    vessel would sail.
    """
    caller.require("set_state")
    with records.writing() as tx:
        caller.require_vessel(tx.conditions.get(id).vessel, "condition")

        def make() -> WriteResult:
            head = tx.conditions.get(id)
            require_state(condition_tag(head), expected, head.head_number)
            append_state(tx, caller, head, request.state, request.reason)
            text, tag = _condition_state(tx, id)
            return WriteResult(text, f"/v1/conditions/{id}/state", tag)

        return answer_once(tx, caller, name, make, 200)


def append_state(tx: Transaction, caller: Caller, head: Condition, state: str, reason: str | None) -> None:
    """Append the event, and the one that puts the former condition in force aside. Raises Refusal (conflict)."""
    last = tx.states.of(head.id, limit=1)
    if head.state == state and (not last or last[0].revision == head.head_number):
        return
    former = None
    if state == "in_force":
        if tx.vessels.get(head.vessel).state == "withdrawn":
            raise Refusal("conflict", "The vessel is withdrawn. Make her active first.")
        former = tx.states.in_force(head.vessel)
    kept = tx.states.append(head.id, _entry(caller, state, reason))
    if former not in (None, head.id):
        [aside] = tx.states.of(str(former), limit=1)
        _note(tx, caller, aside.state, aside, head.vessel, aside.condition)
    _note(tx, caller, state, kept, head.vessel, head.id)


def show_condition_state(records: Records, caller: Caller, id: str) -> tuple[str, str]:
    """State and events of a condition as JSON text, and the condition's tag."""
    with records.reading() as tx:
        caller.require_vessel(tx.conditions.get(id).vessel, "condition")
        return _condition_state(tx, id)


def set_vessel_state(
    records: Records,
    caller: Caller,
    id: str,
    request: wire.VesselStateRequest,
    *,
    expected: frozenset[str] | None,
    name: RequestName | None = None,
) -> WriteResult:
    """Keep the new state of a vessel. Raises Refusal: stale where `expected` names another revision of her;
    imo_number_taken where another active vessel has her number by now.
    """
    caller.require("add_vessel")
    caller.require_vessel(id)
    with records.writing() as tx:

        def make() -> WriteResult:
            head = tx.vessels.get(id)
            if expected is not None:
                require_tag(vessel_tag(head), expected, head.head_number)
            if head.state != request.state:
                number = head.imo_number
                if request.state == "active" and number and tx.vessels.with_imo_number(number) is not None:
                    raise taken("imo_number", "There is an active vessel of this IMO number.")
                kept = tx.states.append_vessel(id, _entry(caller, request.state, request.reason))
                _note(tx, caller, request.state, kept, id, None)
            text, tag = _vessel_state(tx, id)
            return WriteResult(text, f"/v1/vessels/{id}/state", tag)

        return answer_once(tx, caller, name, make, 200)


def show_vessel_state(records: Records, caller: Caller, id: str) -> tuple[str, str]:
    """State and events of a vessel as JSON text, and her tag."""
    caller.require_vessel(id)
    with records.reading() as tx:
        return _vessel_state(tx, id)


def _entry(caller: Caller, state: str, reason: str | None) -> StateEntry:
    return StateEntry(
        state=state,
        reason=reason,
        author_key=caller.key_id,
        author_name=caller.name,
        request_id=caller.request_id,
    )


def _note(
    tx: Transaction,
    caller: Caller,
    state: str,
    kept: ConditionState | VesselState,
    vessel: str,
    condition: str | None,
) -> None:
    write_audit_line(
        tx,
        caller,
        "set_vessel_state" if condition is None else "set_condition_state",
        200,
        reason=": ".join(words for words in (state, kept.reason) if words),
        vessel=vessel,
        condition=condition,
        revision=kept.revision,
        digest_before=kept.previous,
        digest_after=kept.digest,
    )


def _condition_state(tx: Transaction, id: str) -> tuple[str, str]:
    head = tx.conditions.get(id)
    record: wire.ConditionStateRecord = {
        "id": id,
        "condition": id,
        "vessel": head.vessel,
        "state": cast(wire.ConditionState, head.state),
        "events": [
            cast(wire.ConditionStateEvent, {**_event(kept), "replaced_by": kept.replaced_by})
            for kept in tx.states.of(id, limit=MOST_EVENTS)
        ],
    }
    return to_json(record).decode(), condition_tag(head)


def _vessel_state(tx: Transaction, id: str) -> tuple[str, str]:
    head = tx.vessels.get(id)
    record: wire.VesselStateRecord = {
        "id": id,
        "vessel": id,
        "state": cast(wire.VesselState, head.state),
        "events": [
            cast(wire.VesselStateEvent, _event(kept)) for kept in tx.states.of_vessel(id, limit=MOST_EVENTS)
        ],
    }
    return to_json(record).decode(), vessel_tag(head)


def _event(kept: ConditionState | VesselState) -> dict[str, Any]:
    return {
        "number": kept.number,
        "state": kept.state,
        "revision": kept.revision,
        "revision_digest": kept.revision_digest,
        "reason": kept.reason,
        "author": {"key": kept.author_key, "name": kept.author_name},
        "created": kept.created,
        "digest": kept.digest,
        "previous_digest": kept.previous,
    }
