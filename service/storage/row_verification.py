"""The walk along the digests of rows: keys, audit lines and kept answers, none changed, missing or added."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from .change import Head
from .digest import Chain
from .errors import Broken
from .row_digest import COVERED, FORGOTTEN, ROW_DIGESTS, Kind, content_of, rows_of, subject_of


@dataclass(frozen=True, slots=True)
class RowsHeld:
    """How many rows of each kind hold, and the end of the chain that says so."""

    counts: Mapping[Kind, int]
    number: int
    digest: str | None


@dataclass
class _Said:
    """What the chain says of one kind: content and time of the line, by the name of the row."""

    lines: dict[str, tuple[str | None, str]]
    keep_from: str = ""
    """Rows kept before that time may be gone."""


def verify_rows(connection: Connection, exported: Head | None) -> RowsHeld:
    """Check the chain and every row it names. Raises Broken for the first that does not hold."""
    chain = Chain("row_digest", "rows", counter="id")
    said = {kind: _Said({}) for kind in COVERED}
    statement = select(ROW_DIGESTS).order_by(ROW_DIGESTS.c.id).execution_options(yield_per=1000)
    with connection.execute(statement) as lines:
        for line in lines.mappings():
            chain.follow(line)
            if exported and line["id"] == exported.rows_id and line["digest"] != exported.rows_digest:
                raise Broken("row_digest", "rows", line["id"], "was rewritten since its head was exported")
            if line["kind"] == FORGOTTEN:
                answers = said["kept_answer"]
                answers.keep_from = max(answers.keep_from, line["subject"])
            elif line["kind"] in said:
                said[line["kind"]].lines[line["subject"]] = line["content"], line["created"]
            else:
                raise Broken("row_digest", "rows", line["id"], f"names an unknown kind: {line['kind']}")
    if exported and chain.number < exported.rows_id:
        raise Broken(
            "row_digest", "rows", chain.number + 1, f"is cut off, the exported head is {exported.rows_id}"
        )
    counts = {kind: _compare(connection, kind, said[kind]) for kind in COVERED}
    return RowsHeld(counts, chain.number, chain.digest)


def _compare(connection: Connection, kind: Kind, said: _Said) -> int:
    count = 0
    for row in rows_of(connection, kind):
        subject = subject_of(kind, row)
        line = said.lines.pop(subject, None)
        if line is None:
            raise Broken(kind, subject, None, "has no digest: it was added behind the back of this release")
        if _content(kind, subject, row) != line[0]:
            raise Broken(kind, subject, None, "is not what its digest was taken of")
        count += 1
    for subject, (_, created) in said.lines.items():
        if created >= said.keep_from:
            raise Broken(kind, subject, None, "is missing")
    return count


def _content(kind: Kind, subject: str, row: Mapping[str, Any]) -> str:
    try:
        return content_of(kind, row)
    except ValueError:
        raise Broken(kind, subject, None, "holds what no row can hold") from None
