"""The pages as part of an application."""

from collections.abc import Callable

from fastapi import APIRouter, FastAPI, Request
from starlette.exceptions import HTTPException
from starlette.responses import Response

from service.pages import condition, edit, sign_in, vessel
from service.pages.session import KeyFromSession
from service.pages.show import PageRoute, Pages, error_page, state_of
from service.wire.problem import Problem

PARTS = (sign_in, edit, condition, vessel)
static = APIRouter(route_class=PageRoute, include_in_schema=False)


@static.get("/static/{tag}/{name}")
async def get_static(request: Request, tag: str, name: str) -> Response:
    """A file of the pages: the same for everybody."""
    found = state_of(request).pages.assets.answer(tag, name)
    if found is None:
        raise HTTPException(404)
    return found


def add_pages(app: FastAPI, problem_of: Callable[[BaseException, str], Problem]) -> None:
    """Let `app` serve the pages. problem_of: what the API would answer to an exception."""
    app.state.pages = Pages(problem_of)
    for part in PARTS:
        app.include_router(part.router)
    app.include_router(static)
    app.add_middleware(KeyFromSession)
    as_problem = app.exception_handlers[HTTPException]

    async def told(request: Request, exception: Exception) -> Response:
        """A page for a person who went astray, a problem document for a program."""
        if request.url.path.startswith("/v1/") or "text/html" not in request.headers.get("accept", ""):
            answer: Response = await as_problem(request, exception)  # type: ignore[misc]
            return answer
        return error_page(request, problem_of(exception, request.state.request_id))

    app.add_exception_handler(HTTPException, told)
