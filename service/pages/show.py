"""How a page is made: a template, the reader, the figures' units; and what is shown when it cannot be."""

import gzip
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Annotated, Any, Protocol, TypeVar

import anyio
import anyio.to_thread
from fastapi import Depends
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from markupsafe import Markup
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.types import Receive, Scope, Send

from service.actions.access import Access
from service.actions.assess import Assessor
from service.actions.records import Records
from service.actions.refusal import Refusal
from service.pages import session
from service.pages.assets import Assets
from service.pages.environment import environment_of, figures_for
from service.pages.held_readings import HeldReadings
from service.pages.kept import Kept
from service.pages.session import ForeignForm, Reader, SignInNeeded, StaleForm
from service.wire.fields import UnitSystem
from service.wire.problem import Problem

WORTH_PACKING = 2000
INTERNAL = 500
T = TypeVar("T")


class Slots(Protocol):
    """Where calculations wait for their turn."""

    async def run(self, work: Callable[[], T]) -> T:
        """`work()` in its turn, or a refusal where too many wait."""

    async def run_chunk(self, work: Callable[[], T]) -> T:
        """`work()` in its turn, however long that takes to come."""


class RateLimit(Protocol):
    """How often a key may ask."""

    def take(self, key: str) -> tuple[bool, dict[str, str]]:
        """Whether once more, and the headers that say so."""


class Readings(Protocol):
    """Where workbooks are read, two at a time."""

    async def run(self, work: Callable[[], T]) -> T:
        """`work()`, or a refusal while two others are being read."""


class State(Protocol):
    """What the pages use of `app.state`."""

    assessor: Assessor
    slots: Slots
    records: Records
    record_threads: anyio.CapacityLimiter
    access: Access
    rate_limit: RateLimit
    readings: Readings
    pages: "Pages"


@dataclass
class Pages:
    """Templates, assets and finished pieces, made when the application starts.

    problem_of: what the API would answer to an exception, for the words and the status of an error page.
    log_unexpected: keeps what went wrong where the operator finds it, under the reference the page shows.
    """

    problem_of: Callable[[BaseException, str], Problem]
    log_unexpected: Callable[[BaseException, str], None]
    assets: Assets = field(default_factory=Assets)

    def __post_init__(self) -> None:
        self.environment = environment_of(self.assets)
        self.kept = Kept()
        self.held = HeldReadings()

    def piece(self, key: tuple[object, ...], template: str, context: Mapping[str, Any]) -> Markup:
        """A piece that depends on kept revisions alone, made once: `key` holds their digests."""
        rendered = self.environment.get_template(template).render
        return self.kept.value(key, lambda: Markup(rendered(context)))  # noqa: S704 - autoescaped


def state_of(request: Request) -> State:
    """The parts of the application that pages use."""
    state: State = request.app.state
    return state


async def reader_for(request: Request) -> Reader:
    """Whoever asks for this page. Raises SignInNeeded, and Refusal (rate_limited)."""
    state = state_of(request)
    _, key = session.key_in(request)
    if state.access.remembered(key or None) is not None:
        reader = session.reader_of(request, state.access)
    else:
        reader = await in_thread(request, session.reader_of, request, state.access)
    if reader.signed_in:
        allowed, _ = state.rate_limit.take(reader.caller.key_id)
        if not allowed:
            raise Refusal(
                "rate_limited", "This key asks more often than the installation allows.", retry_after=1
            )
    return reader


WhoReads = Annotated[Reader, Depends(reader_for)]


async def posted(request: Request) -> FormData:
    """The fields of a form that a page of ours sent to this sign-in. Raises ForeignForm, StaleForm."""
    session.require_own_origin(request)
    form = await request.form(max_files=0, max_fields=20_000)
    session.require_form_token(request, text_of(form, "token"))
    return form


async def posted_file(request: Request) -> tuple[FormData, bytes, str]:
    """The fields of such a form with its one file, and the name of that; empty where none was chosen."""
    session.require_own_origin(request)
    form = await request.form(max_files=1, max_fields=100, max_part_size=4_000_000)
    session.require_form_token(request, text_of(form, "token"))
    file = form.get("file")
    if file is None or isinstance(file, str):
        return form, b"", ""
    data = await file.read()
    await file.close()
    return form, data, file.filename or ""


def text_of(form: FormData, name: str) -> str:
    """One field as text without spaces around it; empty where it is absent."""
    value = form.get(name)
    return value.strip() if isinstance(value, str) else ""


async def in_thread(request: Request, work: Callable[..., T], *given: Any, **named: Any) -> T:
    """Work that waits for the records, outside the event loop."""
    limiter = state_of(request).record_threads
    return await anyio.to_thread.run_sync(partial(work, *given, **named), limiter=limiter)


class Page(HTMLResponse):
    """A page that is made when it is finished: by `PageRoute` in its turn among the calculations, at the latest when
    it is sent."""

    def __init__(self, make: Callable[[], str], status: int, *, packed: bool) -> None:
        super().__init__("", status, {"Cache-Control": "private, no-cache", "Vary": "Accept-Encoding"})
        self._make: Callable[[], str] | None = make
        self._packed = packed

    def finish(self) -> None:
        """Make the body, compressed where that is worth it and the browser takes it."""
        if self._make is None:
            return
        self.body = self.render(self._make())
        self._make = None
        if self._packed and len(self.body) > WORTH_PACKING:
            self.body = gzip.compress(self.body, 1, mtime=0)
            self.headers["content-encoding"] = "gzip"
        self.headers["content-length"] = str(len(self.body))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send it."""
        self.finish()
        await super().__call__(scope, receive, send)


def page(
    request: Request,
    template: str,
    reader: Reader | None,
    *,
    system: UnitSystem = "metric",
    status: int = 200,
    twin: str | None = None,
    here: str = "",
    **context: Any,
) -> HTMLResponse:
    """A page. twin: address of the same as JSON."""
    pages = state_of(request).pages
    given = {"reader": reader, "token": reader.token if reader else "", "here": here, "twin": twin}
    render = pages.environment.get_template(template).render
    packed = "gzip" in request.headers.get("accept-encoding", "")
    response = Page(lambda: render(given | figures_for(system) | context), status, packed=packed)
    if reader is not None and reader.fresh is not None:
        session.give_cookie(request, response, reader.fresh)
    return response


def go_to(address: str) -> RedirectResponse:
    """Send the browser on with a GET."""
    return RedirectResponse(address, 303)


def sign_in_page(
    request: Request,
    *,
    reason: str = "",
    target: str = "/",
    fields: list[tuple[str, str]] | None = None,
    status: int = 200,
) -> HTMLResponse:
    """The sign-in. fields: what was typed in a form whose sign-in was over, to be sent again afterwards."""
    shown = page(
        request,
        "sign_in.html",
        None,
        status=status,
        reason=reason,
        target=target,
        fields=fields,
        kept=json.dumps(fields) if fields else "",
    )
    shown.headers["Cache-Control"] = "no-store"
    return shown


def error_page(request: Request, problem: Problem, headers: Mapping[str, str] | None = None) -> HTMLResponse:
    """What went wrong, and what can be done."""
    shown = page(request, "error.html", None, status=problem["status"], problem=problem)
    shown.headers.update(headers or {})
    return shown


class PageRoute(APIRoute):
    """A route whose refusals are pages."""

    def get_route_handler(self) -> Callable[[Request], Any]:
        handler = super().get_route_handler()

        async def handled(request: Request) -> Response:
            try:
                response: Response = await handler(request)
                if isinstance(response, Page):
                    await state_of(request).slots.run_chunk(response.finish)
                return response
            except SignInNeeded as needed:
                return await _without_session(request, needed.reason)
            except StaleForm:
                return await _without_session(request, "This form belongs to a sign-in that is over.")
            except ForeignForm:
                refusal = Refusal("forbidden", "This form was not sent by a page of this service.")
                return _told(request, refusal)
            except (Refusal, RequestValidationError, HTTPException) as refused:
                return _told(request, refused)
            except Exception as exception:  # noqa: BLE001 - a person is told in words, whatever happened
                told = _told(request, exception)
                if told.status_code == INTERNAL:
                    state_of(request).pages.log_unexpected(exception, request.state.request_id)
                return told

        return handled


def _told(request: Request, exception: Exception) -> HTMLResponse:
    pages = state_of(request).pages
    problem = pages.problem_of(exception, request.state.request_id)
    retry = getattr(exception, "retry_after", None)
    return error_page(request, problem, {"Retry-After": str(retry)} if retry else None)


async def _without_session(request: Request, reason: str) -> Response:
    if request.method in ("GET", "HEAD"):
        query = f"?{request.url.query}" if request.url.query else ""
        return sign_in_page(request, reason=reason, target=request.url.path + query, status=401)
    session.require_own_origin(request)
    form = await request.form(max_files=0, max_fields=20_000)
    fields = [(k, v) for k, v in form.multi_items() if isinstance(v, str) and k != "token"]
    return sign_in_page(request, reason=reason, target=request.url.path, fields=fields, status=401)
