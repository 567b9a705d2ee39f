"""Where records name one another: queries for those that do not agree. A sound database answers each with no row."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Select, Table, and_, func, or_, select

from .change import CHANGES
from .condition import CONDITION_REVISIONS, CONDITIONS
from .review import REVIEWS
from .state import CONDITION_STATES, VESSEL_STATES
from .vessel import VESSEL_REVISIONS, VESSELS


@dataclass(frozen=True, slots=True)
class CrossReference:
    """`statement` gives id and number of each record of `kind` for which the `reason` is true."""

    statement: Select[Any]
    kind: str
    reason: str


_V, _C, _R, _F = VESSEL_REVISIONS.c, CONDITION_REVISIONS.c, REVIEWS.c, CHANGES.c
_CS, _VS = CONDITION_STATES.c, VESSEL_STATES.c

_OF_VESSEL = and_(_F.event == "vessel_revision", _F.vessel == _V.vessel, _F.revision == _V.number)
_OF_CONDITION = and_(_F.event == "condition_revision", _F.condition == _C.condition, _F.revision == _C.number)
_OF_REVIEW = and_(_F.event == "review", _F.condition == _R.condition, _F.review == _R.number)
_OF_CONDITION_STATE = and_(_F.condition == _CS.condition, _F.state_number == _CS.number)
_OF_VESSEL_STATE = and_(_F.condition.is_(None), _F.vessel == _VS.vessel, _F.state_number == _VS.number)


def _unmatched(id: Any, number: Any, other: Table, on: Any, wrong: Any) -> Select[Any]:
    return select(id, number).join_from(id.table, other, on, isouter=True).where(wrong).order_by(id, number)


def _differs(left: ColumnElement[Any], right: ColumnElement[Any]) -> ColumnElement[bool]:
    return or_(right.is_(None), left != right)


def _creation(kind: str, parents: Table, revisions: Table) -> CrossReference:
    first = and_(revisions.c[kind] == parents.c.id, revisions.c.number == 1)
    return CrossReference(
        select(parents.c.id, revisions.c.number)
        .join_from(parents, revisions, first)
        .where(parents.c.created != revisions.c.created),
        kind,
        "shows another time of creation than its first revision",
    )


def _judged_by() -> CrossReference:
    pinned = and_(_V.vessel == _C.vessel, _V.number == _C.vessel_revision)
    return CrossReference(
        _unmatched(_C.condition, _C.number, VESSEL_REVISIONS, pinned, _differs(_C.vessel_digest, _V.digest)),
        "condition_revision",
        "was judged by another revision of the vessel than the one that is there",
    )


def _reviewed() -> CrossReference:
    on = and_(_C.condition == _R.condition, _C.number == _R.revision)
    return CrossReference(
        _unmatched(_R.condition, _R.number, CONDITION_REVISIONS, on, _differs(_R.revision_digest, _C.digest)),
        "review",
        "is about another revision than the one that is there",
    )


def _state_at() -> CrossReference:
    on = and_(_C.condition == _CS.condition, _C.number == _CS.revision)
    return CrossReference(
        _unmatched(
            _CS.condition, _CS.number, CONDITION_REVISIONS, on, _differs(_CS.revision_digest, _C.digest)
        ),
        "condition_state",
        "is about another revision than the one that is there",
    )


def _vessel_state_at() -> CrossReference:
    on = and_(_V.vessel == _VS.vessel, _V.number == _VS.revision)
    return CrossReference(
        _unmatched(_VS.vessel, _VS.number, VESSEL_REVISIONS, on, _differs(_VS.revision_digest, _V.digest)),
        "vessel_state",
        "is about another revision than the one that is there",
    )


def _one_in_force() -> CrossReference:
    sails = CONDITIONS.c.state == "in_force"
    statement = select(CONDITIONS.c.vessel, func.count()).where(sails).group_by(CONDITIONS.c.vessel)
    return CrossReference(
        statement.having(func.count() > 1),
        "vessel",
        "has several conditions in force, so many as the number says",
    )


def _review_state() -> CrossReference:
    at_head = and_(_R.condition == CONDITIONS.c.id, _R.revision == CONDITIONS.c.head_number)
    last = select(_R.decision).where(at_head).order_by(_R.number.desc()).limit(1).correlate(CONDITIONS)
    state = func.coalesce(last.scalar_subquery(), "unreviewed")
    return CrossReference(
        select(CONDITIONS.c.id, CONDITIONS.c.head_number).where(CONDITIONS.c.review_state != state),
        "condition",
        "shows another review state than its last review",
    )


def _in_the_feed(kind: str, id: Any, number: Any, on: Any) -> CrossReference:
    return CrossReference(
        _unmatched(id, number, CHANGES, on, _differs(id.table.c.digest, _F.subject)),
        kind,
        "is not the one the feed of changes names",
    )


def _of_the_feed(kind: str, id: Any, on: Any, *more: Any) -> CrossReference:
    missing = and_(_F.event == kind, id.is_(None), *more)
    return CrossReference(
        _unmatched(_F.vessel, _F.id, id.table, on, missing), "change", f"names a {kind} that is not there"
    )


CROSS_REFERENCES = (
    _creation("vessel", VESSELS, VESSEL_REVISIONS),
    _creation("condition", CONDITIONS, CONDITION_REVISIONS),
    _judged_by(),
    _reviewed(),
    _review_state(),
    _state_at(),
    _vessel_state_at(),
    _one_in_force(),
    _in_the_feed("vessel_revision", _V.vessel, _V.number, _OF_VESSEL),
    _in_the_feed(
        "condition_revision",
        _C.condition,
        _C.number,
        and_(_OF_CONDITION, _F.vessel == _C.vessel, _F.verdict == _C.verdict),
    ),
    _in_the_feed(
        "review",
        _R.condition,
        _R.number,
        and_(_OF_REVIEW, _F.revision == _R.revision, _F.decision == _R.decision),
    ),
    _in_the_feed(
        "condition_state",
        _CS.condition,
        _CS.number,
        and_(_OF_CONDITION_STATE, _F.revision == _CS.revision, _F.state == _CS.state),
    ),
    _in_the_feed(
        "vessel_state",
        _VS.vessel,
        _VS.number,
        and_(_OF_VESSEL_STATE, _F.revision == _VS.revision, _F.state == _VS.state),
    ),
    _of_the_feed("vessel_revision", _V.vessel, _OF_VESSEL),
    _of_the_feed("condition_revision", _C.condition, _OF_CONDITION),
    _of_the_feed("review", _R.condition, _OF_REVIEW),
    _of_the_feed("state", _CS.condition, _OF_CONDITION_STATE, _F.condition.is_not(None)),
    _of_the_feed("state", _VS.vessel, _OF_VESSEL_STATE, _F.condition.is_(None)),
)
