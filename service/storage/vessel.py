"""Vessels and the revisions of their data."""

from collections.abc import Collection

from sqlalchemy import BindParameter, Index, bindparam, func, insert, select, update

from .change import ChangeRepository
from .digest import FORM, digest
from .errors import NotFound, Stale
from .reference import reference_of
from .sorting import Sorting, any_of
from .statements import Statements
from .table import Record, moment, new_id, table, text, whole


class _VesselFacts(Record):
    """What a caller says about a revision beside the document; all of it comes back in lists."""

    name: str = text()
    imo_number: str | None = text(default=None)
    source: str | None = text(default=None)
    author_key: str = text()
    author_name: str = text()
    reason: str | None = text(default=None)
    request_id: str | None = text(default=None)


class VesselEntry(_VesselFacts):
    """What a caller hands over: `document` is the vessel document as canonical JSON text
    (`canonical`).
    """

    document: str = text()


class VesselRevisionLine(_VesselFacts):
    """A kept revision without its document, for lists. `previous` and `digest`: see `digest`; `form` is its
    rule.
    """

    vessel: str = text(primary_key=True, foreign_key="vessels.id")
    number: int = whole(primary_key=True)
    created: str = moment()
    form: int = whole()
    previous: str | None = text()
    digest: str = text()


class VesselRevision(VesselRevisionLine):
    """A kept revision."""

    document: str = text()


class VesselRevisionTable(VesselRevision, table=True):
    __tablename__ = "vessel_revisions"
    __table_args__ = ({"sqlite_strict": True},)


class Vessel(Record):
    """A vessel and the head of her revisions: `head_number`, `head_digest`, the rest as in that revision;
    `reference` as in its document. `state`: active or withdrawn; `states` and `state_digest` number and digest of the
    last event that set it.
    """

    id: str = text(primary_key=True)
    created: str = moment()
    updated: str = moment()
    head_number: int = whole()
    head_digest: str = text()
    name: str = text()
    imo_number: str | None = text()
    reference: str | None = text()
    state: str = text(sa_column_kwargs={"server_default": "active"})
    states: int = whole(sa_column_kwargs={"server_default": "0"})
    state_digest: str | None = text()


class VesselTable(Vessel, table=True):
    __tablename__ = "vessels"
    __table_args__ = (
        Index(None, "created", "id"),
        Index(None, "state", "created", "id"),
        Index(None, "imo_number"),
        Index(None, "reference", "id"),
        Index(None, "name", "id"),
        Index(None, "updated", "id"),
        {"sqlite_strict": True},
    )


VESSELS = table(VesselTable)
VESSEL_REVISIONS = table(VesselRevisionTable)

_ID: BindParameter[str] = bindparam("the_id")
_AT: BindParameter[int] = bindparam("the_number")
_LINE = [VESSEL_REVISIONS.c[name] for name in VesselRevisionLine.model_fields]
_HEAD = select(VESSELS).where(VESSELS.c.id == _ID)
_HEAD_NUMBER = select(VESSELS.c.head_number).where(VESSELS.c.id == _ID)
_ONE = select(VESSEL_REVISIONS).where(VESSEL_REVISIONS.c.vessel == _ID, VESSEL_REVISIONS.c.number == _AT)
_LATEST = (
    select(VESSEL_REVISIONS)
    .join(
        VESSELS,
        (VESSELS.c.id == VESSEL_REVISIONS.c.vessel) & (VESSELS.c.head_number == VESSEL_REVISIONS.c.number),
    )
    .where(VESSELS.c.id == _ID)
)
_HISTORY = select(*_LINE).where(VESSEL_REVISIONS.c.vessel == _ID).order_by(VESSEL_REVISIONS.c.number.desc())
_WITH_IMO_NUMBER = (
    select(VESSELS.c.id)
    .where(VESSELS.c.imo_number == bindparam("the_number"), VESSELS.c.state == "active")
    .limit(1)
)
_CREATED = {"state": "active", "states": 0, "state_digest": None}
ENTERED = select(VESSELS.c.created, VESSELS.c.id).where(VESSELS.c.id == bindparam("the_last"))
_CREATE, _APPEND = insert(VESSELS), insert(VESSEL_REVISIONS)
_MOVE = (
    update(VESSELS)
    .where(VESSELS.c.id == _ID, VESSELS.c.head_digest == bindparam("the_digest"))
    .values(
        {
            name: bindparam(f"new_{name}")
            for name in ("updated", "head_number", "head_digest", "name", "imo_number", "reference")
        }
    )
)


class VesselRepository:
    """Append, get, history, list. No method changes or removes a revision."""

    def __init__(self, statements: Statements, now: str, changes: ChangeRepository) -> None:
        self._statements, self._now, self._changes = statements, now, changes
        self.wrote = False
        """Whether a revision was added in this transaction."""

    def create(self, entry: VesselEntry, *, id: str | None = None) -> VesselRevision:
        """A new vessel with revision 1; `id` when the installation names her itself (Conflict when it is taken)."""
        return self.keep(self._revision(entry, id or new_id(self._now), 1, None))

    def append(self, id: str, entry: VesselEntry, *, expected: str) -> VesselRevision:
        """The next revision. `expected` is the digest of the head the writer has seen.

        Raises NotFound, and Stale when the head is another one.
        """
        head = self.get(id)
        if head.head_digest != expected:
            raise Stale("vessel", id, head.head_number, head.head_digest)
        return self.keep(self._revision(entry, id, head.head_number + 1, expected))

    def keep(self, revision: VesselRevision) -> VesselRevision:
        """Store a finished revision as the new head; called from outside only for a history that was checked.

        Raises Stale when it does not follow the head, Conflict when it is a first revision of a known vessel.
        """
        self.wrote = True
        head = {
            "updated": revision.created,
            "head_number": revision.number,
            "head_digest": revision.digest,
            "name": revision.name,
            "imo_number": revision.imo_number,
            "reference": reference_of(revision.document),
        }
        if revision.number == 1:
            first = {"id": revision.vessel, "created": revision.created}
            self._statements.add(_CREATE, first | head | _CREATED)
        else:
            place = {"the_id": revision.vessel, "the_digest": revision.previous}
            moved = self._statements.execute(
                _MOVE, place | {f"new_{name}": value for name, value in head.items()}
            )
            if moved.rowcount != 1:
                raise Stale("vessel", revision.vessel)
        self._statements.add(_APPEND, revision.values())
        self._changes.record(
            "vessel_revision", vessel=revision.vessel, revision=revision.number, subject=revision.digest
        )
        return revision

    def get(self, id: str) -> Vessel:
        """The vessel with the head of her revisions. Raises NotFound."""
        row = self._statements.execute(_HEAD, {"the_id": id}).mappings().one_or_none()
        if row is None:
            raise NotFound("vessel", id)
        return Vessel.of(row)

    def names(self, ids: Collection[str]) -> dict[str, str]:
        """The present names of vessels by their ids."""
        wanted = select(VESSELS.c.id, VESSELS.c.name).where(VESSELS.c.id.in_(ids))
        return {row.id: row.name for row in self._statements.execute(wanted)}

    def head_number(self, id: str) -> int | None:
        """Number of the latest revision, None for an unknown vessel."""
        number: int | None = self._statements.execute(_HEAD_NUMBER, {"the_id": id}).scalar_one_or_none()
        return number

    def with_imo_number(self, imo_number: str) -> str | None:
        """Id of an active vessel whose latest revision has that number. In a writing transaction it stays true."""
        place = {"the_number": imo_number}
        id: str | None = self._statements.execute(_WITH_IMO_NUMBER, place).scalar_one_or_none()
        return id

    def revision(self, id: str, number: int | None = None) -> VesselRevision:
        """One revision with its document, the latest when `number` is None. Raises NotFound."""
        if number is None:
            found = self._statements.execute(_LATEST, {"the_id": id})
        else:
            found = self._statements.execute(_ONE, {"the_id": id, "the_number": number})
        row = found.mappings().one_or_none()
        if row is None:
            raise NotFound("vessel_revision" if number else "vessel", id, number)
        return VesselRevision.of(row)

    def history(self, id: str, *, before: int | None = None, limit: int = 100) -> list[VesselRevisionLine]:
        """Revisions without documents, newest first; `before` is the last number of the page before.

        Empty for an unknown vessel.
        """
        statement = _HISTORY if before is None else _HISTORY.where(VESSEL_REVISIONS.c.number < before)
        rows = self._statements.execute(statement.limit(limit), {"the_id": id})
        return [VesselRevisionLine.of(row) for row in rows.mappings()]

    def list(
        self,
        *,
        vessels: Collection[str] | None = None,
        name: str | None = None,
        imo_number: str | Collection[str] | None = None,
        reference: str | Collection[str] | None = None,
        updated_after: str | None = None,
        updated_before: str | None = None,
        created_after: str | None = None,
        created_before: str | None = None,
        state: str | Collection[str] | None = None,
        after: str | None = None,
        limit: int = 100,
        sorting: Sorting | None = None,
    ) -> list[Vessel]:
        """Vessels in the order they were created; `after` is the last id of the page before. `sorting`: in another
        order, `after` not counted.

        `vessels` is the scope of the caller (None: all), `name` a part of the name (capitals of the Latin
        alphabet do not matter), `state` active or withdrawn, times are text in the form of `as_text`. IMO number,
        reference and state may be several, of which any does.
        """
        statement = select(VESSELS).limit(limit)
        if vessels is not None:
            statement = statement.where(VESSELS.c.id.in_(vessels))
        if name is not None:
            statement = statement.where(func.lower(VESSELS.c.name).contains(name.lower(), autoescape=True))
        for column, wanted in (("imo_number", imo_number), ("reference", reference), ("state", state)):
            if wanted is not None:
                statement = statement.where(any_of(VESSELS.c[column], wanted))
        for column, later, earlier in (
            ("updated", updated_after, updated_before),
            ("created", created_after, created_before),
        ):
            if later is not None:
                statement = statement.where(VESSELS.c[column] > later)
            if earlier is not None:
                statement = statement.where(VESSELS.c[column] < earlier)
        if sorting is None:
            last = None
            if after is not None:
                last = self._statements.execute(ENTERED, {"the_last": after}).one_or_none()
                if last is None:
                    return []
            sorting = Sorting("created", None if last is None else (last[0], last[1]))
        statement = sorting.apply(statement, VESSELS)
        return [Vessel.of(row) for row in self._statements.execute(statement).mappings()]

    def _revision(self, entry: VesselEntry, id: str, number: int, previous: str | None) -> VesselRevision:
        values = entry.values()
        values |= {"vessel": id, "number": number, "created": self._now, "form": FORM, "previous": previous}
        values["digest"] = digest("vessel_revision", values)
        return VesselRevision.of(values)
