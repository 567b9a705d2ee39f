"""HEAD wherever there is GET, OPTIONS everywhere, and a complete `Allow` (RFC 9110, sections 9.3 and 10.2.1)."""

from fastapi.routing import APIRoute
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.api.record_exchange import MERGE_PATCH


class Methods:
    """A layer of the application that answers HEAD and OPTIONS, and completes the `Allow` of a 405."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
        elif scope["method"] == "HEAD":
            await self._head(scope, receive, send)
        elif scope["method"] == "OPTIONS" and (allowed := methods_at(scope)):
            await send({"type": "http.response.start", "status": 204, "headers": _options(allowed)})
            await send({"type": "http.response.body", "body": b""})
        else:
            await self._app(scope, receive, _with_allow(scope, send))

    async def _head(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The answer to GET, headers and all, without its body."""
        begun = False

        async def send_head(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                await send(message)
            elif not begun:
                begun = True
                await send({"type": "http.response.body", "body": b""})

        inner = {**scope, "method": "GET"}
        await self._app(inner, receive, _with_allow(scope, send_head))
        scope["route"] = inner.get("route")


def methods_at(scope: Scope) -> list[str]:
    """The methods that the address of a request takes, in alphabetical order; empty where there is nothing."""
    found: set[str] = set()
    for route in scope["app"].router.routes:
        if isinstance(route, APIRoute) and route.path_regex.match(scope["path"]):
            found |= route.methods or set()
    if "GET" in found:
        found.add("HEAD")
    return sorted(found | {"OPTIONS"}) if found else []


def _options(allowed: list[str]) -> list[tuple[bytes, bytes]]:
    headers = [_allow(allowed)]
    if "PATCH" in allowed:  # RFC 5789, section 3.1
        headers.append((b"accept-patch", MERGE_PATCH[0].encode("ascii")))
    return headers


def _allow(allowed: list[str]) -> tuple[bytes, bytes]:
    return b"allow", ", ".join(allowed).encode("ascii")


def _with_allow(scope: Scope, send: Send) -> Send:
    """`send` that names every method of the address where one is refused; the router names those of one route."""

    async def send_with_allow(message: Message) -> None:
        if message["type"] == "http.response.start" and message["status"] == 405:
            others = [(name, value) for name, value in message["headers"] if name.lower() != b"allow"]
            message = {**message, "headers": [*others, _allow(methods_at(scope))]}
        await send(message)

    return send_with_allow
