"""A client of the service: typed by the published language, needing nothing but it, httpx and pydantic.

`ServiceClient` is for plain programs, `AsyncServiceClient` the same for asyncio. `verify_webhook` checks what the
service sends by itself. Requests are mappings, JSON texts or models of `service.wire`; answers are typed dictionaries.
"""

from service.client.answers import File, StoredRecord
from service.client.asynchronous.assessments import BatchAnswer
from service.client.asynchronous.client import AsyncServiceClient
from service.client.documents import Document
from service.client.errors import (
    CutOff,
    FeedRewound,
    Refused,
    ServiceError,
    Unreachable,
    WebhookRefused,
)
from service.client.feed_place import FeedPlace, PlaceInFile, PlaceInMemory, Position
from service.client.synchronous.client import ServiceClient
from service.client.webhook import verify_webhook
from service.wire.batch import LineProblem

__all__ = [
    "AsyncServiceClient",
    "BatchAnswer",
    "CutOff",
    "Document",
    "FeedPlace",
    "FeedRewound",
    "File",
    "LineProblem",
    "PlaceInFile",
    "PlaceInMemory",
    "Position",
    "Refused",
    "ServiceClient",
    "ServiceError",
    "StoredRecord",
    "Unreachable",
    "WebhookRefused",
    "verify_webhook",
]
