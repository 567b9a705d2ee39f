"""A route for an endpoint that takes the request and nothing else.

It is described like every other route, but what FastAPI does for parameters and dependencies (exit stacks, a solver,
a response to be filled in) is left out: on a small request that is a fifth of the time around the work.
"""

from collections.abc import Awaitable, Callable
from typing import Any, cast

from fastapi.routing import APIRoute
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import request_response
from starlette.types import Receive, Scope, Send


class DirectRoute(APIRoute):
    """Calls its endpoint with the request. Refusals are answered as those of every route."""

    def __init__(self, path: str, endpoint: Callable[..., Any], **described: Any) -> None:
        super().__init__(path, endpoint, **described)
        self._direct = request_response(cast(Callable[[Request], Awaitable[Response]], endpoint))

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer; another method than the route's is refused as FastAPI does it."""
        if scope["method"] in (self.methods or ()):
            await self._direct(scope, receive, send)
        else:
            await super().handle(scope, receive, send)
