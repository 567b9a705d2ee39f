"""The sheets against the published models: every member has one column, every unit is the published one."""

import typing
from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import BaseModel

from service.imports.condition_sheets import CONDITION_NOT_IN_WORKBOOKS, CONDITION_SHEETS
from service.imports.layout import Entry, Sheet
from service.imports.quantities import QUANTITIES, units_named
from service.imports.vessel_sheets import NOT_IN_WORKBOOKS, VESSEL_SHEETS
from service.wire.condition import Condition
from service.wire.vessel import Vessel

Leaf = tuple[tuple[str, ...], tuple[str, str] | None, frozenset[Any], bool]


def leaves(model: type[BaseModel], path: tuple[str, ...] = ()) -> Iterator[Leaf]:
    """Every member of a model that is no object: path (lists as *), units, words to choose from, needed."""
    for name, field in model.model_fields.items():
        here = (*path, field.alias or name)
        yield from _of(field.annotation, field.metadata, field.json_schema_extra, here, field.is_required())


def _of(kind: Any, metadata: Any, extra: Any, path: tuple[str, ...], needed: bool) -> Iterator[Leaf]:
    origin = typing.get_origin(kind)
    if origin is typing.Annotated:
        inner = typing.get_args(kind)
        found = next((m.json_schema_extra for m in inner[1:] if getattr(m, "json_schema_extra", None)), extra)
        yield from _of(inner[0], metadata, found, path, needed)
    elif origin is list:
        yield from _of(typing.get_args(kind)[0], (), None, (*path, "*"), needed)
    elif origin is dict:
        key, value = typing.get_args(kind)
        yield from _of(key, (), None, (*path, "key"), needed)
        yield from _of(value, (), None, (*path, "value"), needed)
    elif isinstance(kind, type) and issubclass(kind, BaseModel):
        yield from leaves(kind, path)
    elif origin is typing.Literal:
        yield path, None, frozenset(typing.get_args(kind)), needed
    elif origin is not None:  # a union, with None or of a figure and an object
        for rest in (a for a in typing.get_args(kind) if a is not type(None)):
            yield from _of(rest, metadata, extra, path, needed)
    else:
        units = extra.get("x-units") if isinstance(extra, dict) else None
        yield path, None if units is None else (units["metric"], units["us"]), frozenset(), needed


def columns(sheets: tuple[Sheet, ...]) -> Iterator[tuple[tuple[str, ...], Entry]]:
    """Every column and line of the sheets with the path it fills."""
    for sheet in sheets:
        for entry in sheet.lines:
            if entry.path:
                yield entry.path, entry
        parent = () if sheet.parent is None else (*sheet.parent.path, "*")
        target = (*parent, *sheet.target)
        if sheet.parent is not None and sheet.parent.itself:
            of_all = (*sheet.parent.path[:-1], *sheet.target)
            yield from (((*of_all, "*", *_deeper(entry)), entry) for entry in sheet.entries)
        if sheet.shape == "form":
            yield from ((entry.path, entry) for entry in sheet.entries if entry.path)
        elif sheet.mapping:
            yield (*target, "key"), sheet.columns[0]
            yield (*target, "value"), sheet.columns[1]
            yield from (((*target, "value", *entry.path), entry) for entry in sheet.columns[2:])
        elif sheet.matrix is not None:
            yield from _matrix(sheet, target)
        elif sheet.grouped is not None:
            yield from (((*target, "*", *_steps(entry)), entry) for entry in sheet.grouped.members)
            yield from (
                ((*target, "*", sheet.grouped.rows, "*", *entry.path), entry) for entry in sheet.entries
            )
        else:
            yield from (((*target, "*", *_deeper(entry)), entry) for entry in sheet.entries)


def _deeper(entry: Entry) -> tuple[str, ...]:
    """The path of a column, with the lists that stand in its cells."""
    return (*_steps(entry), *("*" * {"names": 1, "groups": 2}.get(entry.kind, 0)))


def _steps(entry: Entry) -> tuple[str, ...]:
    """The path of a column, places in a list as *."""
    return tuple("*" if isinstance(step, int) else step for step in entry.path)


def _matrix(sheet: Sheet, target: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Entry]]:
    matrix = sheet.matrix
    assert matrix is not None
    figure = Entry("Figure", (), quantity=matrix.quantity, needed=True)
    if sheet.shape == "lever_matrix":
        yield (*target, "*", matrix.columns), matrix.column
        yield (*target, "*", matrix.values), figure
        return
    for place in ((), () if matrix.others is None else (matrix.others, "*")):
        yield (*target, *place, matrix.rows, "*"), matrix.row
        yield (*target, *place, matrix.values, "*", "*"), figure
        if sheet.block is not None and sheet.block.path:
            yield (*target, *place, *sheet.block.path), sheet.block
        if matrix.others is None:
            break
    yield (*target, matrix.columns, "*"), matrix.column


@pytest.mark.parametrize(
    ("model", "sheets", "reasons"),
    [
        (Vessel, VESSEL_SHEETS, NOT_IN_WORKBOOKS),
        (Condition, CONDITION_SHEETS, CONDITION_NOT_IN_WORKBOOKS),
    ],
)
def test_every_member_has_a_column_or_a_reason_and_every_column_a_member(
    model: type[BaseModel], sheets: tuple[Sheet, ...], reasons: dict[tuple[str, ...], str]
) -> None:
    published = {path for path, *_ in leaves(model)}
    left_out = {path for path in published if any(path[: len(start)] == start for start in reasons)}
    assert all(any(path[: len(start)] == start for path in published) for start in reasons)
    assert all(reasons.values())
    laid_out = {path for path, _ in columns(sheets)}
    assert published - left_out == laid_out


@pytest.mark.parametrize(("model", "sheets"), [(Vessel, VESSEL_SHEETS), (Condition, CONDITION_SHEETS)])
def test_units_and_words_are_the_published_ones(model: type[BaseModel], sheets: tuple[Sheet, ...]) -> None:
    published = {path: (units, words) for path, units, words, _ in leaves(model)}
    for path, entry in columns(sheets):
        units, words = published[path]
        assert (QUANTITIES[entry.quantity] if entry.quantity else None) == units, path
        assert set(entry.choices) == words, path
        assert set(entry.synonyms.values()) <= set(entry.choices), path


@pytest.mark.parametrize("sheets", [VESSEL_SHEETS, CONDITION_SHEETS])
def test_no_name_means_two_things(sheets: tuple[Sheet, ...]) -> None:
    names = [name for sheet in sheets for name in sheet.names]
    assert len(names) == len(set(names))
    for sheet in sheets:
        for entries in (
            sheet.columns,
            (*sheet.lines, *(sheet.entries if sheet.shape in ("form", "columns") else ())),
        ):
            headings = [name for entry in entries for name in entry.names]
            assert len(headings) == len(set(headings)), sheet.name


def test_a_needed_member_is_a_needed_column() -> None:
    published = {path: needed for path, *_, needed in leaves(Vessel)}
    for path, entry in columns(VESSEL_SHEETS):
        if (
            path[0] in ("propeller", "bridge", "axes", "hatch_coamings", "barge_trunk", "towing")
            or "extent" in path
            or "timber" in path
            or "rectangular_surface" in path
        ):
            continue  # needed together, or not at all
        if path == ("tanks", "*", "table", "density"):
            continue
        if "key" not in path and "value" not in path:
            assert entry.needed == published[path] or path[-1] in ("trim", "*"), path


@pytest.mark.parametrize(
    ("unit", "quantity", "factor"),
    [
        # international yard and pound agreement of 1959; NIST Handbook 44 Appendix C for gallon and barrel
        ("mm", "length", 0.001),
        ("in", "length", 1 / 12),
        ("lb", "mass", 1 / 2240),
        ("short tons", "mass", 2000 / 2240),
        ("US gallons", "volume", 231 / 12**3),
        ("bbl", "volume", 42 * 231 / 12**3),
        ("kg/m³", "density", 0.001),
        ("m·deg", "lever_area", 0.017453292519943295),
    ],
)
def test_what_other_units_are_worth(unit: str, quantity: str, factor: float) -> None:
    found = [u for u in units_named(unit) if u.quantity == quantity]
    assert [u.factor for u in found] == [pytest.approx(factor, rel=1e-12)]
