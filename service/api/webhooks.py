"""Webhooks: who is told of changes, and what became of each message."""

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from pydantic import Field
from pydantic_core import to_json
from starlette.responses import Response

from service.actions.webhooks.manage import (
    change_secret,
    change_webhook,
    delete_webhook,
    list_deliveries,
    list_webhooks,
    make_webhook,
    redeliver,
    show_webhook,
)
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.description.record_answers import READ
from service.api.paging import PageQuery, limit_of, page_answer, position
from service.api.record_exchange import MERGE_PATCH, NO_QUERY, document_answer, posted
from service.web.accepted import JSON
from service.web.addresses import identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.refusal import Refusal
from service.wire.webhook import (
    DeliveryList,
    DeliveryState,
    NewWebhook,
    Redelivery,
    RedeliveryRequest,
    SecretRequest,
    Webhook,
    WebhookChange,
    WebhookList,
    WebhookRequest,
)

router = APIRouter(tags=["Webhooks"])
WebhookAddress = Annotated[str, Path(description="Id of the webhook.", max_length=64)]
_READ_REFUSALS = problems_of(400, 401, 403, 404, 429, 503)
_CHANGE_REFUSALS = problems_of(400, 401, 403, 404, 406, 409, 413, 415, 422, 429, 503)
_ABOUT = (
    "Messages follow Standard Webhooks 1.0: a POST with `webhook-id`, `webhook-timestamp` and `webhook-signature` (v1, "
    "HMAC-SHA256), at least once; leave out what comes twice by its `webhook-id`. Anything but a 2xx within the time "
    "limit is tried again, ten times in three days; 410 stops the webhook."
)


class DeliveryQuery(PageQuery):
    """Query of the deliveries of a webhook."""

    state: DeliveryState | None = Field(default=None, description="What became of them.")


@router.get(
    "/v1/webhooks",
    summary="Webhooks",
    responses={200: answer_of(WebhookList, READ), **problems_of(400, 401, 403, 429, 503)},
)
async def get_webhooks(request: Request, caller: WhoAsks, query: Annotated[PageQuery, Query()]) -> Response:
    """Those of the key that asks; all for an administrator."""
    parts = record_parts_of(request)
    items = await in_thread(
        request,
        list_webhooks,
        parts.records,
        caller,
        after=position(request, query),
        limit=limit_of(request, query),
    )
    return page_answer(request, query, items, items[-1]["id"] if items else None)


@router.post(
    "/v1/webhooks",
    status_code=201,
    summary="Make a webhook",
    description=f"Its secret is in this answer and nowhere else, so an `Idempotency-Key` is refused. {_ABOUT}",
    dependencies=[NO_QUERY],
    responses={
        201: answer_of(NewWebhook, description="The webhook, with its secret."),
        **problems_of(400, 401, 403, 406, 409, 413, 415, 422, 429, 503),
    },
    openapi_extra=request_body(JSON, WebhookRequest, "Where to send what."),
)
async def post_webhook(request: Request, caller: WhoAsks) -> Response:
    """Shown once."""
    parts = record_parts_of(request)
    caller.require("webhooks")
    if "idempotency-key" in request.headers:
        raise Refusal(
            "invalid_header", "The secret of a webhook is not kept, so its answer cannot be repeated."
        )
    document, _ = await posted(request)
    made = await in_thread(
        request,
        make_webhook,
        parts.records,
        parts.access.pepper,
        parts.destinations,
        caller,
        WebhookRequest.model_validate(document),
    )
    return _with_secret(made, 201)


@router.get(
    "/v1/webhooks/{webhook}",
    summary="One webhook",
    dependencies=[NO_QUERY],
    responses={200: answer_of(Webhook, READ), **_READ_REFUSALS},
)
async def get_webhook(request: Request, caller: WhoAsks, webhook: WebhookAddress) -> Response:
    """Without its secret."""
    parts = record_parts_of(request)
    caller.require("webhooks")
    id = identifier(webhook, "webhook")
    return document_answer(await in_thread(request, show_webhook, parts.records, caller, id))


@router.patch(
    "/v1/webhooks/{webhook}",
    summary="Change a webhook, pause it, let it go on",
    description="A JSON merge patch (RFC 7396).",
    dependencies=[NO_QUERY],
    responses={200: answer_of(Webhook, READ), **_CHANGE_REFUSALS},
    openapi_extra={
        "requestBody": {
            "required": True,
            "description": "What differs.",
            "content": {MERGE_PATCH[0]: {"schema": {"$ref": "#/components/schemas/WebhookChange"}}},
        }
    },
)
async def patch_webhook(request: Request, caller: WhoAsks, webhook: WebhookAddress) -> Response:
    """In force with the next change that is kept."""
    parts = record_parts_of(request)
    caller.require("webhooks")
    id = identifier(webhook, "webhook")
    document, _ = await posted(request, MERGE_PATCH)
    change = WebhookChange.model_validate(document)
    changed = await in_thread(request, change_webhook, parts.records, parts.destinations, caller, id, change)
    parts.changes.hear()
    return document_answer(changed)


@router.delete(
    "/v1/webhooks/{webhook}",
    summary="Delete a webhook",
    description="With all of its deliveries; what waits is not sent any more.",
    dependencies=[NO_QUERY],
    responses={200: answer_of(Webhook, READ), **_READ_REFUSALS},
)
async def delete_one_webhook(request: Request, caller: WhoAsks, webhook: WebhookAddress) -> Response:
    """As it was."""
    parts = record_parts_of(request)
    caller.require("webhooks")
    id = identifier(webhook, "webhook")
    return document_answer(await in_thread(request, delete_webhook, parts.records, caller, id))


@router.get(
    "/v1/webhooks/{webhook}/deliveries",
    summary="Deliveries of a webhook",
    responses={200: answer_of(DeliveryList, READ), **_READ_REFUSALS},
)
async def get_deliveries(
    request: Request, caller: WhoAsks, webhook: WebhookAddress, query: Annotated[DeliveryQuery, Query()]
) -> Response:
    """Newest first."""
    parts = record_parts_of(request)
    caller.require("webhooks")
    items = await in_thread(
        request,
        list_deliveries,
        parts.records,
        caller,
        identifier(webhook, "webhook"),
        state=query.state,
        before=position(request, query),
        limit=limit_of(request, query),
    )
    return page_answer(request, query, items, items[-1]["id"] if items else None)


@router.post(
    "/v1/webhooks/{webhook}/redeliver",
    summary="Send messages again",
    description="Under the ids they had. What waits already is left alone.",
    dependencies=[NO_QUERY],
    responses={200: answer_of(Redelivery, READ), **_CHANGE_REFUSALS},
    openapi_extra=request_body(JSON, RedeliveryRequest, "Which ones; `{}` for all dead ones."),
)
async def post_redelivery(request: Request, caller: WhoAsks, webhook: WebhookAddress) -> Response:
    """From now on, as if they were new."""
    parts = record_parts_of(request)
    caller.require("webhooks")
    id = identifier(webhook, "webhook")
    document, _ = await posted(request)
    wanted = RedeliveryRequest.model_validate(document)
    answer = await in_thread(request, redeliver, parts.records, caller, id, wanted)
    parts.changes.hear()
    return document_answer(answer)


@router.post(
    "/v1/webhooks/{webhook}/secret",
    summary="Give a webhook another secret",
    description="For the hours that overlap every message is signed with both, so that a receiver can change over.",
    dependencies=[NO_QUERY],
    responses={
        200: answer_of(NewWebhook, description="The webhook, with its new secret."),
        **_CHANGE_REFUSALS,
    },
    openapi_extra=request_body(
        JSON, SecretRequest, "How long the present secret signs as well; `{}` for a day."
    ),
)
async def post_webhook_secret(request: Request, caller: WhoAsks, webhook: WebhookAddress) -> Response:
    """Shown once."""
    parts = record_parts_of(request)
    caller.require("webhooks")
    id = identifier(webhook, "webhook")
    document, _ = await posted(request)
    wanted = SecretRequest.model_validate(document)
    made = await in_thread(request, change_secret, parts.records, parts.access.pepper, caller, id, wanted)
    return _with_secret(made, 200)


def _with_secret(made: NewWebhook, status: int) -> Response:
    headers = {"Location": f"/v1/webhooks/{made['id']}", "Cache-Control": "no-store"}
    return Response(to_json(made), status, headers, "application/json")
