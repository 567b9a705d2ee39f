"""Commands run in the process of the tests."""

from collections.abc import Iterator
from typing import Any

import pytest
import structlog


@pytest.fixture(autouse=True)
def log_of_its_own(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """What a command says of the log of its process ends with the test, for loggers that were used meanwhile too."""
    configure = structlog.configure

    def for_now(**given: Any) -> None:
        configure(**{**given, "cache_logger_on_first_use": False})

    monkeypatch.setattr(structlog, "configure", for_now)
    yield
    structlog.reset_defaults()
