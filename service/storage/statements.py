"""The statements of one transaction. New rows are held back and sent together, always before anything that is asked:
a statement costs more than the row it carries, and conditions kept together bring four rows each.
"""

from functools import cache
from typing import Any

from sqlalchemy import Connection, CursorResult, Executable, Insert

from .table import Row


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
                self._connection.execute(statement, rows[statement])


@cache
def _order() -> dict[Any, int]:
    return {table: n for n, table in enumerate(Row.metadata.sorted_tables)}
