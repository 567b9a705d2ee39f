"""The fleet at a glance, and the feed of changes."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final, cast

from service.actions.access import Caller
from service.actions.list_order import sorting_of
from service.actions.records.transactions import Records
from service.actions.show_condition import last_review_note, record_units
from service.actions.stored_figures import (
    kept_margin,
    listed_load_line_margin,
    listed_stability_margin,
    scaled,
)
from service.storage import (
    BY_ENTRY,
    NEVER,
    NO_VERDICT,
    ConditionFigures,
    FleetLine,
    Head,
    Sorting,
    WorkedOn,
    as_text,
)
from service.storage import Change as ChangeLine
from service.translation.calculation_version import CALCULATION_VERSION
from service.translation.units import METRIC, SCALES, Scale
from service.wire.change import Change, Changes
from service.wire.fields import UnitSystem
from service.wire.fleet import FleetCondition, FleetProof, OtherConditions
from service.wire.fleet import FleetLine as WireLine
from service.wire.record import FeedHead
from service.wire.refusal import Refusal
from service.wire.state import VesselState

_NO_FIGURES: Final = ConditionFigures()


@dataclass(frozen=True)
class FleetChoice:
    """What the fleet is narrowed to, and its order; None leaves open. Several values: any of them. verdicts,
    review_states, phases, voyages: of the condition shown; the rest of the vessel."""

    verdicts: Sequence[str] | None = None
    review_states: Sequence[str] | None = None
    phases: Sequence[str] | None = None
    voyages: Sequence[str] | None = None
    vessels: Sequence[str] | None = None
    imo_numbers: Sequence[str] | None = None
    references: Sequence[str] | None = None
    name: str | None = None
    search: str | None = None
    proofs: Sequence[str] | None = None
    states: Sequence[str] = ("active",)
    sort: str | None = None


def list_fleet(
    records: Records,
    caller: Caller,
    *,
    wanted: FleetChoice,
    units: UnitSystem,
    after: str | None,
    limit: int,
) -> tuple[str, list[WireLine]]:
    """The time of the answer, and every vessel with the condition she sails with, in the order they were entered unless
    `wanted` says otherwise. Raises Refusal for a vessel named that the caller may not see."""
    by_entry = wanted.sort is None or wanted.sort in BY_ENTRY
    with records.reading() as tx:
        for id in wanted.vessels or ():
            caller.require_vessel(id)
            tx.vessels.get(id)
        found = tx.fleet.list(
            vessels=caller.vessels,
            vessel=wanted.vessels,
            imo_number=wanted.imo_numbers,
            reference=wanted.references,
            name=wanted.name,
            verdict=wanted.verdicts,
            review_state=wanted.review_states,
            phase=wanted.phases,
            voyage=wanted.voyages,
            state=wanted.states,
            search=wanted.search,
            proof=wanted.proofs,
            after=after,
            limit=limit,
            sorting=Sorting(wanted.sort or "created") if by_entry else sorting_of(wanted.sort, after),
        )
        worked_on: dict[str, list[WorkedOn]] = {}
        for counted in tx.fleet.worked_on([line.vessel for line in found]):
            worked_on.setdefault(counted.vessel, []).append(counted)
    # Never before what it shows: the clock may have been set back since.
    moment = max(
        [datetime.now(UTC), *(datetime.fromisoformat(line.updated) for line in found if line.updated)]
    )
    return as_text(moment), [
        _line(line, worked_on.get(line.vessel, []), SCALES[units], moment) for line in found
    ]


def count_answered(records: Records, caller: Caller, since: str) -> int:
    """How many conditions that were returned got a new revision after `since`, which nobody reviewed yet."""
    with records.reading() as tx:
        return tx.fleet.count_answered(since, caller.vessels)


def fleet_position(line: WireLine, sort: str | None) -> str:
    """Where a page of the fleet ends with a line, for its cursor."""
    if sort is None or sort in BY_ENTRY:
        return line["vessel"]
    shown = line["condition"]
    values = {
        "name": line["name"],
        "verdict": NO_VERDICT if shown is None else shown["verdict"],
        "updated": NEVER if shown is None else shown["updated"],
    }
    return json.dumps([values[sort.removeprefix("-")], line["vessel"]])


def list_changes(records: Records, caller: Caller, *, after: int, limit: int) -> Changes:
    """Changes numbered above `after`, oldest first, each with the figures of the revision it is about.

    Raises Refusal (feed_rewound) when `after` is beyond the end of the feed.
    """
    with records.reading() as tx:
        head = _feed_head(tx.changes.head())
        if after > head["id"]:
            words = f"The feed ends at change {head['id']}: it was taken back, or {after} is of another feed."
            raise Refusal("feed_rewound", words, head=head)
        found = tx.changes.after(after, limit=limit + 1, vessels=caller.vessels)
        more, found = len(found) > limit, found[:limit]
        figures = tx.conditions.figures_in_feed(after, found[-1].id) if found else {}
    items = [feed_line(change, figures) for change in found]
    return {
        "units": record_units("metric"),
        "items": items,
        "after": items[-1]["id"] if items else after,
        "more": more,
        "head": head,
    }


def _feed_head(last: Head | None) -> FeedHead:
    return {"id": 0, "digest": None} if last is None else {"id": last.id, "digest": last.digest}


def feed_line(change: ChangeLine, figures: Mapping[tuple[str, int], ConditionFigures]) -> Change:
    """A line of the feed with the figures of the revision it is about."""
    kept = figures.get((change.condition or "", change.revision), _NO_FIGURES)
    return {
        "id": change.id,
        "created": change.created,
        "event": change.event,  # type: ignore[typeddict-item]
        "vessel": change.vessel,
        "condition": change.condition,
        "revision": change.revision,
        "review": change.review,
        "verdict": change.verdict,  # type: ignore[typeddict-item]
        "dangers": kept.dangers,
        "least_stability_margin": listed_stability_margin(kept, METRIC),
        "load_line_margin": listed_load_line_margin(kept, METRIC),
        "decision": change.decision,  # type: ignore[typeddict-item]
        "state": change.state,  # type: ignore[typeddict-item]
        "subject": change.subject,
        "digest": change.digest,
    }


def _line(line: FleetLine, worked_on: list[WorkedOn], scale: Scale, moment: datetime) -> WireLine:
    return {
        "id": line.vessel,
        "vessel": line.vessel,
        "reference": line.vessel_reference,
        "name": line.name,
        "imo_number": line.imo_number,
        "state": cast(VesselState, line.vessel_state),
        "proof": _proof(line),
        "condition": None if line.condition is None else _condition(line, scale, moment),
        "others": _others(line, worked_on),
    }


def _proof(line: FleetLine) -> FleetProof | None:
    if line.proof_state is None:
        return None
    proved = {
        "state": line.proof_state,
        "conditions": line.proof_conditions,
        "off": line.proof_off,
        "revision": line.proof_revision,
        "digest": line.proof_digest,
        "calculation_version": line.proof_calculation,
        "is_older": line.proof_revision != line.vessel_head or line.proof_calculation != CALCULATION_VERSION,
    }
    return cast(FleetProof, proved)


def _others(line: FleetLine, worked_on: list[WorkedOn]) -> OtherConditions:
    """What she works on besides the condition that is shown."""
    others = {"count": 0, "fail": 0, "incomplete": 0, "returned": 0, "unreviewed": 0}
    kinds = [(kind.verdict, kind.review_state, kind.conditions) for kind in worked_on]
    if line.state == "worked_on":
        kinds.append((str(line.verdict), str(line.review_state), -1))
    for verdict, review_state, conditions in kinds:
        others["count"] += conditions
        for kind in (verdict, review_state):
            if kind in others:
                others[kind] += conditions
    return cast(OtherConditions, others)


def _condition(line: FleetLine, scale: Scale, moment: datetime) -> FleetCondition:
    assert line.updated is not None
    age = (moment - datetime.fromisoformat(line.updated)).total_seconds()
    shown = {
        "id": line.condition,
        "condition": line.condition,
        "vessel": line.vessel,
        "reference": line.reference,
        "title": line.title,
        "voyage": line.voyage,
        "phase": line.phase,
        "revision": line.head_number,
        "digest": line.head_digest,
        "verdict": line.verdict,
        "dangers": line.dangers,
        "least_stability_margin": listed_stability_margin(line, scale),
        "load_line_margin": listed_load_line_margin(line, scale),
        "smallest_margin": kept_margin(line.smallest_margin_criterion, line.smallest_margin),
        "displacement": scaled(line.displacement, scale.mass),
        "gm_corrected": scaled(line.gm_corrected, scale.length),
        "review_state": line.review_state,
        "state": line.state,
        "returned": last_review_note(line, "returned"),
        "accepted": last_review_note(line, "accepted"),
        "vessel_revision": line.vessel_revision,
        "calculation_version": line.calculation_version,
        "updated": line.updated,
        "author_name": line.author_name,
        "port_from": line.port_from,
        "port_to": line.port_to,
        "draft_aft": scaled(line.draft_aft, scale.length),
        "draft_forward": scaled(line.draft_forward, scale.length),
        "age": max(0.0, age),
    }
    # A line with a condition has all of its members; the record's type cannot say so.
    return cast(FleetCondition, shown)
