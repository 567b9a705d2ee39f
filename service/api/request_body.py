"""What a request brings and what its sender takes: media types and the posted text."""

from typing import TypeVar

from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from pydantic import BaseModel, ValidationError
from starlette.requests import Request

from service.api.description.answers import MAX_ID
from service.wire.problem import shortened
from service.wire.refusal import Refusal

JSON = ("application/json",)
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
    """The whole body of a request answered in JSON, which the envelope keeps within its limit."""
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


def require_accepted(request: Request, offered: tuple[str, ...]) -> None:
    """Raises `Refusal` when the request's Accept header leaves out everything that is offered."""
    given = ",".join(request.headers.getlist("accept"))
    if not given.strip() or given.strip() == "*/*":
        return
    ranges = dict(_range(part) for part in given.split(","))
    if not any(_takes(ranges, media_type) for media_type in offered):
        raise Refusal("not_acceptable", f"This address answers with {' or '.join(offered)}.")


def offered_by(route: object) -> tuple[str, ...]:
    """The media types a route answers with, as its description says: JSON where it names no others."""
    if not isinstance(route, APIRoute):
        return JSON
    named = [
        media_type
        for status, answer in route.responses.items()
        if str(status).startswith("2")
        for media_type in answer.get("content", ())
    ]
    return tuple(named) or JSON


def _range(part: str) -> tuple[str, bool]:
    """A part of an Accept field: its media range, and whether it is taken at all (RFC 9110, section 12.5.1)."""
    media_range, *parameters = part.split(";")
    weights = [
        value
        for name, _, value in (each.partition("=") for each in parameters)
        if name.strip().lower() == "q"
    ]
    return media_range.strip().lower(), not weights or weights[0].strip().strip("0.") != ""


def _takes(ranges: dict[str, bool], media_type: str) -> bool:
    """What the most special range says that stands for a media type."""
    kind = media_type.partition("/")[0]
    return next((ranges[each] for each in (media_type, f"{kind}/*", "*/*") if each in ranges), False)
