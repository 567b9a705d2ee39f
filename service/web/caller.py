"""Who asks: the key of a request, told apart before anything else is done with it."""

from collections.abc import Callable
from functools import lru_cache, partial
from typing import Annotated, TypeVar

from anyio import to_thread
from fastapi import Depends, Request
from starlette.datastructures import URL

from service.actions.access import LOCAL, Caller, is_this_machine, network_of, on_behalf
from service.web.accepted import offered_by, require_accepted
from service.web.parts import parts_of
from service.web.query_errors import refuse_repeated
from service.wire.refusal import Refusal

T = TypeVar("T")


async def in_thread(request: Request, work: Callable[..., T], *given: object, **named: object) -> T:
    """`work(...)` on a thread for records: databases are never waited for on the event loop."""
    parts = parts_of(request)
    with parts.span("records"):
        return await to_thread.run_sync(partial(work, *given, **named), limiter=parts.record_threads)


async def caller_of(request: Request) -> Caller:
    """The caller of a request. Raises `Refusal` (unauthenticated, rate_limited, not_acceptable), and
    `RequestValidationError` for a parameter of one value that is given twice."""
    parts = parts_of(request)
    token = bearer_token(request)
    caller = parts.access.remembered(token)
    address = request.client.host if request.client else None
    if caller is None:
        try:
            caller = await in_thread(request, parts.access.caller, token)
        except Refusal as refused:
            if token is not None and refused.code == "unauthenticated":
                require_few_unknown_keys(request)
            raise
    if caller is LOCAL:
        _require_this_machine(request, address)
    else:
        _require_rate(request, caller)
    request.state.key_id = caller.key_id
    require_accepted(request, offered_by(request.scope.get("route")))
    refuse_repeated(request)
    return on_behalf(caller, request.state.request_id, address)


WhoAsks = Annotated[Caller, Depends(caller_of)]


def bearer_token(request: Request) -> str | None:
    """The key a request shows (RFC 6750, section 2.1), None when it shows nothing."""
    given = request.headers.get("authorization")
    if given is None:
        return None
    scheme, _, token = given.partition(" ")
    if scheme.lower() != "bearer":
        raise Refusal("unauthenticated", "Send the key as `Authorization: Bearer <key>`.")
    return token.strip()


def _require_this_machine(request: Request, address: str | None) -> None:
    """Without keys only this machine is served; a name that a foreign site could point here is not believed."""
    if not is_this_machine(address) or not _means_this_machine(
        request.headers.get("host"), request.scope.get("server")
    ):
        raise Refusal(
            "unauthenticated", "No key was made yet; until then this service answers its own machine."
        )


@lru_cache(maxsize=256)
def _means_this_machine(host: str | None, server: tuple[str, int] | None) -> bool:
    """Whether a request's Host header, or without one the address it came in at, can only mean this machine."""
    headers = [] if host is None else [(b"host", host.encode("latin-1"))]
    scope = {"type": "http", "scheme": "http", "path": "/", "headers": headers, "server": server}
    return is_this_machine(URL(scope=scope).hostname)


def require_few_unknown_keys(request: Request) -> None:
    """Count an unknown key against the address that showed it. Raises `Refusal` (rate_limited)."""
    address = request.client.host if request.client else None
    allowed, headers = parts_of(request).unknown_keys.take(network_of(address))
    wait = int(headers.pop("Retry-After", 1))
    if not allowed:
        refused = Refusal("rate_limited", "This address shows unknown keys too often.", retry_after=wait)
        refused.headers = headers
        raise refused


def _require_rate(request: Request, caller: Caller) -> None:
    parts = parts_of(request)
    allowed, headers = parts.rate_limit.take(caller.key_id)
    wait = int(headers.pop("Retry-After", 1))
    request.state.extra_headers = [
        (name.lower().encode("ascii"), value.encode("ascii")) for name, value in headers.items()
    ]
    if not allowed:
        raise Refusal(
            "rate_limited", "This key asks more often than the installation allows.", retry_after=wait
        )
