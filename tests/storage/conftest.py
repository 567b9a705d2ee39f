"""Storage on both engines, and records to fill it with (all invented)."""

from collections.abc import Iterator

import pytest

from service.storage import Storage
from tests.postgres import _file, _template, database_url, migrated_url, postgres_server  # noqa: F401


@pytest.fixture
def storage(migrated_url: str) -> Iterator[Storage]:  # noqa: F811
    opened = Storage(migrated_url)
    yield opened
    opened.close()
