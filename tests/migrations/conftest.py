"""Migrations on both engines."""

from tests.postgres import database_url, migrated_url, postgres_server  # noqa: F401
