"""With REQUIRE_ALL set (as in CI) a test that would be skipped for want of a program fails instead.

Tests that take long for what they add are marked `long` and left to the long run, `pytest -m long`: those of `LONG`,
and above the storage layer, which is tested on both engines everywhere, the ones on PostgreSQL.
"""

import os
from collections.abc import Generator

import pytest

LONG = (
    "tests/demo/test_demo_files.py::test_rebuilt_document_is_the_committed_one",
    "tests/api/batch/test_stream.py::test_every_line_of_ten_thousand_is_answered_in_order",
    "tests/imports/test_hostile_files.py::test_each_has_its_answer_and_costs_little[200 MB of rows]",
    "tests/imports/test_hostile_files.py::test_each_has_its_answer_and_costs_little[3,000,000 numbers]",
    "tests/imports/test_hostile_files.py::test_each_has_its_answer_and_costs_little[400,000 numbers]",
)
ABOVE_STORAGE = ("tests/api/", "tests/actions/", "tests/pages/")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        on_postgresql = item.nodeid.startswith(ABOVE_STORAGE) and "postgresql" in item.nodeid
        if on_postgresql or item.nodeid.startswith(LONG):
            item.add_marker("long")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    if report.skipped and os.environ.get("REQUIRE_ALL") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped although everything is required: {report.longrepr}"
    return report
