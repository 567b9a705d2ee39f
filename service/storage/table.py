"""What all tables share: one metadata with a naming convention, the column types, the one form of time.

Table classes are private to this folder (SQLModel validates nothing on a table class). What repositories
give out are the plain classes the tables are derived from: a record is defined once and serves as both.
"""

import os
import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any, ClassVar, Self, cast
from uuid import UUID

from sqlalchemy import REAL, BigInteger, Dialect, Double, Integer, MetaData, Table, Text, TypeDecorator
from sqlalchemy.types import TypeEngine
from sqlmodel import Field, SQLModel

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_UTC = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z")

NAMING = {
    "pk": "pk_%(table_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
}


def as_text(moment: datetime) -> str:
    """The one form of a time: RFC 3339, UTC, always six decimals and `Z`, so that text order is time order.

    Raises ValueError for a time without a zone.
    """
    if moment.tzinfo is None:
        raise ValueError("a time without a zone cannot be kept")
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def now() -> str:
    """The present time as text."""
    return as_text(datetime.now(UTC))


def later(moment: str, by: timedelta) -> str:
    """A time as text that comes `by` after another one; before it where that is negative."""
    return as_text(datetime.fromisoformat(moment) + by)


def moved_on(clock: str, last: str | None) -> str:
    """The time to keep something at: that of the clock, or a microsecond after `last` where the clock is not later.

    So times of what is kept only go up, also when the clock is set back or another server's clock is ahead.
    """
    if last is None or clock > last:
        return clock
    return later(last, timedelta(microseconds=1))


def new_id(moment: str | None = None) -> str:
    """An identifier that sorts by its time of making, `moment` or now, as text.

    UUID version 7 (RFC 9562 section 5.7); the microseconds stand in the bits after the milliseconds (section 6.2,
    method 3).
    """
    made = datetime.fromisoformat(moment or now())
    milliseconds, rest = divmod((made - _EPOCH) // timedelta(microseconds=1), 1000)
    value = milliseconds << 80 | rest * 4096 // 1000 << 64 | int.from_bytes(os.urandom(8))
    value = value & ~(0xF << 76) & ~(0x3 << 62) | 0x7 << 76 | 0x2 << 62
    return str(UUID(int=value))


class UtcTime(TypeDecorator[str]):
    """A time as text in the form of `as_text`, the same on both engines; anything else is refused."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        if value is not None and not _UTC.fullmatch(value):
            raise ValueError(f"not a UTC time with six decimals: {value!r}")
        return value


# STRICT tables of SQLite know INTEGER, REAL and TEXT; REAL of PostgreSQL would be single precision.
Whole: TypeEngine[int] = BigInteger().with_variant(Integer(), "sqlite")
Number: TypeEngine[float] = Double().with_variant(REAL(), "sqlite")


def text(**options: Any) -> Any:
    """A column of text."""
    return Field(sa_type=Text, **options)


def moment(**options: Any) -> Any:
    """A column for a time in the form of `as_text`."""
    return Field(sa_type=UtcTime, **options)


def whole(**options: Any) -> Any:
    """A column of whole numbers, 64 bits."""
    return Field(sa_type=cast(Any, Whole), **options)


def number(**options: Any) -> Any:
    """A column of double precision numbers."""
    return Field(sa_type=cast(Any, Number), **options)


class Record(SQLModel):
    """Base of every record."""

    metadata: ClassVar[MetaData] = MetaData(naming_convention=NAMING)

    @classmethod
    def of(cls, row: Mapping[Any, Any]) -> Self:
        """The record of a database row; trusted, not validated again."""
        return cls.model_construct(**row)

    def values(self) -> dict[str, Any]:
        """The fields by name: all are plain values, nothing is converted."""
        return dict(self.__dict__)


def table(model: type[Record]) -> Table:
    """The SQLAlchemy table of a table class; statements are built on it (a session of objects costs a
    multiple).
    """
    return cast(Table, getattr(model, "__table__"))  # noqa: B009
