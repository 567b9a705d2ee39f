"""The whole history of one condition as one JSON file, to be kept or read in elsewhere with its digests intact.

The file is an object: `form` ("condition history 1"), `vessel` {id, revisions[]}, `condition` {id, revisions[],
reviews[]}. Where the condition ever had a state, `form` is "condition history 2" and there is `condition.states[]`.
Each entry holds all fields that a record of its form has, texts byte for byte; the vessel's revisions are there from
the first to the newest one that a revision of the condition was judged by. A release that knows form 1 alone takes a
file in which no revision is of a later one. States of the vessel are not of the condition's history.

The digests show that nothing in the file was changed; they do not show who made it. Compare the digest of the last
revision with the one its source shows.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple, TypeVar

from sqlalchemy import select

from .condition import CONDITION_REVISIONS
from .condition_records import ConditionRevision
from .digest import Chain, later_fields
from .errors import Broken, Conflict
from .review import Review
from .state import ConditionState
from .transaction import Transaction
from .vessel import VESSEL_REVISIONS, VesselRevision

FORM = "condition history 1"
FORM_WITH_STATES = "condition history 2"


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import added; zeros when all of it was there already."""

    vessel: str
    condition: str
    vessel_revisions: int
    condition_revisions: int
    reviews: int
    states: int = 0


def export_history(tx: Transaction, condition: str) -> str:
    """The file of one condition, as text. Raises NotFound."""
    head = tx.conditions.get(condition)
    revisions = [
        {name: value for name, value in row.items() if name not in later_fields("condition_revision", row)}
        for row in _all(tx, CONDITION_REVISIONS, CONDITION_REVISIONS.c.condition == condition)
    ]
    pinned = max(revision["vessel_revision"] for revision in revisions)
    v = VESSEL_REVISIONS.c
    vessel = _all(tx, VESSEL_REVISIONS, v.vessel == head.vessel, v.number <= pinned)
    states = [state.values() for state in reversed(tx.states.of(condition))]
    return json.dumps(
        {
            "form": FORM_WITH_STATES if states else FORM,
            "vessel": {"id": head.vessel, "revisions": vessel},
            "condition": {
                "id": condition,
                "revisions": revisions,
                "reviews": [review.values() for review in tx.reviews.of(condition)],
                **({"states": states} if states else {}),
            },
        },
        ensure_ascii=False,
        indent=1,
    )


def import_history(tx: Transaction, text: str) -> Imported:
    """Read a file in; `tx` is a writing transaction. What is there already is compared and left alone.

    Raises Conflict for a file of another form, when another history stands under the same id, and when it was in force
    while another condition of the vessel is so here; Broken for a chain that does not hold. Leave the transaction by
    that exception: then nothing is kept.
    """
    vessel_id, vessel, condition_id, revisions, reviews, states = _parse(text)
    pins = {revision.number: revision.digest for revision in vessel}
    for revision in revisions:
        if revision.vessel != vessel_id or pins.get(revision.vessel_revision) != revision.vessel_digest:
            raise Broken(
                "condition_revision", condition_id, revision.number, "was judged by a vessel not in the file"
            )
    digests = {revision.number: revision.digest for revision in revisions}
    for kind, about in (("review", reviews), ("condition_state", states)):
        for event in about:
            if digests.get(event.revision) != event.revision_digest:
                raise Broken(kind, condition_id, event.number, "is about a revision not in the file")

    known = _known(tx, VESSEL_REVISIONS, "vessel", vessel_id)
    new_vessel = _beyond("vessel", vessel_id, vessel, known)
    known = _known(tx, CONDITION_REVISIONS, "condition", condition_id)
    new_revisions = _beyond("condition", condition_id, revisions, known)
    new_reviews = _beyond(
        "review", condition_id, reviews, {r.number: r.digest for r in tx.reviews.of(condition_id)}
    )
    new_states = _beyond(
        "state", condition_id, states, {s.number: s.digest for s in tx.states.of(condition_id)}
    )
    for vessel_revision in new_vessel:
        tx.vessels.keep(vessel_revision)
    for revision in new_revisions:
        tx.conditions.keep(revision)
    for review in new_reviews:
        tx.reviews.keep(review)
    for state in new_states:
        tx.states.keep(state)
    return Imported(
        vessel_id, condition_id, len(new_vessel), len(new_revisions), len(new_reviews), len(new_states)
    )


def _all(tx: Transaction, table: Any, *where: Any) -> list[dict[str, Any]]:
    rows = tx.statements.execute(select(table).where(*where).order_by(table.c.number))
    return [dict(row) for row in rows.mappings()]


def _known(tx: Transaction, table: Any, parent: str, id: str) -> dict[int, str]:
    rows = tx.statements.execute(select(table.c.number, table.c.digest).where(table.c[parent] == id))
    return {number: digest for number, digest in rows}  # noqa: C416 (rows are not pairs to a type checker)


class _File(NamedTuple):
    vessel: str
    vessel_revisions: list[VesselRevision]
    condition: str
    revisions: list[ConditionRevision]
    reviews: list[Review]
    states: list[ConditionState]


def _parse(text: str) -> _File:
    try:
        file = json.loads(text)
        if file["form"] not in (FORM, FORM_WITH_STATES):
            raise Conflict(f"a file of another form: {file['form']}")
        vessel, condition = file["vessel"], file["condition"]
        states = condition["states"] if file["form"] == FORM_WITH_STATES else []
        return _File(
            vessel["id"],
            _chain("vessel_revision", "vessel", vessel["id"], vessel["revisions"], VesselRevision),
            condition["id"],
            _chain(
                "condition_revision", "condition", condition["id"], condition["revisions"], ConditionRevision
            ),
            _chain("review", "condition", condition["id"], condition["reviews"], Review),
            _chain("condition_state", "condition", condition["id"], states, ConditionState),
        )
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise Conflict("not a file of a condition's history") from error


R = TypeVar("R", VesselRevision, ConditionRevision, Review, ConditionState)


def _chain(kind: str, parent: str, id: str, rows: list[Mapping[str, Any]], record: type[R]) -> list[R]:
    chain = Chain(kind, id)
    records = []
    for row in rows:
        if row[parent] != id or set(row) != set(record.model_fields) - set(later_fields(kind, row)):
            raise Broken(kind, id, chain.number + 1, "has other fields than a record has")
        made = record.model_validate(row)
        chain.follow(made.values())
        records.append(made)
    if kind.endswith("_revision") and not records:
        raise Conflict(f"a file without a {kind}")
    return records


def _beyond(kind: str, id: str, records: list[R], known: Mapping[int, str]) -> list[R]:
    """The records after those already kept, which must be the same."""
    for record in records:
        if record.number in known and known[record.number] != record.digest:
            raise Conflict(f"another history of {kind} {id} is kept here, from number {record.number} on")
    return [record for record in records if record.number not in known]
