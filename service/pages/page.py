"""How a page is made: a template, the reader, the figures' units; and what is shown when it cannot be."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import anyio
from fastapi import Depends
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from jinja2 import Environment
from markupsafe import Markup
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.types import Receive, Scope, Send

from service.pages import session
from service.pages.assets import Assets
from service.pages.environment import environment_of, figures_for
from service.pages.form import form_of
from service.pages.held_readings import HeldReadings
from service.pages.kept_part import PLACE, KeptPart, around, packed, plain
from service.pages.piece_cache import PieceCache
from service.pages.report.process import ReportProcess
from service.pages.session import ForeignForm, Reader, SignInNeeded, StaleForm
from service.web.caller import in_thread, require_few_unknown_keys
from service.web.identity_provider import IdentityProvider
from service.web.parts import RecordParts
from service.web.problems import log_unexpected, met, problem_of
from service.wire.fields import UnitSystem
from service.wire.problem import Problem
from service.wire.refusal import Refusal

WORTH_PACKING = 2000
INTERNAL = 500


@dataclass(frozen=True)
class Pages:
    """Templates, assets and finished pieces. long_forms: of the threads that read them."""

    assets: Assets
    environment: Environment
    pieces: PieceCache
    long_forms: anyio.CapacityLimiter
    reports: ReportProcess
    held_readings: HeldReadings

    @classmethod
    def new(cls, *, asks_for_proof: bool = False) -> "Pages":
        """All of them read, no piece made yet, no report set."""
        assets = Assets()
        return cls(
            assets,
            environment_of(assets, asks_for_proof=asks_for_proof),
            PieceCache(),
            anyio.CapacityLimiter(1),
            ReportProcess(),
            HeldReadings(),
        )

    def piece(self, key: tuple[object, ...], template: str, context: Mapping[str, Any]) -> Markup:
        """A piece that depends on stored revisions alone, made once: `key` holds their digests."""
        rendered = self.environment.get_template(template).render
        return self.pieces.value(key, lambda: Markup(rendered(context)))  # noqa: S704 - autoescaped


@dataclass(frozen=True)
class PageParts(RecordParts):
    """The parts of an application with pages. provider: what people sign in with besides keys, if there is one."""

    pages: Pages
    provider: IdentityProvider | None


def page_parts_of(request: Request) -> PageParts:
    """The parts of the application that a request for a page came to."""
    parts: PageParts = request.app.state.parts
    return parts


async def reader_for(request: Request) -> Reader:
    """Whoever asks for this page. Raises SignInNeeded, and Refusal (rate_limited)."""
    parts = page_parts_of(request)
    _, key = session.key_in(request)
    if parts.access.remembered(key or None) is not None:
        reader = session.reader_of(request, parts.access)
    else:
        try:
            reader = await in_thread(request, session.reader_of, request, parts.access)
        except SignInNeeded:
            if key:
                require_few_unknown_keys(request)
            raise
    if reader.signed_in:
        allowed, _ = parts.rate_limit.take(reader.caller.key_id)
        if not allowed:
            raise Refusal(
                "rate_limited", "This key asks more often than the installation allows.", retry_after=1
            )
    return reader


WhoReads = Annotated[Reader, Depends(reader_for)]


async def posted(request: Request) -> FormData:
    """The fields of a form that a page of ours sent to this sign-in. Raises ForeignForm, StaleForm."""
    session.require_own_origin(request)
    form = await form_of(request, page_parts_of(request).pages.long_forms)
    session.require_form_token(request, text_of(form, "token"))
    return form


async def posted_file(request: Request) -> tuple[FormData, bytes, str]:
    """The fields of such a form with its one file, and the name of that; empty where none was chosen."""
    session.require_own_origin(request)
    form = await form_of(request, page_parts_of(request).pages.long_forms, max_files=1)
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


class Page(HTMLResponse):
    """A page that is made when it is finished: by `PageRoute` in its turn among the calculations, at the latest when
    it is sent. kept: the part of it that was made before."""

    def __init__(
        self, make: Callable[[], str], status: int, *, takes_gzip: bool, kept: KeptPart | None = None
    ) -> None:
        super().__init__("", status, {"Cache-Control": "private, no-cache", "Vary": "Accept-Encoding"})
        self._make: Callable[[], str] | None = make
        self._takes_gzip, self._kept = takes_gzip, kept

    @property
    def is_finished(self) -> bool:
        """Whether the body is made."""
        return self._make is None

    def finish(self) -> None:
        """Make the body, compressed where that is worth it and the browser takes it."""
        if self._make is None:
            return
        parts = around(self._make(), self._kept)
        self._make, self.body = None, plain(parts)
        if self._takes_gzip and len(self.body) > WORTH_PACKING:
            self.body = packed(parts, self.body)
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
    made_before: KeptPart | None = None,
    **context: Any,
) -> Page:
    """A page. twin: address of the same as JSON; made_before: what the template calls `content`."""
    pages = page_parts_of(request).pages
    given = {"reader": reader, "token": reader.token if reader else "", "here": here, "twin": twin}
    if made_before is not None:
        given["content"] = PLACE
    render = pages.environment.get_template(template).render
    takes_gzip = "gzip" in request.headers.get("accept-encoding", "")
    made = Page(
        lambda: render(given | figures_for(system) | context),
        status,
        takes_gzip=takes_gzip,
        kept=made_before,
    )
    if reader is not None and reader.fresh is not None:
        session.give_cookie(request, made, reader.fresh)
    return made


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
    provider = page_parts_of(request).provider
    shown = page(
        request,
        "sign_in.html",
        None,
        status=status,
        provider=provider and provider.settings.label,
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
                if isinstance(response, Page) and not response.is_finished:
                    await page_parts_of(request).slots.run_chunk(response.finish)
                return response
            except SignInNeeded as needed:
                return await _without_session(request, needed.reason)
            except StaleForm:
                return await _without_session(request, "This form belongs to a sign-in that is over.")
            except ForeignForm:
                return _error_page_of(request, _foreign())
            except (Refusal, RequestValidationError, HTTPException) as refused:
                return _error_page_of(request, refused)
            except ClientDisconnect:
                return Response(status_code=400)  # nobody reads it
            except Exception as exception:  # noqa: BLE001 - a person is answered in words, whatever happened
                told = met(exception)
                answer = _error_page_of(request, told)
                if answer.status_code == INTERNAL or told is not exception:
                    log_unexpected(exception, request.state.request_id)
                return answer

        return handled


def _foreign() -> Refusal:
    return Refusal("forbidden", "This form was not sent by a page of this service.")


def _error_page_of(request: Request, exception: BaseException) -> HTMLResponse:
    problem = problem_of(exception, request.state.request_id)
    retry = getattr(exception, "retry_after", None)
    return error_page(request, problem, {"Retry-After": str(retry)} if retry else None)


async def _without_session(request: Request, reason: str) -> Response:
    if request.method in ("GET", "HEAD"):
        query = f"?{request.url.query}" if request.url.query else ""
        return sign_in_page(request, reason=reason, target=request.url.path + query, status=401)
    try:
        session.require_own_origin(request)
    except ForeignForm:
        return _error_page_of(request, _foreign())
    form = await form_of(request, page_parts_of(request).pages.long_forms)
    fields = [(k, v) for k, v in form.multi_items() if isinstance(v, str) and k != "token"]
    return sign_in_page(request, reason=reason, target=request.url.path, fields=fields, status=401)
