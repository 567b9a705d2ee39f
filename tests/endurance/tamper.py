"""Random changes behind the back of the service, one at a time: the walk along the digests finds every one.

Columns of any table are changed, rows removed, rows put in; each is undone before the next.
"""

import random
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Table

from service.storage import Broken, Storage, verify
from service.storage.schema import TABLES
from tests.storage.intruder import Intruder, changing, tampered, untyped
from tests.storage.records import filled, with_rows

NOT_COVERED = {("keys", "last_used"), ("conditions", "shown_number")}
"""The first changes whenever the key is used; the second hides ports and drafts until they are computed anew."""


@dataclass
class Outcome:
    """What was done and found."""

    found: Counter[str] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)
    tables: set[str] = field(default_factory=set)

    def __str__(self) -> str:
        done = ", ".join(f"{count} {what}" for what, count in sorted(self.found.items()))
        return (
            f"{done}, in {len(self.tables)} tables: all found"
            if not self.missed
            else f"missed: {self.missed}"
        )


def run(database: str, rounds: int, seed: int = 1) -> Outcome:
    """Tamper `rounds` times with a database at the newest schema. Raises AssertionError where something is missed."""
    rng, outcome = random.Random(seed), Outcome()
    storage = Storage(database)
    with_rows(storage)
    filled(storage, revisions=4)
    exported = verify(storage)
    intruder = Intruder(storage)
    with storage.transaction() as tx:
        there = [table for table in TABLES if tx.connection.execute(table.select()).first()]
    for _ in range(rounds):
        table = rng.choice(there)
        with storage.transaction() as tx:
            rows = [dict(row) for row in tx.connection.execute(table.select()).mappings()]
        row = rng.choice(rows)
        key = {column.name: row[column.name] for column in table.primary_key}
        what, do, undo = _act(rng, untyped(table), key, row)
        if what is None:
            continue
        intruder.do(do)
        try:
            verify(storage, exported.head)
            outcome.missed.append(f"{what} in {table.name}: {row}")
        except Broken:
            outcome.found[what] += 1
            outcome.tables.add(table.name)
        intruder.do(undo)
    assert verify(storage, exported.head) == exported
    intruder.engine.dispose()
    storage.close()
    assert outcome.missed == []
    return outcome


def _act(
    rng: random.Random, table: Table, key: dict[str, Any], row: dict[str, Any]
) -> tuple[str | None, Any, Any]:
    """What to do to a row, and what undoes it; None where the column chosen admits no other value."""
    kind = rng.choice(("changed", "changed", "removed", "added"))
    if kind == "removed":
        return "removed", _delete(table, key), table.insert().values(row)
    if kind == "added":
        copy = row | {
            name: f"{value}x" if isinstance(value, str) else value + 1000 for name, value in key.items()
        }
        if row.get("state") == "in_force":  # the database itself has one at most against it
            copy["state"] = "worked_on"
        there = {name: copy[name] for name in key}
        return "added", table.insert().values(copy), _delete(table, there)
    column = rng.choice(list(table.columns))
    value = tampered(column, row[column.name], rng)
    if value is None or (table.name, column.name) in NOT_COVERED:
        return None, None, None
    now = {**key, column.name: value} if column.name in key else key
    return (
        "changed",
        changing(table, key, {column.name: value}),
        changing(table, now, {column.name: row[column.name]}),
    )


def _delete(table: Table, key: dict[str, Any]) -> Any:
    return table.delete().where(*(table.c[name] == value for name, value in key.items()))
