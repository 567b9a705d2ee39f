"""What the client gives beside the published language's own records."""

from typing import Any, NamedTuple

from typing_extensions import TypedDict

from service.wire.problem import Problem


class LineProblem(Problem):
    """Why one line of a batch was refused. `line` counts the requests given to the batch, from 1."""

    line: int


class Version(TypedDict):
    """What is running at the other end."""

    api_version: str
    calculation_version: str
    service_version: str


class StoredRecord(NamedTuple):
    """A kept record (as `service.wire.condition_record` or `service.wire.vessel_record` describe it) and the tag of
    its state, to be named in the next change."""

    record: dict[str, Any]
    etag: str
