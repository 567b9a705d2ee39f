"""The messages of webhooks in the published description: what a receiver gets, and what it answers."""

from typing import Any, get_args

from service.wire.webhook import TEST_MESSAGE, MessageType, TestEvent

_WORDS: dict[str, tuple[str, str]] = {
    "revision.kept": ("onRevisionKept", "A revision of a condition was kept"),
    "verdict.changed": ("onVerdictChanged", "A kept revision has another verdict than the one before it"),
    "review.made": ("onReviewMade", "A revision was accepted or returned"),
    "state.changed": ("onStateChanged", "A condition or a vessel was given another state"),
    "vessel.revised": ("onVesselRevised", "A revision of a vessel's data was kept"),
    "test": ("onTest", "A test, when somebody asks for it"),
}
_HEADERS = {
    "webhook-id": "Id of the message, the same in every attempt: what comes twice has it twice.",
    "webhook-timestamp": "When this attempt was made, in seconds since 1970-01-01.",
    "webhook-signature": "`v1,` and base64 of the HMAC-SHA256 of id, timestamp and body with dots between them; "
    "several with spaces between them while one secret takes the place of another.",
}
_EXAMPLES = {
    "webhook-id": "msg_2KWPBgLlAfxdpx2AI54pPJ85f4W",
    "webhook-timestamp": "1795694400",
    "webhook-signature": "v1,K5oZfzN95Z9UVu1EsfQmfVNQhnkZ2pj9o9NDN/H/pI4=",
}
_SENT = "Sent to every webhook that asks for it, at least once"
_AGAIN = "Not now: it is sent again, ten times in three days."
_TEST: TestEvent = {
    "type": "test",
    "timestamp": "2026-11-26T12:00:00.000000Z",
    "data": {
        "webhook": "01a218fb-0000-7000-8000-000000000001",
        "message": TEST_MESSAGE,
    },
}


def webhook_messages(change: dict[str, Any] | None) -> dict[str, Any]:
    """The member `webhooks` of the description. change: a line of the feed, for the example."""
    return {kind: {"post": _message(kind, change)} for kind in get_args(MessageType)}


def _message(kind: str, change: dict[str, Any] | None) -> dict[str, Any]:
    name, summary = _WORDS[kind]
    is_test = kind == "test"
    schema = "TestEvent" if is_test else "Event"
    content: dict[str, Any] = {"schema": {"$ref": f"#/components/schemas/{schema}"}}
    if is_test:
        content["examples"] = {"example": {"summary": "A message", "value": _TEST}}
    elif change is not None:
        content["examples"] = {"example": {"summary": "A message", "value": _event(kind, change)}}
    return {
        "operationId": name,
        "tags": ["Webhooks"],
        "summary": summary,
        "description": ("Sent to the webhook that is tested, once" if is_test else _SENT)
        + ", by the rules of Standard Webhooks 1.0. Verify the signature before anything else.",
        "parameters": [
            {
                "name": header,
                "in": "header",
                "required": True,
                "description": words,
                "schema": {"type": "string"},
                "example": _EXAMPLES[header],
            }
            for header, words in _HEADERS.items()
        ],
        "requestBody": {
            "required": True,
            "description": "The test." if is_test else "The line of the feed.",
            "content": {"application/json": content},
        },
        "responses": {
            "2XX": {"description": "It has arrived."},
            "410": {"description": "No more of them: the webhook is stopped."},
            "default": {"description": "It has not arrived." if is_test else _AGAIN},
        },
    }


def _event(kind: str, change: dict[str, Any]) -> dict[str, Any]:
    before = {"previous_verdict": "fail" if kind == "verdict.changed" else None}
    data = {
        **change,
        **before,
        "address": f"/v1/conditions/{change['condition']}/revisions/{change['revision']}",
    }
    return {"type": kind, "timestamp": change["created"], "data": data}
