"""The pages as part of an application."""

from fastapi import APIRouter, FastAPI, Request
from starlette.exceptions import HTTPException
from starlette.responses import Response

from service.pages import (
    condition,
    condition_sheet,
    condition_state,
    fleet,
    history,
    judged_again,
    keys,
    named_fleets,
    notices,
    provider_sign_in,
    remedies,
    review,
    ship,
    sign_in,
    strength,
    vcg_limits,
    vessel,
    vessel_entry,
    vessel_tables,
    vessel_workbook,
    voyage,
    voyage_point,
    what_moves,
    working,
)
from service.pages.booklet import routes as booklet_routes
from service.pages.page import PageRoute, error_page, page_parts_of
from service.pages.report import download
from service.pages.session import KeyFromSession
from service.pages.sheet import routes as sheet_routes
from service.pages.sheet import soundings, templates
from service.web.problems import problem_of

PARTS = (
    *(fleet, condition),  # asked for the most: each route before them costs a search
    *(sign_in, provider_sign_in, vessel_workbook, condition_sheet, vessel_entry, vessel, sheet_routes),
    booklet_routes,
    *(
        soundings,
        templates,
        condition_state,
        history,
        review,
        ship,
        judged_again,
        remedies,
        strength,
        vcg_limits,
        vessel_tables,
        voyage,
        voyage_point,
        what_moves,
        working,
        download,
        keys,
        named_fleets,
        notices,
    ),
)
static = APIRouter(route_class=PageRoute, include_in_schema=False)


@static.get("/static/{tag}/{name}")
async def get_static(request: Request, tag: str, name: str) -> Response:
    """A file of the pages: the same for everybody."""
    found = page_parts_of(request).pages.assets.answer(tag, name)
    if found is None:
        raise HTTPException(404)
    return found


def add_pages(app: FastAPI) -> None:
    """Let `app` serve the pages."""
    for router in (*(part.router for part in PARTS), static):
        app.router.routes.extend(router.routes)
    app.add_middleware(KeyFromSession)
    as_problem = app.exception_handlers[HTTPException]

    async def answer_not_found(request: Request, exception: Exception) -> Response:
        """A page for a person who went astray, a problem document for a program."""
        if request.url.path.startswith("/v1/") or "text/html" not in request.headers.get("accept", ""):
            answer: Response = await as_problem(request, exception)  # type: ignore[misc]
            return answer
        return error_page(request, problem_of(exception, request.state.request_id))

    app.add_exception_handler(HTTPException, answer_not_found)
