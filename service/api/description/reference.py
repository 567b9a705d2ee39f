"""The description of the service for programs (/openapi.json) and for people (/docs), without any foreign host."""

import json
from typing import Annotated, Any

from anyio import to_thread
from fastapi import APIRouter, Query, Request
from starlette.exceptions import HTTPException
from starlette.responses import Response

from service.api.changelog import ENTRIES, changelog_of
from service.api.deprecation import DEPRECATIONS
from service.api.record_exchange import is_known
from service.api.reference import pages
from service.api.reference.hook_up import file_of, hook_up_page
from service.api.reference.html import STYLE
from service.web.parts import parts_of

router = APIRouter(include_in_schema=False)


@router.get("/openapi.json")
async def get_openapi_json(request: Request) -> Response:
    """OpenAPI 3.1, with a tag: it changes with the release alone."""
    description = await to_thread.run_sync(parts_of(request).describe)
    headers = {"ETag": f'"{description.etag}"', "Cache-Control": "no-cache"}
    if is_known(request, description.etag):
        return Response(status_code=304, headers=headers)
    return Response(description.text, headers=headers, media_type="application/json")


@router.get("/docs")
async def get_docs(request: Request) -> Response:
    """The same as pages: the first of them."""
    return _page(pages.start_page(await _described(request)))


@router.get("/docs/style.css")
async def get_docs_style() -> Response:
    """Style of these pages."""
    return Response(STYLE.encode("utf-8"), media_type="text/css; charset=utf-8")


@router.get("/docs/search")
async def get_docs_search(request: Request, q: Annotated[str, Query(max_length=100)] = "") -> Response:
    """Where words stand."""
    return _page(pages.search_page(await _described(request), q))


@router.get("/docs/changelog")
async def get_docs_changelog(request: Request) -> Response:
    """What changed."""
    return _page(pages.changelog_page(await _described(request), changelog_of(ENTRIES, DEPRECATIONS)))


@router.get("/docs/documents")
async def get_docs_documents(request: Request) -> Response:
    """Every document."""
    return _page(pages.documents_page(await _described(request)))


@router.get("/docs/documents/{name}")
async def get_docs_document(request: Request, name: str) -> Response:
    """One document."""
    return _page(pages.document_page(await _described(request), name))


@router.get("/docs/hook-up")
async def get_docs_hook_up() -> Response:
    """From a key to what an office needs, step by step."""
    return _page(hook_up_page())


@router.get("/docs/hook-up/{name}")
async def get_docs_hook_up_file(request: Request, name: str) -> Response:
    """A file that the steps use."""
    found = file_of(await _described(request), name)
    if found is None:
        raise HTTPException(404)
    return Response(json.dumps(found, ensure_ascii=False, indent=1), media_type="application/json")


@router.get("/docs/{resource}")
async def get_docs_resource(request: Request, resource: str) -> Response:
    """The operations of one resource."""
    return _page(pages.resource_page(await _described(request), resource))


async def _described(request: Request) -> dict[str, Any]:
    """The description. It takes a second to make, once: others have their turn meanwhile."""
    return (await to_thread.run_sync(parts_of(request).describe)).document


def _page(text: str | None) -> Response:
    if text is None:
        raise HTTPException(404)
    return Response(text, media_type="text/html; charset=utf-8")
