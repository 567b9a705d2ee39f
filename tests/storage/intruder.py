"""Somebody with all rights on a database, and the changes he makes."""

import math
import random
from typing import Any

from sqlalchemy import Column, MetaData, Table, Text, Update, text

from service.storage import Storage
from service.storage.engine import migration_engine
from service.storage.table import UtcTime

OTHER = {
    "verdict": {"pass": "fail"},
    "review_state": {"accepted": "returned", "unreviewed": "accepted"},
    "decision": {"accepted": "returned", "returned": "accepted"},
    "state": {
        "in_force": "put_aside",
        "put_aside": "worked_on",
        "worked_on": "withdrawn",
        "active": "withdrawn",
    },
}
_TRIGGERS = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"


class Intruder:
    """Triggers and foreign keys do not hold him; he leaves the triggers as they were."""

    def __init__(self, storage: Storage) -> None:
        self.engine = migration_engine(storage.url)

    def do(self, *statements: Any) -> None:
        """Execute SQL, or call functions with the connection, in one transaction."""
        with self.engine.begin() as connection:
            triggers: list[Any] = []
            if connection.dialect.name == "postgresql":
                connection.exec_driver_sql("SET LOCAL session_replication_role = replica")
            else:
                triggers = list(connection.exec_driver_sql(_TRIGGERS).all())
            for name, _ in triggers:
                connection.exec_driver_sql(f"DROP TRIGGER {name}")
            for statement in statements:
                if callable(statement):
                    statement(connection)
                else:
                    connection.execute(text(statement) if isinstance(statement, str) else statement)
            for _, made in triggers:
                connection.exec_driver_sql(made)


def changing(table: Table, key: dict[str, Any], values: dict[str, Any]) -> Update:
    return table.update().where(*(table.c[name] == value for name, value in key.items())).values(values)


def tampered(column: Column[Any], value: Any, rng: random.Random) -> Any:
    """The same value with one character, one bit or one unit changed; some value where there was none.

    None when the column admits no other value.
    """
    if column.name in OTHER:
        return OTHER[column.name].get(value)
    if isinstance(value, str) and value:
        place = rng.randrange(len(value))
        return value[:place] + ("x" if value[place] != "x" else "y") + value[place + 1 :]
    if isinstance(value, float):
        return math.nextafter(value, math.inf)
    if isinstance(value, int):
        return value + 1000  # free, also where numbers are unique
    return "x" if isinstance(column.type, Text | UtcTime) else 1


def untyped(table: Table) -> Table:
    """The table without our type of time, which refuses what an intruder writes."""
    columns = [Column(c.name, Text() if isinstance(c.type, UtcTime) else c.type) for c in table.columns]
    return Table(table.name, MetaData(), *columns)
