"""Answers kept by idempotency key, so that a repeated request gets the first answer (and makes nothing
twice).
"""

from sqlalchemy import Index, bindparam, delete, insert, select

from .row_digest import RowDigestRepository
from .statements import Statements
from .table import Record, moment, table, text, whole


class RepeatableAnswer(Record):
    """The answer to the first request. `fingerprint`: the caller's digest of method, path and body of that
    request.

    `headers`: JSON object text of the headers to repeat; `body`: the exact text of the answer.
    """

    key_id: str = text(primary_key=True)
    idempotency_key: str = text(primary_key=True)
    fingerprint: str = text()
    status: int = whole()
    headers: str = text()
    body: str = text()
    created: str = moment()


class RepeatableAnswerTable(RepeatableAnswer, table=True):
    __tablename__ = "kept_answers"
    __table_args__ = (Index(None, "created"), {"sqlite_strict": True})


REPEATABLE_ANSWERS = table(RepeatableAnswerTable)
_FIND = select(REPEATABLE_ANSWERS).where(
    REPEATABLE_ANSWERS.c.key_id == bindparam("the_key"),
    REPEATABLE_ANSWERS.c.idempotency_key == bindparam("the_name"),
)
_KEEP = insert(REPEATABLE_ANSWERS)
_PURGE = delete(REPEATABLE_ANSWERS).where(REPEATABLE_ANSWERS.c.created < bindparam("before"))


class IdempotencyRepository:
    """Use in the transaction of the write itself: `find` first, `keep` last.

    Writers come one at a time, so a repetition that arrives while the first request is under way waits for
    it and then finds its answer.
    """

    def __init__(self, statements: Statements, now: str, digests: RowDigestRepository) -> None:
        self._statements, self._now, self._digests = statements, now, digests

    def find(self, key_id: str, idempotency_key: str) -> RepeatableAnswer | None:
        """The answer kept for that name of that access key; the caller compares the fingerprint."""
        row = (
            self._statements.execute(_FIND, {"the_key": key_id, "the_name": idempotency_key})
            .mappings()
            .one_or_none()
        )
        return RepeatableAnswer.of(row) if row else None

    def keep(
        self, key_id: str, idempotency_key: str, *, fingerprint: str, status: int, headers: str, body: str
    ) -> RepeatableAnswer:
        """Keep the answer. Raises Conflict when there is one already."""
        kept = RepeatableAnswer(
            key_id=key_id,
            idempotency_key=idempotency_key,
            fingerprint=fingerprint,
            status=status,
            headers=headers,
            body=body,
            created=self._now,
        )
        self._statements.add(_KEEP, kept.values())
        self._digests.record("kept_answer", kept.values())
        return kept

    def purge(self, before: str) -> int:
        """Forget answers kept before that time (text); returns how many."""
        gone = self._statements.execute(_PURGE, {"before": before}).rowcount
        if gone:
            self._digests.forgotten(before)
        return gone
