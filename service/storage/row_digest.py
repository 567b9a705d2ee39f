"""Digests of rows that have no chain of their own: access keys, fleets, lines of the audit log, answers kept
for repetition.

Whenever such a row is kept or changed, a line of the table `row_digests` says what it holds from then on. The lines
form a chain like the feed of changes (`digest`, kind `row_digest`); an exported head fixes its end as well.

Rule for `content`: take every column of the row that is not null, but for `last_used` of a key, which changes with
use. Replace `body` by the lower-case hexadecimal SHA-256 of its UTF-8 bytes. Add `kind`. Write that object in the JSON
Canonicalization Scheme (RFC 8785); the content is the lower-case hexadecimal SHA-256 of those bytes.

Kept answers are forgotten by age: a line of the kind `answers_forgotten` says in `subject` from what time on they must
still be there.
"""

import json
from collections.abc import Iterator, Mapping
from typing import Any, Literal, NamedTuple

from sqlalchemy import Connection, bindparam, insert, select, text

from .canonical import canonical
from .digest import FORM, digest, sha256
from .errors import Broken
from .statements import Statements
from .table import Record, moment, table, whole
from .table import text as text_column

Kind = Literal["key", "audit", "kept_answer", "pepper_check", "fleet"]


class RowDigest(Record):
    """One line: from now on the row `subject` of `kind` has this `content`; None for `answers_forgotten`."""

    id: int = whole(primary_key=True)
    created: str = moment()
    kind: str = text_column()
    subject: str = text_column()
    content: str | None = text_column()
    form: int = whole()
    previous: str | None = text_column()
    digest: str = text_column()


class RowDigestTable(RowDigest, table=True):
    __tablename__ = "row_digests"
    __table_args__ = ({"sqlite_strict": True},)


ROW_DIGESTS = table(RowDigestTable)
RowDigestTable.__table__.c.id.autoincrement = False  # type: ignore[attr-defined]

FORGOTTEN = "answers_forgotten"


class Covered(NamedTuple):
    """A table whose rows have digests: the columns that name a row, and those no digest covers."""

    table: str
    key: tuple[str, ...]
    uncovered: tuple[str, ...] = ()


COVERED: dict[Kind, Covered] = {
    "key": Covered("keys", ("id",), ("last_used",)),
    "audit": Covered("audit", ("id",)),
    "kept_answer": Covered("kept_answers", ("key_id", "idempotency_key")),
    "pepper_check": Covered("pepper_checks", ("id",)),
    "fleet": Covered("fleets", ("id",)),
}

_APPEND = insert(ROW_DIGESTS)
_OF_ROW = (
    select(ROW_DIGESTS.c.content)
    .where(ROW_DIGESTS.c.kind == bindparam("the_kind"), ROW_DIGESTS.c.subject == bindparam("the_subject"))
    .order_by(ROW_DIGESTS.c.id.desc())
    .limit(1)
)
_LAST = select(ROW_DIGESTS.c.id, ROW_DIGESTS.c.digest).order_by(ROW_DIGESTS.c.id.desc()).limit(1)


class RowDigestRepository:
    """Called by the repositories of the rows alone."""

    def __init__(self, statements: Statements, now: str, last: tuple[int, str | None]) -> None:
        """`last`: number and digest of the last line; nobody else writes before a writing transaction ends."""
        self._statements, self._now, self._last = statements, now, last

    def record(self, kind: Kind, row: Mapping[str, Any]) -> None:
        """Say what a row holds from now on."""
        self._add(kind, subject_of(kind, row), content_of(kind, row))

    def forgotten(self, before: str) -> None:
        """Say that answers kept before that time may be gone."""
        self._add(FORGOTTEN, before, None)

    def require_unchanged(self, kind: Kind, row: Mapping[str, Any]) -> None:
        """Raises Broken when the row is not what it was last said to hold: a change must not hide another one."""
        subject = subject_of(kind, row)
        found = self._statements.execute(_OF_ROW, {"the_kind": kind, "the_subject": subject}).one_or_none()
        if found is None or found[0] != content_of(kind, row):
            raise Broken(kind, subject, None, "is not what its digest was taken of")

    def _add(self, kind: str, subject: str, content: str | None) -> None:
        line = line_after(self._last, kind, subject, content, self._now)
        self._last = line["id"], line["digest"]
        self._statements.add(_APPEND, line)


def subject_of(kind: Kind, row: Mapping[str, Any]) -> str:
    """What names a row in the chain: its id, or the two parts of its name as a JSON list."""
    parts = [row[name] for name in COVERED[kind].key]
    return str(parts[0]) if len(parts) == 1 else json.dumps(parts, ensure_ascii=False)


def content_of(kind: Kind, row: Mapping[str, Any]) -> str:
    """The digest of a row by the rule above. Raises ValueError for values no row can have."""
    left_out = COVERED[kind].uncovered
    held = {name: value for name, value in row.items() if value is not None and name not in left_out}
    if "body" in held:
        held["body"] = sha256(held["body"])
    return sha256(canonical({**held, "kind": kind}))


def line_after(
    last: tuple[int, str | None], kind: str, subject: str, content: str | None, created: str
) -> dict[str, Any]:
    """The line that follows the one with the number and digest `last`."""
    line: dict[str, Any] = {
        "id": last[0] + 1,
        "created": created,
        "kind": kind,
        "subject": subject,
        "content": content,
        "form": FORM,
        "previous": last[1],
    }
    return line | {"digest": digest("row_digest", line)}


def rows_of(connection: Connection, kind: Kind) -> Iterator[Mapping[str, Any]]:
    """Every row of a kind with the columns it has now, in the order of its name."""
    covered = COVERED[kind]
    statement = text(f"SELECT * FROM {covered.table} ORDER BY {', '.join(covered.key)}")  # noqa: S608
    with connection.execute(statement.execution_options(yield_per=200)) as rows:
        for row in rows.mappings():
            yield dict(row)


def cover(
    connection: Connection, now: str, kinds: tuple[Kind, ...] = tuple(COVERED)
) -> list[tuple[str, str]]:
    """Give a digest to every row that the chain does not name; kind and name of each.

    For rows that a release before this one kept: it wrote no digests. The connection must be a writing one.
    """
    named = {(kind, subject) for kind, subject in connection.execute(select(*_NAMES))}
    last = connection.execute(_LAST).one_or_none()
    at: tuple[int, str | None] = (last[0], last[1]) if last else (0, None)
    added = []
    for kind in kinds:
        for row in list(rows_of(connection, kind)):
            subject = subject_of(kind, row)
            if (kind, subject) not in named:
                line = line_after(at, kind, subject, content_of(kind, row), now)
                at = line["id"], line["digest"]
                connection.execute(_APPEND, line)
                added.append((str(kind), subject))
    return added


_NAMES = (ROW_DIGESTS.c.kind, ROW_DIGESTS.c.subject)
