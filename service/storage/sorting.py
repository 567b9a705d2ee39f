"""Lists in the order somebody asks for, page by page: keysets of a column and the id."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Select, Table, tuple_


def any_of(column: ColumnElement[Any], value: str | Collection[str]) -> ColumnElement[bool]:
    """That a column has this value, or any of these."""
    return column == value if isinstance(value, str) else column.in_(value)


@dataclass(frozen=True, slots=True)
class Sorting:
    """column: that is never null, with `-` before it for the other direction. last: value and id of the last item of
    the page before."""

    column: str
    last: tuple[str, str] | None = None

    def apply(self, statement: Select[Any], table: Table) -> Select[Any]:
        """A statement about a table, in order, behind the last item."""
        name, falls = self.column.removeprefix("-"), self.column.startswith("-")
        value, id = table.c[name], table.c.id
        if self.last is not None:
            keyset, last = tuple_(value, id), tuple_(*self.last)
            statement = statement.where(keyset < last if falls else keyset > last)
        return statement.order_by(*((value.desc(), id.desc()) if falls else (value, id)))
