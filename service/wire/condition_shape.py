"""Whether something half typed has the shape of a condition: objects, lists and single values where it has them."""

from collections.abc import Iterator, Mapping
from itertools import islice
from typing import Any, Final

from service.wire.condition import Condition
from service.wire.problem import MAX_ERRORS, ProblemError, error
from service.wire.published_shape import Form, PublishedShape, Schema, form_of, form_of_value, published_shape

Place = tuple[str | int, ...]
_CODES: Final[dict[Form, str]] = {"object": "dict_type", "array": "list_type", "value": "value_type"}
_WORDS: Final[dict[Form, str]] = {
    "object": "This must be an object.",
    "array": "This must be a list.",
    "value": "This must be a single value.",
}


def faults_of_shape(document: Mapping[str, Any]) -> list[ProblemError]:
    """Where members of a condition hold an object, a list or a single value in the place of another of the three.

    What a single value says is not looked at, nor what is missing; a list of numbers may stand as the text that was
    typed. A member that no condition has is a fault. As many are looked for as a problem document lists."""
    shape = published_shape(Condition)
    return list(islice(_faults(shape, document, shape.root, ()), MAX_ERRORS))


def _faults(shape: PublishedShape, value: Any, schema: Schema, place: Place) -> Iterator[ProblemError]:
    if value is None and shape.may_be_null(schema):
        return
    forms, form = shape.forms(schema), form_of_value(value)
    if form not in forms and not _is_list_as_typed(shape, value, forms):
        wanted = next(iter(forms))
        yield error(place, _CODES[wanted], _WORDS[wanted])
    elif isinstance(value, Mapping):
        for name, below, found in shape.members(forms["object"], value):
            if found is not None:
                yield from _faults(shape, below, found, (*place, name))
            elif not place:
                yield error((name,), "extra_forbidden", "A condition has no such member.")
    elif isinstance(value, list):
        for n, item in enumerate(value):
            yield from _faults(shape, item, forms["array"]["items"], (*place, n))


def _is_list_as_typed(shape: PublishedShape, value: Any, forms: Mapping[Form, Schema]) -> bool:
    items = forms["array"]["items"] if "array" in forms else {}
    return isinstance(value, str) and any(form_of(one) == "value" for one in shape.choices(items))
