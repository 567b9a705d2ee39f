"""What people said of themselves through the identity provider when they signed in last: it stands for a key where mail
is sent to somebody who holds none. No record of the ship, written over, not append-only.
"""

from sqlalchemy import bindparam, delete, insert, select, update

from .statements import Statements
from .table import Record, moment, table, text


class SignIn(Record):
    """The last one of a person. `issuer`: of the provider. `role`: here, `role_said`: the provider's word for it; both
    None where the provider gave none. `vessels`, `fleets`: JSON lists of ids; `vessels` None for all.

    `signed_in`: when; `good_until`: how long mail may follow it, as was set then. `lapsed_from`: since when nothing was
    sent before it, None where mail had not ended. `reminded`: when its end was told."""

    key_id: str = text(primary_key=True)
    issuer: str = text()
    name: str = text()
    role: str | None = text(default=None)
    role_said: str | None = text(default=None)
    vessels: str | None = text(default=None)
    fleets: str = text()
    signed_in: str = moment()
    good_until: str = moment()
    lapsed_from: str | None = moment(default=None)
    reminded: str | None = moment(default=None)


class SignInTable(SignIn, table=True):
    __tablename__ = "sign_ins"
    __table_args__ = ({"sqlite_strict": True},)


SIGN_INS = table(SignInTable)
_THE_KEY = SIGN_INS.c.key_id == bindparam("the_key")
_GET = select(SIGN_INS).where(_THE_KEY)
_DELETE = delete(SIGN_INS).where(_THE_KEY)
_REMINDED = (
    update(SIGN_INS).where(_THE_KEY).values(reminded=bindparam("moment", type_=SIGN_INS.c.reminded.type))
)


class SignInRepository:
    """Find and write over."""

    def __init__(self, statements: Statements, now: str) -> None:
        self._statements, self._now = statements, now

    def get(self, key_id: str) -> SignIn | None:
        """The last sign-in of a person; None where nobody of that id signed in, or it was forgotten."""
        row = self._statements.execute(_GET, {"the_key": key_id}).mappings().one_or_none()
        return None if row is None else SignIn.of(row)

    def keep(self, sign_in: SignIn) -> None:
        """Write over what is there."""
        self.remove(sign_in.key_id)
        self._statements.execute(insert(SIGN_INS), sign_in.values())

    def remove(self, key_id: str) -> None:
        """Forget it."""
        self._statements.execute(_DELETE, {"the_key": key_id})

    def before(self, moment: str) -> list[str]:
        """Ids of those who signed in last before that time."""
        asked = select(SIGN_INS.c.key_id).where(SIGN_INS.c.signed_in < moment)
        return list(self._statements.execute(asked).scalars())

    def ending(self, moment: str) -> list[SignIn]:
        """Those that hold now and no longer than until that time, whose end was not told."""
        c = SIGN_INS.c
        asked = select(SIGN_INS).where(
            c.role.is_not(None), c.good_until > self._now, c.good_until <= moment, c.reminded.is_(None)
        )
        return [SignIn.of(row) for row in self._statements.execute(asked).mappings()]

    def note_reminded(self, key_id: str) -> None:
        """Its end is told now."""
        self._statements.execute(_REMINDED, {"the_key": key_id, "moment": self._now})
