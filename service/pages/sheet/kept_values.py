"""What somebody left unfinished as a sheet takes it: every value of the kind its field has, or a text to be mended."""

from collections.abc import Mapping
from typing import Any, Final

from service.pages.sheet.numbers import as_typed
from service.wire.condition import Condition
from service.wire.published_shape import PublishedShape, Schema, form_of_value, published_shape

Row = dict[str, Any]
_NOTHING: Final = object()
_NUMBERS: Final = frozenset(("number", "integer"))


def settled(document: Mapping[str, Any]) -> Row:
    """The document without what has not the shape of a condition. Where a text belongs, and a number or a yes stands,
    it is a text; a text where a number belongs stays as it was typed; what is no yes or no is left out."""
    shape = published_shape(Condition)
    found: Row = _settled(shape, document, shape.root)
    return found


def _settled(shape: PublishedShape, value: Any, schema: Schema) -> Any:
    forms, form = shape.forms(schema), form_of_value(value)
    if isinstance(value, Mapping) and "object" in forms:
        members = {
            name: _settled(shape, below, one)
            for name, below, one in shape.members(forms["object"], value)
            if one is not None
        }
        return {name: below for name, below in members.items() if below is not _NOTHING}
    if isinstance(value, list) and "array" in forms:
        items = [_settled(shape, item, forms["array"]["items"]) for item in value]
        return [item for item in items if item is not _NOTHING]
    if form != "value" or value is None:
        return _NOTHING
    return _single(value, {one["type"] for one in shape.choices(schema) if "type" in one})


def _single(value: str | float | bool, kinds: set[str]) -> Any:
    if isinstance(value, bool):
        return value if "boolean" in kinds else "yes" if value and "string" in kinds else _NOTHING
    if isinstance(value, str):
        return value if kinds - {"boolean", "object", "null"} else _NOTHING
    if kinds & _NUMBERS:
        return value
    return as_typed(value) if "string" in kinds else _NOTHING
