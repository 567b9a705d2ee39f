"""Sign in with a key, sign out."""

import json
from urllib.parse import urlsplit

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.pages import session
from service.pages.form import MAX_FIELDS, form_of
from service.pages.page import PageRoute, go_to, page, page_parts_of, posted, sign_in_page, text_of
from service.web.caller import in_thread, require_few_unknown_keys
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
MAX_KEY = 4000


@router.get("/sign-in")
async def get_sign_in(request: Request) -> Response:
    """The form."""
    return sign_in_page(request, target=own_address(request.query_params.get("to", "/")))


@router.post("/sign-in")
async def post_sign_in(request: Request) -> Response:
    """Try the key; go to where the reader came from, with what was typed there."""
    session.require_own_origin(request)
    form = await form_of(request, page_parts_of(request).pages.long_forms)
    key, target = text_of(form, "key"), own_address(text_of(form, "target"))
    fields = fields_in(text_of(form, "kept"))
    access = page_parts_of(request).access
    try:
        if not key and fields:  # signed in again in another window of the same browser
            key = session.key_in(request)[1]
        if not key or len(key) > MAX_KEY or not key.isascii():
            raise Refusal("unauthenticated", "This is not a key of this service.")
        caller = await in_thread(request, access.caller, key)
    except Refusal as refused:
        if refused.code != "unauthenticated":
            raise
        if key:
            require_few_unknown_keys(request)
        return sign_in_page(request, reason=refused.detail, target=target, fields=fields, status=401)
    reader = session.new_reader(caller, key)
    if fields:
        answer: Response = page(request, "carry_on.html", reader, target=target, fields=fields)
        answer.headers["Cache-Control"] = "no-store"
        return answer
    answer = go_to(target)
    assert reader.fresh is not None
    session.give_cookie(request, answer, reader.fresh)
    return answer


@router.post("/sign-out")
async def post_sign_out(request: Request) -> Response:
    """Forget the key in this browser."""
    await posted(request)
    answer = go_to("/sign-in")
    session.end_session(answer)
    return answer


def own_address(address: str) -> str:
    """An address of this service to go to; anything else becomes the fleet."""
    try:
        parts = urlsplit(address)
    except ValueError:
        return "/"
    plain = address.startswith("/") and not address.startswith("//") and "\\" not in address
    if (
        not plain
        or parts.netloc
        or any(ord(c) < 32 for c in address)
        or parts.path in ("/sign-in", "/sign-out")
    ):
        return "/"
    return address


def fields_in(text: str) -> list[tuple[str, str]]:
    """What was typed in a form before the sign-in was over."""
    try:
        pairs = json.loads(text) if text else []
    except (ValueError, RecursionError):
        return []
    if not isinstance(pairs, list) or len(pairs) > MAX_FIELDS:
        return []
    return [
        (_whole(p[0]), _whole(p[1]))
        for p in pairs
        if isinstance(p, list) and len(p) == 2 and all(isinstance(part, str) for part in p)
    ]


def _whole(text: str) -> str:
    """Half characters as question marks: they cannot be shown on a page."""
    return text.encode("utf-8", "replace").decode("utf-8")
