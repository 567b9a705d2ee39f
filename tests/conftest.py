"""With REQUIRE_ALL set (as in CI) a test that would be skipped for want of a program fails instead.

Tests that take long for what they add are marked `long` and left to the long run, `pytest -m long`. So are, above the
storage layer, which is tested on both engines everywhere, those on PostgreSQL.
"""

import os
from collections.abc import Generator

import pytest

ABOVE_STORAGE = ("tests/api/", "tests/actions/", "tests/pages/")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.nodeid.startswith(ABOVE_STORAGE) and "postgresql" in item.nodeid:
            item.add_marker("long")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    if report.skipped and os.environ.get("REQUIRE_ALL") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped although everything is required: {report.longrepr}"
    return report
