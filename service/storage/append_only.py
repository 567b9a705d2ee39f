"""Triggers by which the database itself refuses to change or remove what was kept.

The statements are made from table and column names alone, for use in migrations. A migration that rebuilds
a table (batch mode of alembic on SQLite) drops its triggers silently: it must create them anew, and a test
compares what is there with `AT_HEAD`.
"""

import re
from collections.abc import Callable, Iterable
from typing import Any

from sqlalchemy import Connection, inspect, text

# The triggers a database at the newest migration has.
AT_HEAD = frozenset(
    f"{table}_refuses_{event}"
    for table, events in {
        "vessel_revisions": ("update", "delete"),
        "condition_revisions": ("update", "delete"),
        "reviews": ("update", "delete"),
        "condition_states": ("update", "delete"),
        "vessel_states": ("update", "delete"),
        "changes": ("update", "delete"),
        "audit": ("update", "delete"),
        "row_digests": ("update", "delete"),
        "pepper_checks": ("update", "delete"),
        "vessels": ("step_back", "delete"),
        "conditions": ("step_back", "delete"),
        "keys": ("delete",),
        "fleets": ("delete",),
    }.items()
    for event in events
)
_HEADS: dict[str, tuple[tuple[str, ...], list[tuple[str, str]]]] = {
    "vessels": (("id", "created"), [("head_number", "head_digest"), ("states", "state_digest")]),
    "conditions": (
        ("id", "vessel", "created"),
        [("head_number", "head_digest"), ("reviews", "review_digest"), ("states", "state_digest")],
    ),
}
"""Of each table of heads the columns that never change, and the pairs of number and digest that only move forward."""


def refuse(dialect: str, table: str, event: str) -> list[str]:
    """Statements for a trigger that refuses every UPDATE or DELETE (`event`, lower case) of a table.

    On PostgreSQL the one for DELETE refuses TRUNCATE as well.
    """
    message = f"{table} is append-only"
    if dialect == "sqlite":
        return [
            f"CREATE TRIGGER {table}_refuses_{event} BEFORE {event.upper()} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
        ]
    name = f"{table}_refuses_{event}"
    events = "DELETE OR TRUNCATE" if event == "delete" else "UPDATE"
    return [
        _function(name, f"RAISE EXCEPTION '{message}' USING ERRCODE = 'restrict_violation';"),
        f"CREATE TRIGGER {name} BEFORE {events} ON {table} FOR EACH STATEMENT EXECUTE FUNCTION {name}()",
    ]


def refuse_step_back(
    dialect: str, table: str, fixed: Iterable[str], heads: Iterable[tuple[str, str]]
) -> list[str]:
    """Statements for a trigger on a table of heads.

    `fixed` columns never change. Each head is a pair (number column, digest column): the number stays or
    grows by one, and while it stays so does the digest.
    """
    differs = "IS NOT" if dialect == "sqlite" else "IS DISTINCT FROM"
    wrong = [f"NEW.{column} {differs} OLD.{column}" for column in fixed]
    for number, digest in heads:
        wrong.append(f"NEW.{number} NOT IN (OLD.{number}, OLD.{number} + 1)")
        wrong.append(f"(NEW.{number} = OLD.{number} AND NEW.{digest} {differs} OLD.{digest})")
    condition, message = " OR ".join(wrong), f"a head of {table} only moves forward"
    name = f"{table}_refuses_step_back"
    if dialect == "sqlite":
        return [
            f"CREATE TRIGGER {name} BEFORE UPDATE ON {table} WHEN {condition} "
            f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
        ]
    raising = f"IF {condition} THEN RAISE EXCEPTION '{message}' USING ERRCODE = 'restrict_violation'; END IF;"
    return [
        _function(name, raising + " RETURN NEW;"),
        f"CREATE TRIGGER {name} BEFORE UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()",
    ]


def drop(dialect: str, table: str, name: str) -> list[str]:
    """Statements that remove one trigger by its full name."""
    if dialect == "sqlite":
        return [f"DROP TRIGGER {name}"]
    return [f"DROP TRIGGER {name} ON {table}", f"DROP FUNCTION {name}()"]


def present(connection: Connection) -> frozenset[str]:
    """The names of our triggers in a database."""
    if connection.dialect.name == "sqlite":
        rows = connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'trigger'")
    else:
        rows = connection.exec_driver_sql(
            "SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
            " WHERE NOT tgisinternal AND tgenabled <> 'D' AND relnamespace = current_schema()::regnamespace"
        )
    return frozenset(row[0] for row in rows)


def first_missing(connection: Connection) -> str | None:
    """The name of a trigger that is not there, is switched off or is not ours; None when all are there."""
    dialect = connection.dialect.name
    there = _definitions(connection)
    for name in sorted(AT_HEAD):
        if there.get(name) != _statements_of(dialect, name):
            return name
    return None


def _statements_of(dialect: str, name: str) -> tuple[str, ...]:
    """The statements that make one trigger, in the form of `_definitions`."""
    table, _, event = name.partition("_refuses_")
    made = (
        refuse_step_back(dialect, table, *_HEADS[table])
        if event == "step_back"
        else refuse(dialect, table, event)
    )
    if dialect == "sqlite":
        return tuple(made)
    body = re.search(r"\$\$(.*)\$\$", made[0], re.DOTALL)
    assert body is not None
    return made[1], body[1]


def _definitions(connection: Connection) -> dict[str, tuple[str, ...]]:
    """What the database says of each trigger that is switched on."""
    if connection.dialect.name == "sqlite":
        rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    else:
        rows = connection.exec_driver_sql(
            "SELECT tgname, pg_get_triggerdef(t.oid, true), prosrc FROM pg_trigger t"
            " JOIN pg_class c ON c.oid = tgrelid JOIN pg_proc p ON p.oid = tgfoid"
            " WHERE NOT tgisinternal AND tgenabled IN ('O', 'A')"
            " AND relnamespace = current_schema()::regnamespace"
        )
    return {row[0]: tuple(row[1:]) for row in rows}


def require_empty(connection: Connection) -> None:
    """For a step down, which would lose or break what is kept. Raises RuntimeError when there is a row."""
    for table in sorted(inspect(connection).get_table_names()):
        if table == "alembic_version":
            continue
        if connection.execute(text(f"SELECT 1 FROM {table} LIMIT 1")).first():  # noqa: S608
            raise RuntimeError(
                f"{table} holds rows; only an empty database is taken to an older schema. "
                "Restore a backup of the older release instead."
            )


def drop_table(execute: Callable[[Any], Any], dialect: str, table: str, events: Iterable[str]) -> None:
    """Remove an append-only table; PostgreSQL keeps the functions of its triggers unless they are removed too."""
    for event in events if dialect != "sqlite" else ():
        for statement in drop(dialect, table, f"{table}_refuses_{event}"):
            execute(text(statement))
    execute(text(f"DROP TABLE {table}"))


def _function(name: str, body: str) -> str:
    return f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$"
