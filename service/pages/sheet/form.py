"""A condition as the fields of the sheet, and back: every member has a field, or is named and kept."""

from collections.abc import Mapping
from typing import Any

from service.pages.sheet.layout import (
    BLANK_LINES,
    HEAD,
    MOST_LINES,
    SINGLES,
    TABLES,
    Field,
    Read,
    Row,
    Table,
    kept_lines,
    member_at,
    set_member,
    steps_of,
)
from service.pages.sheet.numbers import NotANumber, as_typed, has_decimal_comma, number_in
from service.pages.sheet.tanks import read_tanks, tank_fields
from service.pages.sheet.weights import MEMBERS, YES, read_weights, typed_numbers, weight_fields

NUMERIC = ("q:", "w:", "p:", "d:")


def empty_document(vessel: Row) -> Row:
    """A condition with nothing aboard, in the units of the vessel's booklet."""
    return {
        "units": vessel["units"],
        "title": "",
        "water_density": 1.025,
        "free_surface": {"basis": "by_rule"},
        "tanks": [],
        "weights": [],
    }


def fields_of(document: Row, vessel: Row) -> dict[str, str]:
    """A document as the fields of the sheet; one that is not finished too."""
    fields = {one.name: _as_text(one, member_at(document, one.path)) for one in SINGLES}
    fields = {name: text for name, text in fields.items() if text}
    for table in TABLES:
        for n, row in enumerate(member_at(document, table.path) or ()):
            for column in table.columns:
                fields[f"{table.name}:{n}:{column.name}"] = _as_text(column, row.get(column.path[0]))
    for mark, reading in (member_at(document, ("observed", "drafts")) or {}).items():
        sides = reading if isinstance(reading, Mapping) else {"port": reading}
        fields[f"o:{mark}"] = as_typed(sides.get("port", ""))
        fields[f"o2:{mark}"] = as_typed(sides.get("starboard", "")) if "starboard" in sides else ""
    fields |= {f"rs:{name}": YES for name in document.get("rule_sets") or ()}
    return fields | tank_fields(document, vessel) | weight_fields(document, vessel)


def _as_text(one: Field, value: Any) -> str:
    if value is None or value is False:
        return ""
    if one.kind == "flag":
        return YES
    if one.kind == "numbers":
        return value if isinstance(value, str) else "; ".join(as_typed(each) for each in value)
    return value if isinstance(value, str) else as_typed(value)


def read(fields: Mapping[str, str], base: Row, vessel: Row) -> Read:
    """What the fields say. base: the document the sheet started from, for what has no field and for the order of
    its lines."""
    document: Row = {"units": base["units"]}
    found = Read(document)
    comma = has_decimal_comma(
        value for name, value in fields.items() if name.startswith(NUMERIC) or name in _NUMBERS
    )
    for line in kept_lines(base):
        if fields.get(f"keep:{line.member}") != "no":
            document[line.member] = base[line.member]
    length = 2.0 * vessel["particulars"]["length_bp"]
    for one in SINGLES:
        _read_single(found, fields, one, base, comma, length)
    for table in TABLES:
        rows = _read_table(found, fields, table, comma, length)
        if rows or member_at(base, table.path) == []:
            set_member(document, table.path, rows)
    _read_drafts(found, fields, base, vessel, comma)
    _read_rule_sets(document, fields, base)
    document["tanks"] = read_tanks(found, fields, base, vessel, comma=comma)
    document["weights"] = read_weights(found, fields, base, vessel, comma=comma)
    return found


_NUMBERS = frozenset(one.name for one in SINGLES if one.kind in ("number", "numbers"))


def _read_single(
    found: Read, fields: Mapping[str, str], one: Field, base: Row, comma: bool, length: float
) -> None:
    text = fields.get(one.name, "").strip()
    if not text:
        kept = member_at(base, one.path)
        if kept == one.default and kept is not None:  # said, though it says nothing new
            set_member(found.document, one.path, kept)
        elif one.needed:
            found.missing[one.name] = _NEEDED.get(one.name, "This is needed.")
            if one.name == "title":
                found.document["title"] = ""
            else:
                found.broken[one.path] = one.label
        return
    value, wrong = _value(one, text, comma, length)
    set_member(found.document, one.path, value)
    if wrong:
        found.wrong[one.name] = wrong
        found.broken[one.path] = one.label


_NEEDED = {"title": "Give the condition a title.", "water_density": "Say what water she floats in."}


def _value(one: Field, text: str, comma: bool, length: float) -> tuple[Any, str]:
    """The value of a field and what is wrong with it; where something is, the value is the text."""
    if one.kind in ("text", "choice"):
        return text, ""
    if one.kind == "flag":
        return True, ""
    most = length if one.quantity == "length" else 5.0 if one.name == "water_density" else float("inf")
    try:
        if one.kind == "numbers":
            return [number_in(part, comma=comma, most=most) for part in text.split(";") if part.strip()], ""
        number = number_in(text, comma=comma, most=most)
    except NotANumber as wrong:
        return text, str(wrong)
    if one.kind == "whole":
        return (int(number), "") if number.is_integer() else (text, "This has to be a whole number.")
    return number, ""


def table_numbers(fields: Mapping[str, str], table: Table) -> list[int]:
    """The lines of a table in which somebody typed something."""
    names = {column.name for column in table.columns}
    used = set()
    for name, value in fields.items():
        parts = name.split(":")
        ours = len(parts) == 3 and parts[0] == table.name and parts[2] in names and value.strip()
        if ours and parts[1].isdecimal() and len(parts[1]) < 5:
            used.add(int(parts[1]))
    return sorted(n for n in used if n < MOST_LINES)


def table_lines(fields: Mapping[str, str], table: Table) -> list[int]:
    """The lines to show: those typed in, and blank ones."""
    used = table_numbers(fields, table)
    start = max(used, default=-1) + 1
    return [*used, *range(start, start + BLANK_LINES)]


def _read_table(
    found: Read, fields: Mapping[str, str], table: Table, comma: bool, length: float
) -> list[Row]:
    rows: list[Row] = []
    for n in table_numbers(fields, table):
        row: Row = {}
        place: tuple[str | int, ...] = (*table.path, len(rows))
        for column in table.columns:
            name = f"{table.name}:{n}:{column.name}"
            text = fields.get(name, "").strip()
            if text:
                row[column.path[0]], wrong = _value(column, text, comma, length)
                if wrong:
                    found.wrong[name] = wrong
                    found.broken[place] = table.title
            elif column.needed:
                found.missing[name] = f"{column.label}: this is needed."
                found.broken[place] = table.title
        rows.append(row)
    return rows


def _read_drafts(found: Read, fields: Mapping[str, str], base: Row, vessel: Row, comma: bool) -> None:
    readings: Row = {}
    for mark in marks_of(base, vessel):
        sides: Row = {}
        for prefix, side in (("o", "port"), ("o2", "starboard")):
            text = fields.get(f"{prefix}:{mark}", "").strip()
            if not text:
                continue
            try:
                sides[side] = number_in(text, comma=comma, most=100.0)
            except NotANumber as wrong:
                sides[side] = text
                found.wrong[f"{prefix}:{mark}"] = str(wrong)
                found.broken["observed", "drafts", mark] = f"draft read {mark}"
        if "starboard" in sides and "port" not in sides:
            found.missing[f"o:{mark}"] = "Both sides are needed where one is read."
            found.broken["observed", "drafts", mark] = f"draft read {mark}"
        if sides:
            readings[mark] = sides if "starboard" in sides else sides["port"]
    if readings or member_at(base, ("observed", "drafts")) == {}:
        set_member(found.document, ("observed", "drafts"), readings)


def marks_of(base: Row, vessel: Row) -> list[str]:
    """Names of her draft marks from aft to forward, and of others that were read."""
    ahead = 1.0 if (vessel.get("axes") or {}).get("x_positive", "forward") == "forward" else -1.0
    own = [mark["name"] for mark in sorted(vessel.get("draft_marks") or (), key=lambda m: ahead * m["x"])]
    return list(dict.fromkeys((*own, *(member_at(base, ("observed", "drafts")) or {}))))


def _read_rule_sets(document: Row, fields: Mapping[str, str], base: Row) -> None:
    before = list(base.get("rule_sets") or ())
    named = [name.removeprefix("rs:") for name, value in fields.items() if name.startswith("rs:") and value]
    chosen = [*(name for name in before if name in named), *(name for name in named if name not in before)]
    if chosen or base.get("rule_sets") == []:
        document["rule_sets"] = chosen


def field_of(pointer: str, document: Row, fields: Mapping[str, str]) -> str | None:
    """The field that a place of the document belongs to; None where it has none."""
    steps = steps_of(pointer)
    if not steps:
        return None
    place = int(steps[1]) if len(steps) > 1 and steps[1].isdecimal() else None
    if steps[0] == "tanks" and place is not None and place < len(document["tanks"]):
        tank = document["tanks"][place]["tank"]
        return f"{ {'contents': 'c', 'density': 'd'}.get(steps[2] if len(steps) > 2 else '', 'q') }:{tank}"
    if steps[0] == "weights" and place is not None:
        return _weight_field(place, steps[2:], fields)
    if steps[:2] == ["observed", "drafts"] and len(steps) > 2:
        return f"o:{steps[2]}"
    for table in TABLES:
        if tuple(steps[: len(table.path)]) == table.path and len(steps) > len(table.path):
            return _table_field(table, steps[len(table.path) :], fields)
    for count in range(len(steps), 0, -1):
        path = tuple(steps[:count])
        inside = next((one for one in SINGLES if one.path[:count] == path), None)
        if inside is not None:
            return inside.name
    return None


def _weight_field(place: int, rest: list[str], fields: Mapping[str, str]) -> str | None:
    numbers = typed_numbers(fields)
    if place >= len(numbers):
        return None
    member = next((step for step in reversed(rest) if step in MEMBERS), "mass")
    return f"w:{numbers[place]}:{member}"


def _table_field(table: Table, rest: list[str], fields: Mapping[str, str]) -> str | None:
    numbers = table_numbers(fields, table)
    if not rest[0].isdecimal() or int(rest[0]) >= len(numbers):
        return None
    member = rest[1] if len(rest) > 1 else table.columns[0].name
    return f"{table.name}:{numbers[int(rest[0])]}:{member}"


HEAD_NAMES = frozenset(one.name for one in HEAD)
