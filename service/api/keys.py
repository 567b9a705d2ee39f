"""Access keys, for administrators."""

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from pydantic_core import to_json
from starlette.responses import Response

from service.actions.keys import list_keys, make_key, rescope_key, revoke_key, show_key
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.description.record_answers import READ
from service.api.paging import PageQuery, limit_of, page_answer, position
from service.api.record_exchange import NO_QUERY, document_answer, posted
from service.web.accepted import JSON
from service.web.addresses import identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.key import Key, KeyList, KeyRequest, KeyScopeRequest, NewKey
from service.wire.refusal import Refusal

router = APIRouter(tags=["Keys"])
KeyAddress = Annotated[
    str, Path(description="Id of the key: the part between the underscores.", max_length=64)
]
_REFUSALS = problems_of(400, 401, 403, 404, 429, 503)
_CHANGE_REFUSALS = problems_of(400, 401, 403, 404, 406, 409, 413, 415, 422, 429, 503)


@router.get(
    "/v1/keys",
    summary="All keys",
    responses={200: answer_of(KeyList, READ), **problems_of(400, 401, 403, 429, 503)},
)
async def get_keys(request: Request, caller: WhoAsks, query: Annotated[PageQuery, Query()]) -> Response:
    """Without their secrets, revoked ones among them."""
    parts = record_parts_of(request)
    items = await in_thread(
        request,
        list_keys,
        parts.records,
        caller,
        after=position(request, query),
        limit=limit_of(request, query),
    )
    return page_answer(request, query, items, items[-1]["id"] if items else None)


@router.post(
    "/v1/keys",
    status_code=201,
    summary="Make a key",
    description="Its secret is in this answer and nowhere else. An `Idempotency-Key` is refused here, for the answer "
    "is not kept.",
    dependencies=[NO_QUERY],
    responses={
        201: answer_of(NewKey, description="The key, with its secret."),
        **problems_of(400, 401, 403, 406, 409, 413, 415, 422, 429, 503),
    },
    openapi_extra=request_body(JSON, KeyRequest, "Who it is for and what it may do."),
)
async def post_key(request: Request, caller: WhoAsks) -> Response:
    """Shown once."""
    parts = record_parts_of(request)
    caller.require("administer")
    if "idempotency-key" in request.headers:
        raise Refusal("invalid_header", "The secret of a key is not kept, so its answer cannot be repeated.")
    document, _ = await posted(request)
    made = await in_thread(
        request, make_key, parts.records, parts.access, caller, KeyRequest.model_validate(document)
    )
    headers = {"Location": f"/v1/keys/{made['id']}", "Cache-Control": "no-store"}
    return Response(to_json(made), 201, headers, "application/json")


@router.get(
    "/v1/keys/{key}",
    summary="One key",
    dependencies=[NO_QUERY],
    responses={200: answer_of(Key, READ), **_REFUSALS},
)
async def get_key(request: Request, caller: WhoAsks, key: KeyAddress) -> Response:
    """Without its secret."""
    parts = record_parts_of(request)
    caller.require("administer")
    return document_answer(await in_thread(request, show_key, parts.records, caller, identifier(key, "key")))


@router.put(
    "/v1/keys/{key}/scope",
    summary="Give a key other vessels",
    dependencies=[NO_QUERY],
    responses={200: answer_of(Key, READ), **_CHANGE_REFUSALS},
    openapi_extra=request_body(JSON, KeyScopeRequest, "The vessels it may see."),
)
async def put_key_scope(request: Request, caller: WhoAsks, key: KeyAddress) -> Response:
    """In force within a second, in every process."""
    parts = record_parts_of(request)
    caller.require("administer")
    identifier(key, "key")
    document, _ = await posted(request)
    scope = KeyScopeRequest.model_validate(document)
    return document_answer(
        await in_thread(request, rescope_key, parts.records, parts.access, caller, key, scope)
    )


@router.delete(
    "/v1/keys/{key}",
    summary="Revoke a key",
    description="It stays listed, for histories name it. Revoking a revoked key changes nothing.",
    dependencies=[NO_QUERY],
    responses={200: answer_of(Key, READ), **_REFUSALS},
)
async def delete_key(request: Request, caller: WhoAsks, key: KeyAddress) -> Response:
    """In force within a second, in every process."""
    parts = record_parts_of(request)
    caller.require("administer")
    return document_answer(
        await in_thread(request, revoke_key, parts.records, parts.access, caller, identifier(key, "key"))
    )
