"""The description of the service for programs (/openapi.json) and for people (/docs), without any foreign host."""

import hashlib
import json
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.api.record_exchange import is_known
from service.api.reference_page import STYLE, reference_page

router = APIRouter(include_in_schema=False)


def _description(request: Request) -> dict[str, Any]:
    """The OpenAPI document, made at the first request and kept."""
    state = request.app.state
    if not hasattr(state, "description"):
        state.description = state.describe()
    description: dict[str, Any] = state.description
    return description


@router.get("/openapi.json")
async def get_openapi_json(request: Request) -> Response:
    """OpenAPI 3.1, with a tag: it changes with the release alone."""
    text = json.dumps(_description(request), ensure_ascii=False).encode("utf-8")
    etag = hashlib.sha256(text).hexdigest()
    headers = {"ETag": f'"{etag}"', "Cache-Control": "no-cache"}
    if is_known(request, etag):
        return Response(status_code=304, headers=headers)
    return Response(text, headers=headers, media_type="application/json")


@router.get("/docs")
async def get_docs(request: Request) -> Response:
    """The same as a page."""
    return Response(reference_page(_description(request)), media_type="text/html; charset=utf-8")


@router.get("/docs/style.css")
async def get_docs_style() -> Response:
    """Style of that page."""
    return Response(STYLE.encode("utf-8"), media_type="text/css; charset=utf-8")
