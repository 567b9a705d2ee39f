"""Who reads a page: a key, kept by the browser in a cookie that scripts cannot see and other sites cannot send.

The service holds no session: a cookie works on every process, and revoking the key ends it. The cookie is the key
with a random name of this sign-in before it; forms carry a token made from both (RFC 2104), so that only a page
served to this sign-in can be the source of a form.
"""

import hmac
import secrets
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlsplit

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.actions.access import RIGHTS, Access, Caller, Right, is_this_machine, on_behalf
from service.wire.refusal import Refusal

COOKIE: Final = "loading_session"
LASTS_SECONDS: Final = 12 * 3600


class SignInNeeded(Exception):
    """The page is for people who signed in; `reason` says why this one has not."""

    def __init__(self, reason: str = "") -> None:
        super().__init__(reason)
        self.reason = reason


class ForeignForm(Exception):
    """A form that no page of this service sent."""


class StaleForm(Exception):
    """A form of a sign-in that is over: what was typed in it is still good."""


@dataclass(frozen=True)
class Reader:
    """Whoever looks at a page, and what the page may offer."""

    caller: Caller
    token: str
    signed_in: bool
    fresh: tuple[str, str] | None = None
    """Name and key of a sign-in that the browser has no cookie for yet."""

    @property
    def name(self) -> str:
        """Name of the key."""
        return self.caller.name

    @property
    def role(self) -> str:
        """Role of the key."""
        return self.caller.role

    def may(self, right: Right) -> bool:
        """Whether the role has a right."""
        return right in RIGHTS[self.caller.role]

    @property
    def may_write_vessels(self) -> bool:
        """Whether to offer a new vessel."""
        return self.may("add_vessel")

    @property
    def is_administrator(self) -> bool:
        """Whether to offer the keys."""
        return self.may("administer")


def key_in(request: Request) -> tuple[str, str]:
    """The name of the sign-in and the key, each empty where there is none."""
    name, _, key = request.cookies.get(COOKIE, "").partition(".")
    return name, key


def reader_of(request: Request, access: Access) -> Reader:
    """Whoever asks for a page. Raises SignInNeeded."""
    name, key = key_in(request)
    try:
        caller = access.remembered(key or None) or access.caller(key or None)
    except Refusal as refused:
        if refused.code != "unauthenticated":
            raise
        raise SignInNeeded(refused.detail if key else "") from None
    address = request.client.host if request.client else None
    if not key and not (is_this_machine(address) and is_this_machine(request.url.hostname)):
        raise SignInNeeded("Without any key, pages are shown on the machine of the service alone.")
    caller = on_behalf(caller, request.state.request_id, address)
    if name:
        return Reader(caller, form_token(name, key), bool(key))
    return new_reader(caller, key)


def new_reader(caller: Caller, key: str) -> Reader:
    """A reader whose sign-in begins now."""
    name = secrets.token_urlsafe(12)
    return Reader(caller, form_token(name, key), bool(key), (name, key))


def form_token(name: str, key: str) -> str:
    """What forms of one sign-in carry."""
    return hmac.digest(f"{name}.{key}".encode(), b"form", "sha256").hex()


def require_own_origin(request: Request) -> None:
    """Refuse a form that another site sent (the browser says so). Raises ForeignForm."""
    site = request.headers.get("sec-fetch-site")
    if site is not None:
        if site not in ("same-origin", "none"):
            raise ForeignForm
        return
    origin = request.headers.get("origin")
    if origin is not None and _host_of(origin) != request.headers.get("host"):
        raise ForeignForm


def _host_of(origin: str) -> str | None:
    """Host and port of an origin; None where it is none."""
    try:
        return urlsplit(origin).netloc
    except ValueError:
        return None


def require_form_token(request: Request, given: str) -> None:
    """Refuse a form of another sign-in. Raises StaleForm."""
    name, key = key_in(request)
    if not name or not hmac.compare_digest(form_token(name, key).encode(), given.encode()):
        raise StaleForm


def give_cookie(request: Request, response: Response, fresh: tuple[str, str]) -> None:
    """Let the browser keep a sign-in that begins now."""
    name, key = fresh
    response.set_cookie(
        COOKIE,
        f"{name}.{key}",
        max_age=LASTS_SECONDS if key else None,
        path="/",
        httponly=True,
        samesite="strict",
        secure=request.url.scheme == "https",
    )


def end_session(response: Response) -> None:
    """Take the cookie back."""
    response.delete_cookie(COOKIE, path="/", httponly=True, samesite="strict")


class KeyFromSession:
    """Lets a signed-in browser follow the link from a page to the same as JSON.

    Only for reading: a request that changes something needs its key in the header, which no other site can add.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if (
            scope["type"] == "http"
            and scope["method"] in ("GET", "HEAD")
            and scope["path"].startswith("/v1/")
            and not any(name == b"authorization" for name, _ in scope["headers"])
        ):
            _, key = key_in(Request(scope))
            if key:
                bearer = (b"authorization", f"Bearer {key}".encode("latin-1", "replace"))
                scope = {**scope, "headers": [*scope["headers"], bearer]}
                send = _with_vary_cookie(send)
        await self._app(scope, receive, send)


def _with_vary_cookie(send: Send) -> Send:
    """Let no cache give the answer to a browser that signed in with another key."""

    async def send_varied(message: Message) -> None:
        if message["type"] == "http.response.start":
            message = {**message, "headers": [*message.get("headers", ()), (b"vary", b"Cookie")]}
        await send(message)

    return send_varied
