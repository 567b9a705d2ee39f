"""What is wrong with the parameters of an address: which one, why, and what may stand there instead."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any, get_args, get_origin

from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from pydantic import BaseModel
from starlette.requests import Request

from service.wire.problem import MAX_ERRORS, ProblemError, code_and_words, shortened

_QUOTED = re.compile(r"'([^']*)'")


def unknown_parameters(names: Sequence[str]) -> RequestValidationError:
    """What an address gets that takes none of these parameters."""
    return RequestValidationError([{"type": "extra_forbidden", "loc": ("query", name)} for name in names])


def wrong_parameter(name: str, code: str, words: str) -> RequestValidationError:
    """A parameter whose value is wrong in a way of its own; `words` is a sentence."""
    return RequestValidationError([{"type": code, "loc": ("query", name), "words": words}])


def query_errors(invalid: RequestValidationError, allowed: Sequence[str] | None) -> list[ProblemError]:
    """Entries for the parameters found wrong. allowed: names of those the address takes, None where not known."""
    return [_entry(found, allowed) for found in invalid.errors()[:MAX_ERRORS]]


def _entry(found: Mapping[str, Any], allowed: Sequence[str] | None) -> ProblemError:
    name, kind = shortened(str(found["loc"][1] if len(found["loc"]) > 1 else found["loc"][-1])), found["type"]
    entry: ProblemError = {"pointer": "", "code": kind, "detail": "", "parameter": name}
    if kind == "extra_forbidden":
        entry["detail"] = f"This address takes no parameter {name}{_instead(allowed)}."
        if allowed is not None:
            entry["allowed"] = list(allowed)
        return entry
    context = found.get("ctx", {})
    words: str = found.get("words") or context.get("words") or code_and_words(kind, context)[1]
    entry["detail"] = f"Parameter {name}: {words[0].lower()}{words[1:]}"
    if kind == "literal_error":
        entry["allowed"] = _QUOTED.findall(context["expected"])
    return entry


def _instead(allowed: Sequence[str] | None) -> str:
    if allowed is None:
        return ""
    return f"; it takes {', '.join(allowed)}" if allowed else ", and no others"


def refuse_repeated(request: Request) -> None:
    """Refuse a parameter of one value that is given more than once: which of them is meant is not known."""
    route = request.scope.get("route")
    if b"&" not in request.scope["query_string"] or not isinstance(route, APIRoute):
        return
    counts = Counter(name for name, _ in request.query_params.multi_items())
    repeated = [name for name, count in counts.items() if count > 1]
    single = _single_parameters(route) if repeated else frozenset()
    words = "This is given more than once; it takes one value."
    found = [
        {"type": "given_twice", "loc": ("query", name), "words": words} for name in repeated if name in single
    ]
    if found:
        raise RequestValidationError(found)


def _single_parameters(route: APIRoute) -> frozenset[str]:
    """Names of the query parameters of a route that take one value."""
    several = {
        member.alias or name
        for field in route.dependant.query_params
        if isinstance(model := field.field_info.annotation, type) and issubclass(model, BaseModel)
        for name, member in model.model_fields.items()
        if _is_list(member.annotation)
    }
    return frozenset(parameters_of(route) or ()) - several


def _is_list(annotation: object) -> bool:
    return get_origin(annotation) is list or any(_is_list(each) for each in get_args(annotation))


def parameters_of(route: object) -> list[str] | None:
    """Names of the query parameters of a route in alphabetical order, None where there is no route."""
    if not isinstance(route, APIRoute):
        return None
    names = {
        parameter["name"]
        for parameter in (route.openapi_extra or {}).get("parameters", ())
        if parameter["in"] == "query"
    }
    for field in route.dependant.query_params:
        model = field.field_info.annotation
        if isinstance(model, type) and issubclass(model, BaseModel):
            names |= {member.alias or name for name, member in model.model_fields.items()}
        else:
            names.add(field.alias)
    return sorted(names)
