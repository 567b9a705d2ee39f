"""PostgreSQL for the entry point of the image."""

from tests.postgres import postgres_server  # noqa: F401
