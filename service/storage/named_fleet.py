"""Fleets: sets of ships with a name, which keys may have as their scope. Changed, never deleted."""

import json
from collections.abc import Collection, Sequence

from sqlalchemy import BindParameter, bindparam, insert, select, update

from .errors import NotFound
from .row_digest import RowDigestRepository
from .statements import Statements
from .table import Record, moment, table, text, whole


class NamedFleet(Record):
    """A fleet. `vessels`: JSON list of the ids of its ships (`members` gives them as a set). `number`: how often it was
    set."""

    id: str = text(primary_key=True)
    name: str = text()
    vessels: str = text()
    number: int = whole()
    created: str = moment()
    updated: str = moment()

    @property
    def members(self) -> frozenset[str]:
        """The ships of the fleet."""
        return frozenset(json.loads(self.vessels))


class NamedFleetTable(NamedFleet, table=True):
    __tablename__ = "fleets"
    __table_args__ = ({"sqlite_strict": True},)


FLEETS = table(NamedFleetTable)
_ID: BindParameter[str] = bindparam("the_id")
_GET = select(FLEETS).where(FLEETS.c.id == _ID)
_ADD = insert(FLEETS)
_CHANGE = (
    update(FLEETS)
    .where(FLEETS.c.id == _ID)
    .values({name: bindparam(f"new_{name}") for name in ("name", "vessels", "number", "updated")})
)


class NamedFleetRepository:
    """Each state of a fleet has its line among the digests of rows."""

    def __init__(self, statements: Statements, now: str, digests: RowDigestRepository) -> None:
        self._statements, self._now, self._digests = statements, now, digests

    def find(self, id: str) -> NamedFleet | None:
        """The fleet, None where there is none."""
        row = self._statements.execute(_GET, {"the_id": id}).mappings().one_or_none()
        return None if row is None else NamedFleet.of(row)

    def get(self, id: str) -> NamedFleet:
        """The fleet. Raises NotFound."""
        found = self.find(id)
        if found is None:
            raise NotFound("fleet", id)
        return found

    def list(self, *, after: str | None = None, limit: int = 100) -> list[NamedFleet]:
        """Fleets in the order of their ids; `after` is the last id of the page before."""
        statement = select(FLEETS).order_by(FLEETS.c.id).limit(limit)
        if after is not None:
            statement = statement.where(FLEETS.c.id > after)
        return [NamedFleet.of(row) for row in self._statements.execute(statement).mappings()]

    def put(self, id: str, *, name: str, vessels: Collection[str]) -> NamedFleet:
        """Make a fleet, or give it another name and other ships. Raises Broken for one changed behind our back."""
        before = self.find(id)
        fleet = NamedFleet(
            id=id,
            name=name,
            vessels=json.dumps(sorted(set(vessels))),
            number=1 if before is None else before.number + 1,
            created=self._now if before is None else before.created,
            updated=self._now,
        )
        if before is None:
            self._statements.execute(_ADD, fleet.values())
        else:
            self._digests.require_unchanged("fleet", before.values())
            changed = {f"new_{column}": value for column, value in fleet.values().items()}
            new = {name: changed[name] for name in ("new_name", "new_vessels", "new_number", "new_updated")}
            self._statements.execute(_CHANGE, {"the_id": id, **new})
        self._digests.record("fleet", fleet.values())
        return fleet

    def scope(self, vessels: Collection[str] | None, fleets: Collection[str]) -> frozenset[str] | None:
        """The ships named and those of the fleets named, as they are now; None for all."""
        return scope_with(vessels, fleets, members_of(self._statements, fleets))


def members_of(statements: Statements, fleets: Collection[str]) -> dict[str, frozenset[str]]:
    """The ships of each of these fleets that there is."""
    if not fleets:
        return {}
    found = statements.execute(select(FLEETS.c.id, FLEETS.c.vessels).where(FLEETS.c.id.in_(sorted(fleets))))
    return {id: frozenset(json.loads(vessels)) for id, vessels in found}


def scopes_of(
    statements: Statements, columns: Sequence[tuple[str | None, str | None]]
) -> list[frozenset[str] | None]:
    """The ships that keys see, None for all, by their columns `vessels` and `fleets`, in that order."""
    named = [
        (None if vessels is None else json.loads(vessels), json.loads(fleets or "[]"))
        for vessels, fleets in columns
    ]
    members = members_of(statements, {fleet for _, fleets in named for fleet in fleets})
    return [scope_with(vessels, fleets, members) for vessels, fleets in named]


def scope_with(
    vessels: Collection[str] | None, fleets: Collection[str], members: dict[str, frozenset[str]]
) -> frozenset[str] | None:
    """The ships named and those of the fleets; None, for all, only where neither ships nor fleets are named."""
    if vessels is None and not fleets:
        return None
    return frozenset(vessels or ()).union(*(members.get(fleet, frozenset()) for fleet in fleets))
