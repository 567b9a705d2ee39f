"""What the types of an answer say of its figures: the dimension of each, by its place."""

from dataclasses import dataclass
from functools import cache
from types import UnionType
from typing import Annotated, Any, NotRequired, Union, get_args, get_origin, get_type_hints

from typing_extensions import is_typeddict

from service.wire.quantity import Dimension, DimensionName, InUnit


@dataclass(frozen=True)
class FigureType:
    """A member of an answer as far as its type says something of figures.

    dimension: of the number, or of each number of the list, that stands there. in_unit: whether its unit stands beside
    it. members: the TypedDict that stands there, or of which there is a list; None for anything else."""

    dimension: DimensionName | None = None
    in_unit: bool = False
    members: type | None = None


@cache
def figure_types(kind: type) -> dict[str, FigureType]:
    """The members of a TypedDict that are figures or hold some."""
    hints = get_type_hints(kind, include_extras=True)
    found = {name: _figure_type(hint) for name, hint in hints.items()}
    return {name: figure for name, figure in found.items() if figure != FigureType()}


def dimension_at(kind: type, path: tuple[str, ...]) -> DimensionName:
    """The dimension of the figure at a path into a TypedDict. Raises LookupError where none stands there."""
    for step in path[:-1]:
        inside = figure_types(kind)[step].members
        if inside is None:
            raise LookupError(f"no object at {step}")
        kind = inside
    dimension = figure_types(kind)[path[-1]].dimension
    if dimension is None:
        raise LookupError(f"no figure at {path}")
    return dimension


def _figure_type(hint: Any) -> FigureType:
    if get_origin(hint) is NotRequired:
        (hint,) = get_args(hint)
    if get_origin(hint) is Annotated:
        inner, *marks = get_args(hint)
        dimension = next((mark.name for mark in marks if isinstance(mark, Dimension)), None)
        in_unit = any(isinstance(mark, InUnit) for mark in marks)
        return FigureType(dimension, True) if in_unit else FigureType(dimension, False, _members(inner))
    return FigureType(members=_members(hint))


def _members(hint: Any) -> type | None:
    """The TypedDict of a hint, of a list of it, or of either or None."""
    if get_origin(hint) in (Union, UnionType, list, Annotated):
        return next((found for each in get_args(hint) if (found := _members(each)) is not None), None)
    return hint if is_typeddict(hint) else None
