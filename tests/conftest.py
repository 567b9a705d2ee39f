"""With REQUIRE_ALL set (as in CI) a test that would be skipped for want of a program fails instead."""

import os
from collections.abc import Generator

import pytest


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    if report.skipped and os.environ.get("REQUIRE_ALL") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped although everything is required: {report.longrepr}"
    return report
