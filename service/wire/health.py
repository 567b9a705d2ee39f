"""Whether the service lives, and what it is."""

from typing_extensions import TypedDict


class Alive(TypedDict):
    """The answer of the two health checks."""

    status: str
    """`ok`."""


class Version(TypedDict):
    """What is running."""

    api_version: str
    """Major version of the published language; also the first part of every address."""
    calculation_version: str
    """Changes whenever a figure of an answer can change."""
    service_version: str
    """Version of the software."""
