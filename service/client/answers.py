"""What the client gives beside the published language's own records."""

from typing import Generic, NamedTuple, TypeVar

RecordT = TypeVar("RecordT")


class StoredRecord(NamedTuple, Generic[RecordT]):
    """A kept record, and the tag of its state, to be named in the next change."""

    record: RecordT
    etag: str


class File(NamedTuple):
    """A file the service made: its bytes, its media type, the name it is given, and the tag of its state."""

    content: bytes
    media_type: str
    name: str
    etag: str
