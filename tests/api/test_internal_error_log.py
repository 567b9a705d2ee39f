"""What is written about an unexpected error: where it happened, never what was in hand."""

import structlog

from service.web.problems import log_unexpected


def _fail(key: str) -> None:
    raise ZeroDivisionError("no text of ours" if key else "")


def test_the_trace_is_kept_and_no_local_variable() -> None:
    try:
        _fail("lc_secret_of_somebody")
    except ZeroDivisionError as error:
        with structlog.testing.capture_logs() as logs:
            log_unexpected(error, "reference-1")
    (line,) = logs
    assert line["request_id"] == "reference-1"
    assert "in _fail" in line["trace"]
    assert "lc_secret_of_somebody" not in repr(line).replace('_fail("lc_secret_of_somebody")', "")
    assert not {"exc_info", "exception"} & line.keys()
