"""Check values of the pepper that access keys are made with: a wrong pepper is told from the right one.

Storage keeps the text the caller computed; the last one counts.
"""

from sqlalchemy import insert, select

from .row_digest import RowDigestRepository
from .statements import Statements
from .table import Record, moment, table, text, whole


class PepperCheck(Record):
    """A check value, from `created` on."""

    id: int = whole(primary_key=True)
    created: str = moment()
    value: str = text()


class PepperCheckTable(PepperCheck, table=True):
    __tablename__ = "pepper_checks"
    __table_args__ = ({"sqlite_strict": True},)


PEPPER_CHECKS = table(PepperCheckTable)
PepperCheckTable.__table__.c.id.autoincrement = False  # type: ignore[attr-defined]
_LAST = select(PEPPER_CHECKS).order_by(PEPPER_CHECKS.c.id.desc()).limit(1)
_APPEND = insert(PEPPER_CHECKS)


class PepperRepository:
    """Append and read the last one."""

    def __init__(self, statements: Statements, now: str, digests: RowDigestRepository) -> None:
        self._statements, self._now, self._digests = statements, now, digests

    def last(self) -> PepperCheck | None:
        """The check value in force, None where there is none yet."""
        row = self._statements.execute(_LAST).mappings().one_or_none()
        return PepperCheck.of(row) if row else None

    def append(self, value: str) -> PepperCheck:
        """Put a check value in force."""
        last = self.last()
        made = PepperCheck(id=last.id + 1 if last else 1, created=self._now, value=value)
        self._statements.add(_APPEND, made.values())
        self._digests.record("pepper_check", made.values())
        return made
