"""Conditions of one vessel that come together, one a line: judged where there is room, kept with others.

Each line has a `reference`. A line that its key has sent before enters nothing new: it is answered with what it made.
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import pydantic_core

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.keep_condition import Draft, Judged, draft_new, judge
from service.actions.records.audit_note import write_audit_line
from service.actions.records.transactions import Records
from service.actions.taken import keep_reference, taken
from service.storage import ConditionRevision, Transaction, canonical
from service.wire.parse import parse_json
from service.wire.problem import error
from service.wire.refusal import Refusal

LineAnswer = bytes | Exception
"""The answer to a line, or what it was refused with."""


@dataclass(frozen=True, slots=True)
class BulkDrafts:
    """Lines to be judged: a task for a worker process."""

    lines: list[bytes]
    caller: Caller
    vessel: str
    reason: str | None
    json_depth: int

    def results(self, assessor: Assessor) -> Iterator[Judged | Exception]:
        """Each line judged, or what it was refused with. Her data are found once for all of them."""
        together = assessor.finding_once()
        for line in self.lines:
            try:
                result: Judged | Exception = self._judged(together, line)
            except Exception as fault:  # noqa: BLE001 - told in the answer to this line
                result = fault
            yield result

    def _judged(self, assessor: Assessor, line: bytes) -> Judged:
        document = parse_json(line, max_depth=self.json_depth)
        reference = _required_reference(document)
        try:
            judged = judge(assessor, self.caller, draft_new(self.caller, self.vessel, document), self.reason)
        except Refusal as refused:
            refused.reference = reference
            raise
        # The document goes back as the text that is kept; of its members keeping needs these.
        names = {"id": document.get("id"), "reference": reference}
        return Judged(Draft(self.vessel, names), judged.entry, judged.shown, judged.facts)


def require_stored(records: Records, vessel: str) -> None:
    """Raises Refusal where there is no such vessel."""
    with records.reading() as tx:
        tx.vessels.get(vessel)


def known_lines(records: Records, caller: Caller, lines: Sequence[bytes]) -> list[LineAnswer | None]:
    """For each line the answer it had when this key sent it before, None where it is new.

    Whether a line is what it was then is decided by its document, not by its bytes.
    """
    documents = [_document(line) for line in lines]
    given = {document["reference"] for document in documents if document is not None}
    with records.reading() as tx:
        before = tx.references.find_all(caller.key_id, "condition", given) if given else {}
        return [None if each is None else _known(tx, before, each) for each in documents]


def bulk_work(caller: Caller, judged: Sequence[Judged]) -> Callable[[Transaction], list[LineAnswer]]:
    """What to do in the writing transaction for some judged lines: a line that is refused keeps none of the others
    from being kept.
    """
    return partial(_keep, caller=caller, judged=judged)


def _document(line: bytes) -> dict[str, Any] | None:
    """A line that may have been sent before; whatever is wrong with it is said where it is judged."""
    try:
        document = pydantic_core.from_json(line)
    except ValueError:
        return None
    if not isinstance(document, dict) or not isinstance(document.get("reference"), str):
        return None
    return document


def _known(tx: Transaction, before: Mapping[str, str], document: dict[str, Any]) -> LineAnswer | None:
    id = before.get(document["reference"])
    if id is None:
        return None
    try:
        text = canonical(document)
    except ValueError:
        return None
    return _replayed(tx.conditions.revision(id, 1), document["reference"], text)


def _replayed(kept: ConditionRevision, reference: str, document: str) -> LineAnswer:
    """The answer to a line whose reference was used; its refusal where it was another condition's."""
    if kept.document == document:
        return _line(kept, reference, replayed=True)
    words = f"This key gave this reference to the condition {kept.condition}, which is another one."
    return _refused(taken("reference", words), reference)


def _refused(refusal: Refusal, reference: str) -> Refusal:
    refusal.reference = reference
    return refusal


def _keep(tx: Transaction, caller: Caller, judged: Sequence[Judged]) -> list[LineAnswer]:
    """Asked once for all of them what is taken, so that their rows go to the database together."""
    names = [each.draft.document for each in judged]
    before = tx.references.find_all(caller.key_id, "condition", {each["reference"] for each in names})
    ids = {each["id"] for each in names if each["id"] is not None}
    present = tx.conditions.taken(ids) if ids else set()
    entered: dict[str, ConditionRevision] = {}
    answers: list[LineAnswer] = []
    for each, name in zip(judged, names, strict=True):
        id, reference = name["id"], name["reference"]
        kept = entered.get(reference)
        if kept is None and reference in before:
            kept = tx.conditions.revision(before[reference], 1)
        if kept is not None:
            answers.append(_replayed(kept, reference, each.entry.document))
        elif id in present:
            answers.append(_refused(taken("id", "There is a condition of this id."), reference))
        else:
            entered[reference] = kept = _entered(tx, caller, each, id, reference)
            present.add(kept.condition)
            answers.append(_line(kept, reference, replayed=False))
    return answers


def _entered(
    tx: Transaction, caller: Caller, judged: Judged, id: str | None, reference: str
) -> ConditionRevision:
    kept = tx.conditions.create(
        judged.draft.vessel, judged.entry, id=id, shown=judged.shown, facts=judged.facts
    )
    keep_reference(tx, caller, "condition", reference, kept.condition)
    write_audit_line(
        tx,
        caller,
        "create_condition",
        201,
        reason=kept.reason,
        vessel=kept.vessel,
        condition=kept.condition,
        revision=1,
        digest_after=kept.digest,
    )
    return kept


def _line(kept: ConditionRevision, reference: str, *, replayed: bool) -> bytes:
    shown: dict[str, Any] = {
        "reference": reference,
        "condition": kept.condition,
        "vessel": kept.vessel,
        "revision": kept.number,
        "digest": kept.digest,
        "verdict": kept.verdict,
        "dangers": kept.dangers,
        "created": kept.created,
        "replayed": replayed,
    }
    return json.dumps(shown, ensure_ascii=False, separators=(",", ":")).encode()


def _required_reference(document: dict[str, Any]) -> str | None:
    """The reference of a line; its form is checked with the rest of the document. Raises Refusal without one."""
    reference = document.get("reference")
    if reference is None:
        wrong = [error(("reference",), "missing", "This member is required: it names the line.")]
        raise Refusal("invalid_request", "The line has no reference.", wrong)
    return reference if isinstance(reference, str) else None
