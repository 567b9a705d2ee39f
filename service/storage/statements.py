"""The statements of one transaction. New rows are held back and sent together, always before anything that is asked:
a statement costs more than the row it carries, and conditions kept together bring six rows each.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache, lru_cache
from operator import itemgetter
from typing import Any, NamedTuple

from sqlalchemy import Connection, CursorResult, Dialect, Executable, Insert

from .table import Record

WORTH_A_PLAIN_INSERT = 4
"""Rows from which on the text of the statement, worked out once, is handed to the driver with the values alone:
SQLAlchemy looks at each value of each row anew, which costs as much as the database."""


class Statements:
    """Executes on one connection. Whoever ends the transaction calls `send` first."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows: dict[Insert, list[dict[str, Any]]] = {}
        self.wrote = False

    def execute(
        self, statement: Executable, values: dict[str, Any] | None = None
    ) -> CursorResult[*tuple[Any, ...]]:
        """Send what was held back, then this. Raises the driver's errors, also those of rows held back."""
        self.send()
        self.wrote = self.wrote or not statement.is_select
        return self._connection.execute(statement, values)

    def add(self, statement: Insert, row: dict[str, Any]) -> None:
        """Hold a new row back. What the database has against it is raised by a later call."""
        self.wrote = True
        self._rows.setdefault(statement, []).append(row)

    def send(self) -> None:
        """Send the rows held back, those of a table after those of the tables it refers to."""
        if self._rows:
            rows, self._rows = self._rows, {}
            for statement in sorted(rows, key=lambda adding: _order()[adding.table]):
                self._send_rows(statement, rows[statement])

    def _send_rows(self, statement: Insert, rows: list[dict[str, Any]]) -> None:
        columns = frozenset(rows[0])
        if len(rows) < WORTH_A_PLAIN_INSERT or any(row.keys() != columns for row in rows):
            self._connection.execute(statement, rows)
            return
        plain = _plain_insert(statement, self._connection.dialect, columns)
        self._connection.exec_driver_sql(plain.text, list(plain.values(rows)))


class _PlainInsert(NamedTuple):
    """An insert as the driver takes it. `order`: names of the values by place, None where they go by name. `checks`:
    what the type of a column does to a value before it is sent."""

    text: str
    order: Sequence[str] | None
    checks: Mapping[str, Callable[[Any], Any]]

    def values(self, rows: Sequence[dict[str, Any]]) -> Iterator[Any]:
        """The values of each row, for the driver. Raises ValueError for one that its column refuses."""
        if self.checks:
            rows = [row | {name: check(row[name]) for name, check in self.checks.items()} for row in rows]
        return iter(rows) if self.order is None else map(itemgetter(*self.order), rows)


@lru_cache(maxsize=128)
def _plain_insert(statement: Insert, dialect: Dialect, columns: frozenset[str]) -> _PlainInsert:
    compiled = statement.compile(dialect=dialect, column_keys=sorted(columns))
    table = statement.table
    processors = {name: table.c[name].type.dialect_impl(dialect).bind_processor(dialect) for name in columns}
    checks = {name: process for name, process in processors.items() if process is not None}
    return _PlainInsert(str(compiled), compiled.positiontup if compiled.positional else None, checks)


@cache
def _order() -> dict[Any, int]:
    return {table: n for n, table in enumerate(Record.metadata.sorted_tables)}
