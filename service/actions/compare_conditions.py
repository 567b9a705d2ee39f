"""Two kept revisions of a condition, or of two of one vessel, side by side: what was changed, and what it did.

Only what is kept is read; nothing is computed, unless `reassess` asks for today's answers beside the kept ones.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple

import pydantic_core

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.comparison.assessments import (
    criterion_changes,
    figure_changes,
    rule_set_changes,
    tank_changes,
)
from service.actions.comparison.documents import document_changes
from service.actions.comparison.plans import plan_worst_changes
from service.actions.comparison.weights import Placing, weight_changes
from service.actions.reassess import reassessed
from service.actions.records.transactions import Records
from service.actions.show_condition import history_line
from service.actions.show_vessel import MAX_CHANGES
from service.storage import ConditionHistoryLine, ConditionRevision, Transaction
from service.translation.conversion import converted, factors
from service.translation.older_answer import in_present_shape
from service.translation.units import SCALES, Scale
from service.wire.assessment import CAUTION, Assessment
from service.wire.comparison import Comparison
from service.wire.fields import UnitSystem
from service.wire.refusal import Refusal


@dataclass(frozen=True)
class _Side:
    """One of the two revisions: as kept, its document, its answer in the reader's units, her booklet then."""

    kept: ConditionRevision
    line: ConditionHistoryLine
    document: dict[str, Any]
    answer: Assessment
    vessel: dict[str, Any]


class RevisionName(NamedTuple):
    """A revision of a condition; the latest where `number` is None."""

    condition: str
    number: int | None


def compare_conditions(
    records: Records,
    assessor: Assessor,
    caller: Caller,
    first: RevisionName,
    last: RevisionName,
    *,
    units: UnitSystem | None = None,
    reassess: bool = False,
) -> Comparison:
    """What differs between two revisions of any two conditions of one vessel. Raises Refusal (invalid_query)."""
    with records.reading() as tx:
        heads = [tx.conditions.get(each.condition) for each in (first, last)]
        for head in heads:
            caller.require_vessel(head.vessel, "condition")
        if heads[0].vessel != heads[1].vessel:
            raise Refusal("invalid_query", "Conditions of one vessel are compared, and these are of two.")
        since, to = (
            tx.conditions.revision(head.id, each.number or head.head_number)
            for head, each in zip(heads, (first, last), strict=True)
        )
        before, after, scale = _sides(tx, since, to, units)
    return _compared(assessor, before, after, scale, reassess)


def compare_revisions(
    records: Records,
    assessor: Assessor,
    caller: Caller,
    id: str,
    first: int | None,
    last: int | None,
    *,
    units: UnitSystem | None = None,
    reassess: bool = False,
) -> Comparison:
    """What changed from revision `first` to `last`; by default from the one before the latest to the latest."""
    with records.reading() as tx:
        head = tx.conditions.get(id)
        caller.require_vessel(head.vessel, "condition")
        to = tx.conditions.revision(id, last or head.head_number)
        since = tx.conditions.revision(id, first or max(1, to.number - 1))
        before, after, scale = _sides(tx, since, to, units)
    return _compared(assessor, before, after, scale, reassess)


def _sides(
    tx: Transaction, since: ConditionRevision, to: ConditionRevision, units: UnitSystem | None
) -> tuple[_Side, _Side, Scale]:
    """Both sides in the reader's units, those of the later document where he names none."""
    scale = SCALES[units or pydantic_core.from_json(to.document)["units"]]
    before = _side(tx, since, scale, None)
    return before, _side(tx, to, scale, before), scale


def _compared(assessor: Assessor, before: _Side, after: _Side, scale: Scale, reassess: bool) -> Comparison:
    criteria = criterion_changes(before.answer, after.answer)
    return {
        "condition": after.kept.condition,
        "vessel": after.kept.vessel,
        "units": scale.names,
        "revision_from": history_line(before.line, scale),
        "revision_to": history_line(after.line, scale),
        "verdict": {"before": before.answer["verdict"], "after": after.answer["verdict"]},
        "dangers": {"before": before.answer["dangers"], "after": after.answer["dangers"]},
        "flips": [row for row in criteria if row["flipped"]],
        "criteria": criteria,
        "figures": figure_changes(before.answer, after.answer),
        "tanks": tank_changes(before.answer, after.answer),
        "weights": weight_changes(_placing(before), _placing(after), scale),
        "rule_sets": rule_set_changes(before.answer, after.answer),
        **plan_worst_changes(before.answer, after.answer),  # type: ignore[typeddict-item]
        "other": document_changes(_rest(before.document, scale), _rest(after.document, scale)),
        "vessel_changes": document_changes(before.vessel, after.vessel)[:MAX_CHANGES],
        "reassessed": [reassessed(assessor, side.kept) for side in (before, after)] if reassess else None,
        "caution": CAUTION,
    }


def _side(tx: Transaction, kept: ConditionRevision, scale: Scale, other: _Side | None) -> _Side:
    line = tx.conditions.history(kept.condition, before=kept.number + 1, limit=1)[0]
    if other is not None and other.kept.vessel_revision == kept.vessel_revision:
        vessel = other.vessel
    else:
        vessel = pydantic_core.from_json(tx.vessels.revision(kept.vessel, kept.vessel_revision).document)
    answer = in_present_shape(converted(pydantic_core.from_json(kept.assessment), scale))
    return _Side(kept, line, pydantic_core.from_json(kept.document), answer, vessel)


def _placing(side: _Side) -> Placing:
    return Placing(side.document, side.vessel)


def _rest(document: dict[str, Any], scale: Scale) -> dict[str, Any]:
    """The document without tanks and weights, figures with dimensions in units of `scale`."""
    rest = {name: value for name, value in document.items() if name not in ("tanks", "weights")}
    by = factors(SCALES[document["units"]], scale)
    if rest.get("wind_additions"):
        rest["wind_additions"] = [
            {
                **entry,
                "area": entry["area"] * by["area"],
                "centroid_height": entry["centroid_height"] * by["length"],
            }
            for entry in rest["wind_additions"]
        ]
    if rest.get("grain"):
        by_name = {
            "volume": by["volume"],
            "stowage_factor": by["volume"] / by["mass"],
            "heeling_moment": by["length"] ** 4,
        }
        rest["grain"] = [
            {
                name: value * by_name[name] if name in by_name and value is not None else value
                for name, value in entry.items()
            }
            for entry in rest["grain"]
        ]
    observed = rest.get("observed")
    if observed and observed.get("drafts"):
        drafts = {
            name: {side: read * by["length"] for side, read in draft.items()}
            if isinstance(draft, dict)
            else draft * by["length"]
            for name, draft in observed["drafts"].items()
        }
        rest["observed"] = {**observed, "drafts": drafts}
    return rest
