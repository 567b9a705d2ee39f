"""Walk every chain of digests and name the first link that does not hold; triggers and rows beside the records too."""

from collections.abc import Generator, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, RowMapping, Table, select
from sqlalchemy.exc import DBAPIError

from . import append_only
from .change import CHANGES, Head
from .condition import CONDITION_REVISIONS, CONDITIONS, FOLLOWS
from .condition_figures import FleetFigures
from .cross_reference import CROSS_REFERENCES
from .digest import FORM, SINCE_FORM_2, Chain
from .errors import Broken
from .fleet_columns import fleet_figures_of
from .reference import reference_of
from .review import REVIEWS
from .row_verification import verify_rows
from .state import CONDITION_STATES, VESSEL_STATES
from .transaction import Storage
from .vessel import VESSEL_REVISIONS, VESSELS

# SQLite's own findings: a damaged page, a text that is none, a file that is no database.
_DAMAGE = ("malformed", "decode", "not a database")


@dataclass(frozen=True, slots=True)
class Verified:
    """How many records hold, and the head of the feed to export.

    Kept elsewhere, the head lets a later walk find a cut tail and a chain rewritten from its start. `keys`,
    `audit_lines`, `kept_answers` and `fleets`: rows beside the records that are what was kept.
    """

    vessel_revisions: int
    condition_revisions: int
    reviews: int
    changes: int
    head: Head | None
    keys: int = 0
    audit_lines: int = 0
    kept_answers: int = 0
    states: int = 0
    fleets: int = 0


def verify(storage: Storage, head: Head | None = None) -> Verified:
    """Check triggers, every record, chain and head, the feed, keys, audit lines and kept answers, against an exported
    `head` when one is given.

    Reads one snapshot, so it may run beside writers. Raises Broken for the first link that does not hold, and
    Unavailable when the database cannot be read at all.
    """
    with _damage_is_broken(), storage.transaction() as tx, _any_text(tx.connection):
        _sound_file(tx.connection)
        missing = append_only.first_missing(tx.connection)
        if missing is not None:
            reason = "is missing or is not ours: the database does not refuse changes of what is kept"
            raise Broken("trigger", missing, None, reason)
        verified = Verified(
            vessel_revisions=_revisions(tx.connection, "vessel", VESSEL_REVISIONS, VESSELS, _VESSEL_FIELDS),
            condition_revisions=_revisions(
                tx.connection,
                "condition",
                CONDITION_REVISIONS,
                CONDITIONS,
                ("vessel", *FOLLOWS),
                (*SINCE_FORM_2, "reference"),
            ),
            reviews=_reviews(tx.connection),
            states=_states(tx.connection, "condition", CONDITION_STATES, CONDITIONS, "worked_on")
            + _states(tx.connection, "vessel", VESSEL_STATES, VESSELS, "active"),
            changes=_feed(tx.connection, head),
            head=tx.changes.head(),
        )
        for reference in CROSS_REFERENCES:
            # No LIMIT: it would lure the planner into nested loops, and a sound database gives no row at all.
            row = tx.connection.execute(reference.statement).first()
            if row is not None:
                raise Broken(reference.kind, row[0], row[1], reference.reason)
        rows = verify_rows(tx.connection, head)
        last = verified.head
        return replace(
            verified,
            head=None if last is None else replace(last, rows_id=rows.number, rows_digest=rows.digest),
            keys=rows.counts["key"],
            audit_lines=rows.counts["audit"],
            kept_answers=rows.counts["kept_answer"],
            fleets=rows.counts["fleet"],
        )


_VESSEL_FIELDS = ("name", "imo_number", "reference")


def _chains(
    connection: Connection, kind: str, table: Table, parent: str
) -> Generator[tuple[Chain, RowMapping], None, None]:
    """Every chain of a table once it is walked, with its last record."""
    # Few rows at a time: each may hold a document of a megabyte.
    statement = select(table).order_by(table.c[parent], table.c.number).execution_options(yield_per=50)
    chain: Chain | None = None
    last: RowMapping | None = None
    with connection.execute(statement) as rows:
        for row in rows.mappings():
            if chain is None or row[parent] != chain.id:
                if chain and last:
                    yield chain, last
                chain = Chain(kind, row[parent])
            chain.follow(row)
            last = row
    if chain and last:
        yield chain, last


def _revisions(
    connection: Connection,
    kind: str,
    revisions: Table,
    parents: Table,
    shown: tuple[str, ...],
    figures: tuple[str, ...] = (),
) -> int:
    """Walk the revisions of all vessels or conditions; their heads must show what the last revision says. `figures`
    count where the head says that they are of that revision."""
    heads = {row["id"]: row for row in connection.execute(select(parents)).mappings()}
    count = 0
    with closing(_chains(connection, f"{kind}_revision", revisions, kind)) as chains:
        for chain, last in chains:
            head = heads.pop(chain.id, None)
            if head is None:
                raise Broken(kind, chain.id, None, "has revisions and no head")
            if (head["head_number"], head["head_digest"]) != (chain.number, chain.digest):
                raise Broken(
                    f"{kind}_revision", chain.id, head["head_number"], "is named as the head and not there"
                )
            same = shown
            if figures and head["figures_number"] == chain.number:
                same = (*shown, *figures)
            elif figures and last["form"] != FORM:
                raise Broken(kind, chain.id, chain.number, "shows no figures of its last revision")
            shows = {**last, "reference": reference_of(last["document"])}
            for mine, its in (("updated", "created"), *zip(same, same, strict=True)):
                if head[mine] != shows[its]:
                    raise Broken(kind, chain.id, chain.number, f"shows another {mine} than its last revision")
            if figures:
                _same_in_fleet(kind, chain, head, last)
            count += chain.number
    for id in heads:
        raise Broken(f"{kind}_revision", id, 1, "is missing")
    return count


def _same_in_fleet(kind: str, chain: Chain, head: RowMapping, last: RowMapping) -> None:
    """Ports and drafts of a head are those of its last revision, or not there yet."""
    if head["shown_number"] is None:
        true = FleetFigures().values()
    elif head["shown_number"] == chain.number:
        true = fleet_figures_of(last["document"], last["assessment"]).values()
    else:  # of an earlier revision: they are not shown
        return
    for name, value in true.items():
        if head[name] != value:
            raise Broken(kind, chain.id, chain.number, f"shows another {name} than its last revision")


def _reviews(connection: Connection) -> int:
    statement = select(CONDITIONS.c.id, CONDITIONS.c.reviews, CONDITIONS.c.review_digest)
    heads = {id: (number, digest) for id, number, digest in connection.execute(statement)}
    count = 0
    with closing(_chains(connection, "review", REVIEWS, "condition")) as chains:
        for chain, _ in chains:
            named = heads.pop(chain.id, None)
            if named != (chain.number, chain.digest):
                raise Broken("review", chain.id, chain.number, "is not the last review its condition names")
            count += chain.number
    for id, named in heads.items():
        if named != (0, None):
            raise Broken("review", id, named[0], "is named by its condition and not there")
    return count


def _states(connection: Connection, kind: str, states: Table, parents: Table, first: str) -> int:
    """Walk the states of all conditions or vessels; their heads must show what the last one says."""
    c = parents.c
    statement = select(c.id, c.states, c.state_digest, c.state)
    heads = {id: tuple(named) for id, *named in connection.execute(statement)}
    count = 0
    with closing(_chains(connection, f"{kind}_state", states, kind)) as chains:
        for chain, last in chains:
            if heads.pop(chain.id, None) != (chain.number, chain.digest, last["state"]):
                raise Broken(f"{kind}_state", chain.id, chain.number, f"is not the state its {kind} shows")
            count += chain.number
    for id, named in heads.items():
        if named != (0, None, first):
            raise Broken(f"{kind}_state", id, named[0], f"is shown by its {kind} and not there")
    return count


def _feed(connection: Connection, exported: Head | None) -> int:
    chain = Chain("change", "feed", counter="id")
    statement = select(CHANGES).order_by(CHANGES.c.id).execution_options(yield_per=1000)
    with connection.execute(statement) as rows:
        for row in rows.mappings():
            chain.follow(row)
            if exported and row["id"] == exported.id and row["digest"] != exported.digest:
                raise Broken("change", "feed", exported.id, "was rewritten since its head was exported")
    if exported and chain.number < exported.id:
        raise Broken("change", "feed", chain.number + 1, f"is cut off, the exported head is {exported.id}")
    return chain.number


def _sound_file(connection: Connection) -> None:
    if connection.dialect.name == "postgresql":
        # The walk takes as long as it takes; the limit is meant for requests.
        connection.exec_driver_sql("SET LOCAL statement_timeout = 0")
        return
    finding = connection.exec_driver_sql("PRAGMA integrity_check(1)").scalar_one()
    if finding != "ok":
        raise Broken("database", "file", None, str(finding))


@contextmanager
def _any_text(connection: Connection) -> Iterator[None]:
    """SQLite gives out texts that are not UTF-8 as well, so that the walk can name the record that holds one."""
    if connection.dialect.name != "sqlite":
        yield
        return
    raw: Any = connection.connection.driver_connection
    usual = raw.text_factory
    raw.text_factory = lambda data: data.decode("utf-8", "surrogateescape")
    try:
        yield
    finally:
        raw.text_factory = usual


@contextmanager
def _damage_is_broken() -> Iterator[None]:
    try:
        yield
    except Exception as error:
        cause = error if isinstance(error, DBAPIError) else error.__cause__
        if isinstance(cause, DBAPIError) and any(word in str(cause.orig) for word in _DAMAGE):
            raise Broken("database", "file", None, str(cause.orig)) from error
        raise
