"""How requests made from the description are written where they are not JSON."""

from typing import Any

import schemathesis

WORKBOOKS = (
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "application/zip",
    "text/csv",
    "text/tab-separated-values",
)


@schemathesis.serializer("application/x-ndjson", "application/jsonl")
def as_lines(context: Any, value: Any) -> bytes:
    """A stream is text: any text may be posted as one."""
    return str(value).encode("utf-8", "replace")


@schemathesis.serializer(*WORKBOOKS)
def as_file(context: Any, value: Any) -> bytes:
    """A file is bytes: any bytes may be posted as one."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")
