"""The description of the service for programs (/openapi.json) and for people (/docs), without any foreign host."""

import hashlib
import json

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.api.description.reference_page import STYLE, reference_page
from service.api.record_exchange import is_known
from service.web.parts import parts_of

router = APIRouter(include_in_schema=False)


@router.get("/openapi.json")
async def get_openapi_json(request: Request) -> Response:
    """OpenAPI 3.1, with a tag: it changes with the release alone."""
    text = json.dumps(parts_of(request).describe(), ensure_ascii=False).encode("utf-8")
    etag = hashlib.sha256(text).hexdigest()
    headers = {"ETag": f'"{etag}"', "Cache-Control": "no-cache"}
    if is_known(request, etag):
        return Response(status_code=304, headers=headers)
    return Response(text, headers=headers, media_type="application/json")


@router.get("/docs")
async def get_docs(request: Request) -> Response:
    """The same as a page."""
    return Response(reference_page(parts_of(request).describe()), media_type="text/html; charset=utf-8")


@router.get("/docs/style.css")
async def get_docs_style() -> Response:
    """Style of that page."""
    return Response(STYLE.encode("utf-8"), media_type="text/css; charset=utf-8")
