"""Webhooks: addresses that the service tells of changes, by the rules of Standard Webhooks."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.change import Change
from service.wire.fields import Document, Note, VesselId
from service.wire.record import Moment, Next, Verdict

EventType = Literal["revision.kept", "verdict.changed", "review.made", "state.changed", "vessel.revised"]
MessageType = Literal[
    "revision.kept", "verdict.changed", "review.made", "state.changed", "vessel.revised", "test"
]
"""What a message is: an event, or the test that somebody asked for."""
DeliveryState = Literal["waiting", "delivered", "dead"]
MAX_ADDRESS = 2000
MAX_DELIVERIES = 100
Url = Annotated[str, Field(min_length=1, max_length=MAX_ADDRESS, pattern=r"^https?://[\x21-\x7e]+$")]
Events = Annotated[list[EventType], Field(min_length=1, max_length=10)]
Scope = Annotated[list[VesselId], Field(min_length=1, max_length=2000)]


class WebhookRequest(Document):
    """A webhook to be made."""

    url: Url = Field(
        description="Where to post to. `https`; `http` only inside networks that the installation allows. Redirects "
        "are not followed.",
        examples=["https://office.example/loading"],
    )
    events: Events = Field(
        description="What to tell of. `verdict.changed`: a kept revision has another verdict than the one before it.",
        examples=[["revision.kept", "verdict.changed"]],
    )
    vessels: Scope | None = Field(
        default=None,
        description="Ids of vessels it is narrowed to; all that its key sees when absent.",
        examples=[["halvenmoor"]],
    )
    description: Note | None = Field(
        default=None, description="What it is for.", examples=["Fleet reporting"]
    )


class WebhookChange(Document):
    """What is to be another one from now on; members that are absent stay as they are."""

    url: Url | None = Field(default=None, description="Where to post to.")
    events: Events | None = Field(default=None, description="What to tell of.")
    vessels: Scope | None = Field(default=None, description="Ids of vessels; null for all that its key sees.")
    description: Note | None = Field(default=None, description="What it is for; null for nothing.")
    state: Literal["active", "paused"] | None = Field(
        default=None,
        description="`paused`: changes are not told from now on, what waits goes on waiting. `active`: goes on, also "
        "after it was stopped.",
    )


class SecretRequest(Document):
    """How a new secret takes over from the present one."""

    overlap_hours: Annotated[int, Field(ge=0, le=168)] = Field(
        default=24, description="Hours during which every message is signed with both."
    )


class RedeliveryRequest(Document):
    """What to send again."""

    deliveries: Annotated[list[VesselId], Field(min_length=1, max_length=MAX_DELIVERIES)] | None = Field(
        default=None, description="Ids of deliveries; all dead ones of the webhook when absent."
    )


class Webhook(TypedDict):
    """A webhook, without its secret."""

    id: str
    key: Annotated[str, Field(description="Id of the key it belongs to: it is told what that key may see.")]
    url: str
    events: list[EventType]
    vessels: Annotated[list[str] | None, Field(description="Narrowed to these; null: all that the key sees.")]
    description: str | None
    state: Annotated[
        Literal["active", "paused", "stopped"],
        Field(
            description="`stopped`: by a receiver that answered 410, or because nobody answered for five days."
        ),
    ]
    reason: Annotated[str | None, Field(description="Why it is stopped.")]
    secret_overlap_until: Annotated[
        Moment | None, Field(description="Until when the secret before signs as well; null when it does not.")
    ]
    created: Moment
    updated: Moment
    last_success: Moment | None
    last_failure: Moment | None


class NewWebhook(Webhook):
    """A webhook with its secret, shown here only."""

    secret: Annotated[
        str,
        Field(
            description="`whsec_` and base64 of the key of HMAC-SHA256. Not shown again.",
            examples=["whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"],
        ),
    ]


class WebhookList(TypedDict):
    """A page of webhooks."""

    items: list[Webhook]
    next: Next


class Delivery(TypedDict):
    """A message to a webhook and what became of it."""

    id: Annotated[str, Field(description="The `webhook-id` of every attempt.")]
    webhook: str
    type: MessageType
    change: Annotated[int, Field(description="Id of the line of the feed it tells of; 0 for a test.")]
    vessel: Annotated[str, Field(description="The vessel it tells of; empty for a test.")]
    created: Moment
    state: Annotated[
        DeliveryState,
        Field(
            description="`dead`: nobody tries again unless asked to; kept for 30 days like those delivered."
        ),
    ]
    attempts: int
    next_attempt: Annotated[Moment | None, Field(description="Not before that; null when none is due.")]
    last_attempt: Moment | None
    status: Annotated[
        int | None, Field(description="HTTP status of the last attempt; null without an answer.")
    ]
    error: Annotated[str | None, Field(description="Why the last attempt failed.")]


class DeliveryList(TypedDict):
    """A page of the deliveries of a webhook, newest first."""

    items: list[Delivery]
    next: Next


class Redelivery(TypedDict):
    """How many messages are sent again."""

    redelivered: int


class EventData(Change):
    """The line of the feed; figures in metres and tonnes."""

    previous_verdict: Annotated[
        Verdict | None, Field(description="Of the revision before, beside `verdict.changed`; null elsewhere.")
    ]
    address: Annotated[str, Field(description="Where the record is, below the address of the service.")]


class Event(TypedDict):
    """The body of a message; `timestamp` is when the change was kept."""

    type: EventType
    timestamp: Moment
    data: EventData


TEST_MESSAGE = "A test of this webhook, asked for by somebody. Nothing was changed."


class TestData(TypedDict):
    """What a test says."""

    webhook: Annotated[str, Field(description="Id of the webhook.")]
    message: str


class TestEvent(TypedDict):
    """The body of a test: sent when somebody asks for it, to that webhook alone, and once."""

    type: Literal["test"]
    timestamp: Moment
    data: TestData
