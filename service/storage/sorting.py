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

    @property
    def name(self) -> str:
        """The column without its direction."""
        return self.column.removeprefix("-")

    def apply(
        self, statement: Select[Any], table: Table, value: ColumnElement[Any] | None = None
    ) -> Select[Any]:
        """A statement about a table, in order, behind the last item. value: what to order by, where it is no column of
        the table."""
        falls, id = self.column.startswith("-"), table.c.id
        value = table.c[self.name] if value is None else value
        if self.last is not None:
            keyset, last = tuple_(value, id), tuple_(*self.last)
            statement = statement.where(keyset < last if falls else keyset > last)
        return statement.order_by(*((value.desc(), id.desc()) if falls else (value, id)))
