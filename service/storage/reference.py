"""References: names that callers give to vessels and conditions of theirs, each once for each key."""

import json
from collections.abc import Collection

from sqlalchemy import bindparam, insert, select

from .statements import Statements
from .table import Record, moment, table, text


class PostedReference(Record):
    """What a key entered under a reference of its own. `kind`: vessel or condition; `subject`: its id."""

    key_id: str = text(primary_key=True)
    kind: str = text(primary_key=True)
    reference: str = text(primary_key=True)
    subject: str = text()
    created: str = moment()


class PostedReferenceTable(PostedReference, table=True):
    __tablename__ = "posted_references"
    __table_args__ = ({"sqlite_strict": True},)


POSTED_REFERENCES = table(PostedReferenceTable)
_FIND = select(POSTED_REFERENCES.c.subject).where(
    POSTED_REFERENCES.c.key_id == bindparam("the_key"),
    POSTED_REFERENCES.c.kind == bindparam("the_kind"),
    POSTED_REFERENCES.c.reference == bindparam("the_reference"),
)
_KEEP = insert(POSTED_REFERENCES)


def reference_of(document: str) -> str | None:
    """The reference in a document, which is canonical JSON text; None where it has none."""
    if '"reference":' not in document:  # a text within a string would have its quotation marks escaped
        return None
    found = json.loads(document).get("reference")
    return found if isinstance(found, str) else None


class ReferenceRepository:
    """Use in the transaction that enters the vessel or the condition: `find` first, then `keep`."""

    def __init__(self, statements: Statements, now: str) -> None:
        self._statements, self._now = statements, now

    def find(self, key_id: str, kind: str, reference: str) -> str | None:
        """The id of what that key entered under that reference."""
        place = {"the_key": key_id, "the_kind": kind, "the_reference": reference}
        found: str | None = self._statements.execute(_FIND, place).scalar_one_or_none()
        return found

    def find_all(self, key_id: str, kind: str, references: Collection[str]) -> dict[str, str]:
        """Ids by those of the references that the key gave before."""
        c = POSTED_REFERENCES.c
        wanted = select(c.reference, c.subject).where(
            c.key_id == key_id, c.kind == kind, c.reference.in_(references)
        )
        return {row.reference: row.subject for row in self._statements.execute(wanted)}

    def keep(self, key_id: str, kind: str, reference: str, subject: str) -> None:
        """Keep what was entered. The database has it against a reference that the key gave before (Conflict)."""
        kept = PostedReference(
            key_id=key_id, kind=kind, reference=reference, subject=subject, created=self._now
        )
        self._statements.add(_KEEP, kept.values())
