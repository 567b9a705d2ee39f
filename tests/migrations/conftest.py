"""Migrations on both engines."""

from tests.postgres import _file, _template, database_url, migrated_url, postgres_server  # noqa: F401
