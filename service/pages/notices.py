"""What a reader is told without looking: the address of the feed for a reader of his, and mail."""

from typing import Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.notices import mail_reader
from service.actions.notices.feed_address import make_feed_address, remove_feed_address
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of, posted, text_of
from service.pages.session import Reader
from service.web.caller import in_thread, require_few_unknown_keys
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
KINDS: Final = (
    ("needs_review", "needs review", "a condition was entered or revised"),
    (
        "returned_or_answered",
        "returned or answered",
        "a condition was returned, or a new revision answers that",
    ),
    (
        "verdict_changed",
        "verdict changed",
        "a new revision passes, fails or is incomplete where the one before was not",
    ),
    ("in_force", "in force", "a ship sails with another condition"),
)


@router.get("/notices")
async def get_notices(request: Request, reader: WhoReads) -> Response:
    """What this reader chose, and the forms to choose otherwise."""
    return await _notices_page(request, reader)


async def _notices_page(
    request: Request, reader: Reader, *, wrong: str = "", done: str = "", feed: str = "", typed: str = ""
) -> Response:
    parts = page_parts_of(request)
    rule = parts.sign_in_rule
    found = await in_thread(request, mail_reader.show_notices, parts.records, rule, reader.caller)
    shown = page(
        request,
        "notices.html",
        reader,
        here="notices",
        status=422 if wrong else 200,
        found=found,
        kinds=KINDS,
        sends_mail=parts.sends_mail,
        wrong=wrong,
        done=done,
        feed=feed,
        typed=typed,
    )
    shown.headers["Cache-Control"] = "no-store"
    return shown


@router.post("/notices/feed")
async def post_feed(request: Request, reader: WhoReads) -> Response:
    """Make an address of the feed and show it, this once; or take it back."""
    form = await posted(request)
    parts = page_parts_of(request)
    if text_of(form, "do") == "revoke":
        await in_thread(request, remove_feed_address, parts.records, reader.caller)
        return go_to("/notices")
    try:
        token = await in_thread(request, make_feed_address, parts.records, parts.access, reader.caller)
    except Refusal as refused:
        return await _refused(request, reader, refused)
    base = parts.public_url or str(request.base_url).rstrip("/")
    return await _notices_page(request, reader, feed=f"{base}/feed?address={token}")


@router.post("/notices/mail")
async def post_mail(request: Request, reader: WhoReads) -> Response:
    """Give an address, type its code, choose otherwise, or stop."""
    form = await posted(request)
    parts, caller = page_parts_of(request), reader.caller
    kinds = [kind for kind in form.getlist("kind") if isinstance(kind, str)]
    do, address = text_of(form, "do"), text_of(form, "address")
    done = ""
    try:
        if do == "stop":
            await in_thread(request, mail_reader.stop_mail, parts.records, caller)
            done = "The address is forgotten. No more mail goes to it."
        elif do == "confirm":
            pepper, code = parts.access.pepper, text_of(form, "code")
            await in_thread(request, mail_reader.confirm_address, parts.records, pepper, caller, code)
            done = "The address is confirmed. You are told from now on."
        elif do == "choose":
            await in_thread(request, mail_reader.choose_kinds, parts.records, caller, kinds)
            done = "Kept."
        elif not parts.sends_mail:
            raise Refusal("conflict", "This installation sends no mail.")
        else:
            rule, give = parts.sign_in_rule, mail_reader.give_address
            await in_thread(request, give, parts.records, rule, caller, address, kinds)
            done = f"A code was sent to {address}. Type it below."
            parts.changes.hear()
    except Refusal as refused:
        return await _refused(request, reader, refused, address)
    return await _notices_page(request, reader, done=done)


async def _refused(request: Request, reader: Reader, refused: Refusal, typed: str = "") -> Response:
    if refused.code not in ("conflict", "invalid_request", "rate_limited"):
        raise refused
    return await _notices_page(request, reader, wrong=refused.detail, typed=typed)


@router.get("/stop-mail")
async def get_stop(request: Request) -> Response:
    """A button, so that what looks at links ahead of people stops nothing."""
    query = request.query_params
    return _stop_page(request, query.get("key", "")[:64], query.get("token", "")[:64], None)


@router.post("/stop-mail")
async def post_stop(request: Request) -> Response:
    """Stop at once, without signing in; also what mail programs do at one click (RFC 8058)."""
    parts, query = page_parts_of(request), request.query_params
    key, token = query.get("key", "")[:64], query.get("token", "")[:64]
    pepper = parts.access.pepper
    stopped = await in_thread(request, mail_reader.stop_by_link, parts.records, pepper, key, token)
    if not stopped:
        require_few_unknown_keys(request)
    return _stop_page(request, key, token, stopped)


def _stop_page(request: Request, key: str, token: str, stopped: bool | None) -> Response:
    shown = page(request, "stop_mail.html", None, key=key, stop_token=token, stopped=stopped)
    shown.headers["Cache-Control"] = "no-store"
    return shown
