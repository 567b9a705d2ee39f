"""Two roles on PostgreSQL: the one that owns the schema and migrates it, and the one that serves.

The serving role may read everything and add to it. What it may change or remove follows from the triggers: nothing
where they refuse it. It can empty, alter or drop no table. (PostgreSQL 15 documentation, section 5.7.)
"""

from sqlalchemy import Connection, inspect, text

from .append_only import AT_HEAD
from .engine import migration_engine, parse
from .errors import Conflict, storage_errors

_LESS = {
    "alembic_version": frozenset({"SELECT"}),
    "posted_references": frozenset({"SELECT", "INSERT"}),
    "kept_answers": frozenset({"SELECT", "INSERT", "DELETE"}),
}
"""Tables without such triggers of which less than everything is needed."""
_GRANTEES = text(
    "SELECT DISTINCT grantee FROM information_schema.role_table_grants"
    " WHERE table_name = 'alembic_version' AND table_schema = current_schema() AND grantee <> current_user"
)


def rights(table: str) -> frozenset[str]:
    """What the serving role may do with a table."""
    if table in _LESS:
        return _LESS[table]
    refused = {"DELETE": "delete", "UPDATE": "update"}
    granted = {right for right, event in refused.items() if f"{table}_refuses_{event}" not in AT_HEAD}
    return frozenset({"SELECT", "INSERT"} | granted)


def grant_service_roles(url: str, role: str | None = None) -> list[str]:
    """Give the rights to `role`, and to every role that had them at the schema before; their names.

    Raises Conflict for a role that is not there, or another database than PostgreSQL."""
    parsed = parse(url)
    if parsed.get_backend_name() != "postgresql":
        if role is None:
            return []
        raise Conflict("roles are a matter of PostgreSQL: a SQLite file has an owner")
    engine = migration_engine(parsed)
    try:
        with storage_errors(), engine.begin() as connection:
            roles = {name for (name,) in connection.execute(_GRANTEES) if name != "PUBLIC"} | {role or ""}
            for name in sorted(roles - {""}):
                _grant(connection, name)
            return sorted(roles - {""})
    finally:
        engine.dispose()


def _grant(connection: Connection, role: str) -> None:
    if not connection.execute(text("SELECT 1 FROM pg_roles WHERE rolname = :role"), {"role": role}).first():
        raise Conflict(f"there is no role {role} in the database; create it first")
    quoted = connection.dialect.identifier_preparer.quote_identifier
    schema, to = quoted(str(connection.dialect.default_schema_name)), quoted(role)
    connection.exec_driver_sql(f"REVOKE CREATE ON SCHEMA {schema} FROM PUBLIC")
    connection.exec_driver_sql(f"GRANT USAGE ON SCHEMA {schema} TO {to}")
    for table in sorted(inspect(connection).get_table_names()):
        connection.exec_driver_sql(f"REVOKE ALL ON {quoted(table)} FROM {to}")
        connection.exec_driver_sql(f"GRANT {', '.join(sorted(rights(table)))} ON {quoted(table)} TO {to}")
    connection.exec_driver_sql(f"GRANT SELECT, USAGE, UPDATE ON ALL SEQUENCES IN SCHEMA {schema} TO {to}")
