"""Kept conditions as the wire shows them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

import pydantic_core

from service.actions.access import Caller
from service.actions.list_order import sorting_of
from service.actions.records.entity_tag import tag_of_condition
from service.actions.records.transactions import Records, moment_text
from service.actions.show_vessel import with_texts
from service.actions.stored_figures import (
    kept_margin,
    listed_load_line_margin,
    listed_stability_margin,
    scaled,
)
from service.storage import (
    Condition,
    ConditionHistoryLine,
    ConditionRevision,
    ConditionRevisionLine,
    Filter,
    FleetLine,
    ListedCondition,
    Review,
    reference_of,
)
from service.translation.conversion import converted
from service.translation.older_answer import in_present_shape
from service.translation.units import SCALES, Scale
from service.wire import condition_record as wire
from service.wire.fields import UnitSystem
from service.wire.record import Author, RecordUnits, ReviewState
from service.wire.state import ConditionState, ReviewNote

NOT_WITHDRAWN = ("worked_on", "in_force", "put_aside")


@dataclass(frozen=True)
class ConditionChoice:
    """What a list of conditions is narrowed to, and its order; None leaves open. Several values: any of them."""

    vessels: Sequence[str] | None = None
    verdicts: Sequence[str] | None = None
    review_states: Sequence[str] | None = None
    phases: Sequence[str] | None = None
    references: Sequence[str] | None = None
    voyages: Sequence[str] | None = None
    imo_numbers: Sequence[str] | None = None
    states: Sequence[str] | None = None
    title: str | None = None
    words: str | None = None
    author: str | None = None
    updated_after: datetime | None = None
    updated_before: datetime | None = None
    created_after: datetime | None = None
    created_before: datetime | None = None
    sort: str | None = None


def condition_tag(head: Condition) -> str:
    """The tag of a condition's present state: its revision, how often its state was set, how many reviews there are."""
    return tag_of_condition(head.head_number, head.states, head.reviews)


def show_condition(
    records: Records, caller: Caller, id: str, units: UnitSystem | None = None
) -> tuple[str, str]:
    """The latest revision of a condition, its state and that of its reviews, as JSON text, and the condition's tag."""
    with records.reading() as tx:
        head = tx.conditions.get(id)
        caller.require_vessel(head.vessel, "condition")
        kept = tx.conditions.revision(id, head.head_number)
        reviewed = head.review_state != "unreviewed"
        last = tx.reviews.of(id, head.head_number)[-1] if reviewed else None
    members = {
        "review_state": head.review_state,
        "state": head.state,
        "returned": review_note(head.review_state, "returned", last),
        "accepted": review_note(head.review_state, "accepted", last),
    }
    return condition_text(kept, members, units), condition_tag(head)


def show_condition_revision(
    records: Records, caller: Caller, id: str, number: int, units: UnitSystem | None = None
) -> tuple[str, str]:
    """One revision as JSON text, and its digest: the same for ever."""
    with records.reading() as tx:
        caller.require_vessel(tx.conditions.get(id).vessel, "condition")
        kept = tx.conditions.revision(id, number)
    return condition_text(kept, None, units), kept.digest


def read_condition(records: Records, caller: Caller, id: str) -> tuple[dict[str, Any], str]:
    """The latest revision for a reader, its assessment in the present shape, and the condition's tag."""
    text, tag = show_condition(records, caller, id)
    return _readable(text), tag


def read_condition_revision(
    records: Records, caller: Caller, id: str, number: int, units: UnitSystem | None = None
) -> dict[str, Any]:
    """One revision for a reader: its assessment in the present shape, whichever calculation made it."""
    return _readable(show_condition_revision(records, caller, id, number, units)[0])


def _readable(text: str) -> dict[str, Any]:
    record: dict[str, Any] = pydantic_core.from_json(text)
    record["assessment"] = in_present_shape(record["assessment"])
    return record


def list_conditions(
    records: Records,
    caller: Caller,
    *,
    vessel: str | None,
    wanted: ConditionChoice,
    units: UnitSystem,
    before: str | None,
    limit: int,
) -> list[wire.ConditionLine]:
    """Conditions the caller may see, the one entered last first unless `wanted` says otherwise.

    vessel: whose conditions alone are listed. Withdrawn ones are left out unless states are asked for, those of
    withdrawn vessels unless a vessel is named.
    """
    narrowed = _filter_of(caller, vessel, wanted)
    with records.reading() as tx:
        for id in (vessel,) if vessel is not None else wanted.vessels or ():
            caller.require_vessel(id)
            tx.vessels.get(id)
        sorting = sorting_of(wanted.sort, before)
        found = tx.conditions.list(narrowed, before=before, limit=limit, sorting=sorting)
    return [condition_line(head, SCALES[units]) for head in found]


def count_conditions(records: Records, caller: Caller, *, vessel: str, wanted: ConditionChoice) -> int:
    """How many conditions of a vessel `list_conditions` would list in all. Raises Refusal."""
    caller.require_vessel(vessel)
    with records.reading() as tx:
        return tx.conditions.count(_filter_of(caller, vessel, wanted))[0]


def _filter_of(caller: Caller, vessel: str | None, wanted: ConditionChoice) -> Filter:
    named = vessel is not None or bool(wanted.vessels)
    return Filter(
        vessels=caller.vessels,
        vessel=vessel if vessel is not None else wanted.vessels,
        verdict=wanted.verdicts,
        review_state=wanted.review_states,
        phase=wanted.phases,
        reference=wanted.references,
        voyage=wanted.voyages,
        imo_number=wanted.imo_numbers,
        title=wanted.title,
        words=wanted.words,
        author=wanted.author,
        updated_after=moment_text(wanted.updated_after),
        updated_before=moment_text(wanted.updated_before),
        created_after=moment_text(wanted.created_after),
        created_before=moment_text(wanted.created_before),
        states=wanted.states or NOT_WITHDRAWN,
        of_active=not named,
    )


def list_condition_revisions(
    records: Records,
    caller: Caller,
    id: str,
    *,
    before: int | None,
    limit: int,
    units: UnitSystem = "metric",
) -> list[wire.ConditionHistoryLine]:
    """Revisions of a condition with the state of their reviews, newest first."""
    with records.reading() as tx:
        caller.require_vessel(tx.conditions.get(id).vessel, "condition")
        found = tx.conditions.history(id, before=before, limit=limit)
    return [history_line(kept, SCALES[units]) for kept in found]


def review_note(state: str | None, wanted: str, last: Review | None) -> ReviewNote | None:
    """What the reviewer of the latest revision said, where the last review is of the wanted kind."""
    if last is None or state != wanted:
        return None
    return {
        "who": {"key": last.author_key, "name": last.author_name},
        "when": last.created,
        "note": last.note,
    }


def last_review_note(line: ListedCondition | FleetLine, wanted: str) -> ReviewNote | None:
    """The same of a line of a list."""
    if line.review_state != wanted or line.reviewer_key is None or line.reviewed is None:
        return None
    who = {"key": line.reviewer_key, "name": line.reviewer_name or ""}
    return {"who": cast(Author, who), "when": line.reviewed, "note": line.review_note}


def record_units(units: UnitSystem) -> RecordUnits:
    """Units of the figures of a list."""
    names = SCALES[units].names
    return {"system": names["system"], "length": names["length"], "mass": names["mass"]}


def condition_line(head: ListedCondition, scale: Scale) -> wire.ConditionLine:
    """A condition in a list."""
    return {
        "id": head.id,
        "condition": head.id,
        "vessel": head.vessel,
        "reference": head.reference,
        "title": head.title,
        "voyage": head.voyage,
        "phase": head.phase,  # type: ignore[typeddict-item]
        "revision": head.head_number,
        "digest": head.head_digest,
        "verdict": head.verdict,  # type: ignore[typeddict-item]
        "dangers": head.dangers,
        "least_stability_margin": listed_stability_margin(head, scale),
        "load_line_margin": listed_load_line_margin(head, scale),
        "smallest_margin": kept_margin(head.smallest_margin_criterion, head.smallest_margin),
        "displacement": scaled(head.displacement, scale.mass),
        "gm_corrected": scaled(head.gm_corrected, scale.length),
        "review_state": head.review_state,  # type: ignore[typeddict-item]
        "state": cast(ConditionState, head.state),
        "returned": last_review_note(head, "returned"),
        "accepted": last_review_note(head, "accepted"),
        "vessel_revision": head.vessel_revision,
        "calculation_version": head.calculation_version,
        "created": head.created,
        "updated": head.updated,
        "author": {"key": head.author_key, "name": head.author_name},
    }


def condition_revision_line(kept: ConditionRevisionLine) -> wire.ConditionRevisionLine:
    """A revision without its texts."""
    return {
        "id": kept.condition,
        "condition": kept.condition,
        "vessel": kept.vessel,
        "revision": kept.number,
        "title": kept.title,
        "voyage": kept.voyage,
        "phase": kept.phase,  # type: ignore[typeddict-item]
        "verdict": kept.verdict,  # type: ignore[typeddict-item]
        "dangers": kept.dangers,
        "smallest_margin": kept_margin(kept.smallest_margin_criterion, kept.smallest_margin),
        "vessel_revision": kept.vessel_revision,
        "vessel_digest": kept.vessel_digest,
        "rule_sets": pydantic_core.from_json(kept.rule_sets),
        "calculation_version": kept.calculation_version,
        "created": kept.created,
        "author": {"key": kept.author_key, "name": kept.author_name},
        "reason": kept.reason,
        "digest": kept.digest,
        "previous_digest": kept.previous,
        "request_id": kept.request_id,
    }


def history_line(kept: ConditionHistoryLine, scale: Scale) -> wire.ConditionHistoryLine:
    """A revision in the history, figures in units of `scale`."""
    return {
        **condition_revision_line(kept),
        "least_stability_margin": listed_stability_margin(kept, scale),
        "load_line_margin": listed_load_line_margin(kept, scale),
        "review_state": cast(ReviewState, kept.review_state),
    }


def condition_text(
    kept: ConditionRevision, of_head: Mapping[str, Any] | None = None, units: UnitSystem | None = None
) -> str:
    """A revision as JSON text, its document and assessment byte for byte as they are kept; with members `of_head`.

    With `units` other than those of the assessment, the assessment is converted.
    """
    members = {
        **condition_revision_line(kept),
        "reference": reference_of(kept.document),
        **(of_head or {}),
    }
    assessment = kept.assessment
    if units is not None:
        answer = pydantic_core.from_json(assessment)
        if answer["units"]["system"] != units:
            assessment = pydantic_core.to_json(converted(answer, SCALES[units])).decode()
    return with_texts(members, document=kept.document, assessment=assessment)
