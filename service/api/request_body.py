"""What a request brings and what its sender takes: media types and the posted text."""

from typing import TypeVar

from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, ValidationError
from starlette.requests import Request

from service.api.description.answers import MAX_ID
from service.web.accepted import JSON, require_accepted
from service.wire.problem import shortened
from service.wire.refusal import Refusal

JSON_LINES = ("application/x-ndjson", "application/jsonl")


Query = TypeVar("Query", bound=BaseModel)


def query_of(request: Request, model: type[Query]) -> Query:
    """The query parameters. Raises what a route that declares them raises: `RequestValidationError`."""
    given = request.query_params if request.scope["query_string"] else {}
    try:
        return model.model_validate(dict(given))
    except ValidationError as invalid:
        errors = [{**found, "loc": ("query", *found["loc"])} for found in invalid.errors()]
        raise RequestValidationError(errors) from None


def id_of(request: Request, name: str) -> str:
    """An id in the address. Raises what a route that declares it raises where it is too long for one."""
    id: str = request.path_params[name]
    if len(id) > MAX_ID:
        raise RequestValidationError([{"type": "string_too_long", "loc": ("path", name)}])
    return id


async def read_body(request: Request, media_types: tuple[str, ...] = JSON) -> bytes:
    """The whole body of a request answered in JSON, which the middleware keeps within its limit."""
    require_content_type(request, media_types)
    require_accepted(request, JSON)
    return await request.body()


def require_content_type(request: Request, accepted: tuple[str, ...]) -> str:
    """The media type of the body. Raises `Refusal` unless it is one of `accepted`, in UTF-8."""
    given = request.headers.get("content-type", "")
    media_type, _, parameters = given.partition(";")
    media_type = media_type.strip().lower()
    charset = parameters.strip().lower().removeprefix("charset=").strip('"')
    if media_type not in accepted or (charset and charset not in ("utf-8", "us-ascii")):
        wanted = " or ".join(accepted)
        refused = Refusal(
            "unsupported_media_type", f"The body is {shortened(given) or 'of no type'}; send {wanted}."
        )
        refused.headers["Accept-Patch" if request.method == "PATCH" else "Accept"] = ", ".join(accepted)
        raise refused
    return media_type
