"""Storage on both engines, and records to fill it with (all invented)."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.storage import Storage, migrate
from tests.postgres import database_url, migrated_url, postgres_server  # noqa: F401


@pytest.fixture
def storage(migrated_url: str) -> Iterator[Storage]:  # noqa: F811
    opened = Storage(migrated_url)
    yield opened
    opened.close()


@pytest.fixture
def sqlite_storage(tmp_path: Path) -> Iterator[Storage]:
    """For what concerns SQLite alone."""
    url = f"sqlite:///{tmp_path / 'alone.db'}"
    migrate(url)
    opened = Storage(url)
    yield opened
    opened.close()
