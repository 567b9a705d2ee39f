"""States of conditions and vessels: what is sailed with, put aside, withdrawn. Events, kept like reviews.

A condition is `worked_on` until an event says otherwise; a vessel is `active`. Each event names the revision that was
the latest then. Events of one condition, or of one vessel, form a chain of their own and stand in the feed. At most one
condition of a vessel is `in_force`: the event that takes force puts the former one aside, in the same transaction.
"""

from typing import Any, TypeVar

from sqlalchemy import BindParameter, CheckConstraint, ForeignKeyConstraint, bindparam, insert, select, update

from .change import ChangeRepository
from .condition import CONDITIONS
from .digest import FORM, digest
from .errors import Conflict, NotFound, Stale
from .statements import Statements
from .table import Record, moment, table, text, whole
from .vessel import VESSELS

IN_FORCE, PUT_ASIDE = "in_force", "put_aside"


class StateEntry(Record):
    """What a caller hands over. `state` of a condition: worked_on, in_force, put_aside or withdrawn; of a vessel:
    active or withdrawn.
    """

    state: str = text()
    reason: str | None = text(default=None)
    author_key: str = text()
    author_name: str = text()
    request_id: str | None = text(default=None)


class _KeptState(StateEntry):
    """`revision`, `revision_digest`: the latest revision when the state was set."""

    revision: int = whole()
    revision_digest: str = text()
    created: str = moment()
    form: int = whole()
    previous: str | None = text()
    digest: str = text()


class ConditionState(_KeptState):
    """The `number`-th event of a condition. `replaced_by`: the condition that took force instead of this one."""

    condition: str = text(primary_key=True)
    number: int = whole(primary_key=True)
    replaced_by: str | None = text(default=None)


class VesselState(_KeptState):
    """The `number`-th event of a vessel."""

    vessel: str = text(primary_key=True)
    number: int = whole(primary_key=True)


class ConditionStateTable(ConditionState, table=True):
    __tablename__ = "condition_states"
    __table_args__ = (
        ForeignKeyConstraint(
            ["condition", "revision"], ["condition_revisions.condition", "condition_revisions.number"]
        ),
        CheckConstraint("state IN ('worked_on', 'in_force', 'put_aside', 'withdrawn')", name="state"),
        {"sqlite_strict": True},
    )


class VesselStateTable(VesselState, table=True):
    __tablename__ = "vessel_states"
    __table_args__ = (
        ForeignKeyConstraint(["vessel", "revision"], ["vessel_revisions.vessel", "vessel_revisions.number"]),
        CheckConstraint("state IN ('active', 'withdrawn')", name="state"),
        {"sqlite_strict": True},
    )


CONDITION_STATES, VESSEL_STATES = table(ConditionStateTable), table(VesselStateTable)

_ID: BindParameter[str] = bindparam("the_id")
_HEAD = ("id", "vessel", "head_number", "head_digest", "verdict", "states", "state_digest")
_CONDITION = select(*(CONDITIONS.c[name] for name in _HEAD)).where(CONDITIONS.c.id == _ID)
_VESSEL = select(
    VESSELS.c.id, VESSELS.c.head_number, VESSELS.c.head_digest, VESSELS.c.states, VESSELS.c.state_digest
).where(VESSELS.c.id == _ID)
_SAILS = select(CONDITIONS.c.id).where(CONDITIONS.c.vessel == _ID, CONDITIONS.c.state == IN_FORCE)
_OF_CONDITION = (
    select(CONDITION_STATES)
    .where(CONDITION_STATES.c.condition == _ID)
    .order_by(CONDITION_STATES.c.number.desc())
)
_OF_VESSEL = (
    select(VESSEL_STATES).where(VESSEL_STATES.c.vessel == _ID).order_by(VESSEL_STATES.c.number.desc())
)
_APPEND_CONDITION, _APPEND_VESSEL = insert(CONDITION_STATES), insert(VESSEL_STATES)
_MOVE_CONDITION, _MOVE_VESSEL = (
    update(heads)
    .where(heads.c.id == _ID, heads.c.states == bindparam("old_states"))
    .values({name: bindparam(f"new_{name}") for name in ("state", "states", "state_digest")})
    for heads in (CONDITIONS, VESSELS)
)
K = TypeVar("K", bound=_KeptState)


class StateRepository:
    """Append and list. No method changes or removes an event."""

    def __init__(self, statements: Statements, now: str, changes: ChangeRepository) -> None:
        self._statements, self._now, self._changes = statements, now, changes

    def append(self, condition: str, entry: StateEntry) -> ConditionState:
        """The next event of a condition. One that takes force first puts the former one of the vessel aside.

        Raises NotFound.
        """
        head = self._head(_CONDITION, "condition", condition)
        if entry.state == IN_FORCE:
            former = self.in_force(head.vessel)
            if former not in (None, condition):
                aside = entry.values() | {"state": PUT_ASIDE}
                self._append(str(former), StateEntry.of(aside), replaced_by=condition)
        return self._append(condition, entry)

    def _append(self, condition: str, entry: StateEntry, replaced_by: str | None = None) -> ConditionState:
        head = self._head(_CONDITION, "condition", condition)
        values = self._values(entry, head) | {"condition": condition, "replaced_by": replaced_by}
        values["digest"] = digest("condition_state", values)
        return self.keep(ConditionState.of(values))

    def keep(self, state: ConditionState) -> ConditionState:
        """Store a finished event; called from outside only for a history that was checked.

        Raises NotFound, Stale when it does not follow the last event, Conflict when another condition is in force.
        """
        head = self._head(_CONDITION, "condition", state.condition)
        if state.previous != head.state_digest or state.number != head.states + 1:
            raise Stale("condition", state.condition)
        if state.state == IN_FORCE and self.in_force(head.vessel) not in (None, state.condition):
            raise Conflict("another condition of the vessel is in force")
        self._statements.add(_APPEND_CONDITION, state.values())
        self._move(_MOVE_CONDITION, "condition", state.condition, head.states, state)
        self._changes.record(
            "state",
            vessel=head.vessel,
            condition=state.condition,
            revision=state.revision,
            verdict=head.verdict if state.revision == head.head_number else None,
            state=state.state,
            state_number=state.number,
            subject=state.digest,
        )
        return state

    def append_vessel(self, vessel: str, entry: StateEntry) -> VesselState:
        """The next event of a vessel. Raises NotFound."""
        head = self._head(_VESSEL, "vessel", vessel)
        values = self._values(entry, head) | {"vessel": vessel}
        values["digest"] = digest("vessel_state", values)
        kept = VesselState.of(values)
        self._statements.add(_APPEND_VESSEL, kept.values())
        self._move(_MOVE_VESSEL, "vessel", vessel, head.states, kept)
        self._changes.record(
            "state",
            vessel=vessel,
            revision=kept.revision,
            state=kept.state,
            state_number=kept.number,
            subject=kept.digest,
        )
        return kept

    def in_force(self, vessel: str) -> str | None:
        """Id of the condition a vessel sails with. In a writing transaction it stays true."""
        id: str | None = self._statements.execute(_SAILS, {"the_id": vessel}).scalar_one_or_none()
        return id

    def of(self, condition: str, limit: int | None = None) -> list[ConditionState]:
        """Events of a condition, newest first; empty while it is worked on and never was anything else."""
        rows = self._statements.execute(_OF_CONDITION.limit(limit), {"the_id": condition})
        return [ConditionState.of(row) for row in rows.mappings()]

    def of_vessel(self, vessel: str, limit: int | None = None) -> list[VesselState]:
        """Events of a vessel, newest first."""
        rows = self._statements.execute(_OF_VESSEL.limit(limit), {"the_id": vessel})
        return [VesselState.of(row) for row in rows.mappings()]

    def _head(self, statement: Any, kind: str, id: str) -> Any:
        head = self._statements.execute(statement, {"the_id": id}).one_or_none()
        if head is None:
            raise NotFound(kind, id)
        return head

    def _values(self, entry: StateEntry, head: Any) -> dict[str, Any]:
        return {
            **entry.values(),
            "number": head.states + 1,
            "revision": head.head_number,
            "revision_digest": head.head_digest,
            "created": self._now,
            "form": FORM,
            "previous": head.state_digest,
        }

    def _move(self, statement: Any, kind: str, id: str, states: int, kept: Any) -> None:
        head = {"the_id": id, "old_states": states, "new_state": kept.state}
        head |= {"new_states": kept.number, "new_state_digest": kept.digest}
        if self._statements.execute(statement, head).rowcount != 1:
            raise Stale(kind, id)
