"""How alembic runs our migrations: one transaction for all steps, under the lock of writers, on our own
engine.

From the command line: `alembic -x url=sqlite:///path/to/file.db upgrade head`.
"""

from alembic import context
from sqlalchemy import Connection

from service.storage.engine import migration_engine, parse
from service.storage.schema import METADATA


def _url() -> str:
    given = context.get_x_argument(as_dictionary=True).get("url")
    if not isinstance(given, str):
        raise SystemExit("say which database: alembic -x url=sqlite:///path/to/file.db ...")
    return given


def _check_foreign_keys(connection: Connection) -> None:
    """Foreign keys are off while SQLite tables are rebuilt; nothing may be left dangling by it."""
    if connection.dialect.name == "sqlite":
        dangling = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        if dangling:
            raise RuntimeError(f"rows without their parents after the migration: {dangling[:5]}")


def run() -> None:
    engine = migration_engine(context.config.attributes.get("url") or parse(_url()))
    try:
        with engine.connect() as connection, connection.begin():
            context.configure(
                connection=connection,
                target_metadata=METADATA,
                compare_type=True,
                # Rebuilding a table drops its triggers (see service/storage/append_only.py): never by
                # default.
                render_as_batch=False,
                transaction_per_migration=False,
            )
            context.run_migrations()
            _check_foreign_keys(connection)
    finally:
        engine.dispose()


if context.is_offline_mode():
    raise SystemExit("migrations need the database: triggers and checks depend on it")
run()
