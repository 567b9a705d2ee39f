"""What a request takes for an answer: its Accept header against the media types of a route."""

from fastapi.routing import APIRoute
from starlette.requests import Request

from service.wire.refusal import Refusal

JSON = ("application/json",)


def require_accepted(request: Request, offered: tuple[str, ...]) -> None:
    """Raises `Refusal` when the request's Accept header leaves out everything that is offered."""
    given = ",".join(request.headers.getlist("accept"))
    if not given.strip() or given.strip() == "*/*":
        return
    ranges = dict(_range(part) for part in given.split(","))
    if not any(_takes(ranges, media_type) for media_type in offered):
        raise Refusal("not_acceptable", f"This address answers with {' or '.join(offered)}.")


def preferred(request: Request, offered: tuple[str, ...]) -> str:
    """The media type of those offered that the request likes best; the first where it does not say, or likes several
    as much (RFC 9110, section 12.5.1). Raises `Refusal` when it takes none of them.
    """
    require_accepted(request, offered)
    given = ",".join(request.headers.getlist("accept"))
    if not given.strip():
        return offered[0]
    weights = dict(_weight(part) for part in given.split(","))
    return max(offered, key=lambda media_type: _weight_of(weights, media_type))


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


def _weight(part: str) -> tuple[str, float]:
    """A part of an Accept field: its media range and its weight."""
    media_range, *parameters = part.split(";")
    weight = 1.0
    for name, _, value in (each.partition("=") for each in parameters):
        if name.strip().lower() == "q":
            try:
                weight = min(1.0, max(0.0, float(value)))
            except ValueError:
                weight = 0.0
    return media_range.strip().lower(), weight


def _weight_of(weights: dict[str, float], media_type: str) -> float:
    kind = media_type.partition("/")[0]
    return next((weights[each] for each in (media_type, f"{kind}/*", "*/*") if each in weights), 0.0)


def _takes(ranges: dict[str, bool], media_type: str) -> bool:
    """What the most special range says that stands for a media type."""
    kind = media_type.partition("/")[0]
    return next((ranges[each] for each in (media_type, f"{kind}/*", "*/*") if each in ranges), False)
