"""Lists of what is kept as tables of a file: which columns, with their units in the headings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from service.imports.plain_tables import Cell, PlainTable, table_text, tables_workbook
from service.wire.fields import UnitSystem
from service.wire.figures import unit

Form = Literal["csv", "xlsx"]


@dataclass(frozen=True)
class Column:
    """path: members to follow into an item, with slashes. unit: what it measures, where it has a unit."""

    heading: str
    path: str
    unit: Literal["length", "mass"] | None = None


@dataclass(frozen=True)
class ListLayout:
    """name: of its sheet and file."""

    name: str
    columns: tuple[Column, ...]


_JUDGED = (
    Column("verdict", "verdict"),
    Column("dangers", "dangers"),
    Column("least stability margin", "least_stability_margin/margin"),
    Column("unit of that margin", "least_stability_margin/unit"),
    Column("criterion of that margin", "least_stability_margin/criterion"),
    Column("rise of the centre of gravity left", "least_stability_margin/gm_equivalent", "length"),
    Column("draft left to the load line", "load_line_margin/draft", "length"),
    Column("mass left to the load line", "load_line_margin/mass", "mass"),
)
_FIGURES = (Column("displacement", "displacement", "mass"), Column("GM corrected", "gm_corrected", "length"))
_HEAD = (
    Column("title", "title"),
    Column("voyage", "voyage"),
    Column("phase", "phase"),
    Column("state", "state"),
    Column("revision", "revision"),
    *_JUDGED,
    *_FIGURES,
    Column("review", "review_state"),
    Column("returned by", "returned/who/name"),
    Column("returned because", "returned/note"),
    Column("vessel revision", "vessel_revision"),
    Column("calculation version", "calculation_version"),
    Column("updated (UTC)", "updated"),
)
CONDITIONS = ListLayout(
    "conditions",
    (
        Column("condition", "condition"),
        Column("vessel", "vessel"),
        Column("reference", "reference"),
        *_HEAD,
        Column("created (UTC)", "created"),
        Column("author", "author/name"),
    ),
)
REVISIONS = ListLayout(
    "revisions",
    (
        Column("condition", "condition"),
        Column("revision", "revision"),
        Column("title", "title"),
        Column("voyage", "voyage"),
        Column("phase", "phase"),
        *_JUDGED,
        Column("review", "review_state"),
        Column("vessel revision", "vessel_revision"),
        Column("calculation version", "calculation_version"),
        Column("created (UTC)", "created"),
        Column("author", "author/name"),
        Column("reason", "reason"),
        Column("digest", "digest"),
    ),
)
VESSELS = ListLayout(
    "vessels",
    (
        Column("vessel", "vessel"),
        Column("name", "name"),
        Column("IMO number", "imo_number"),
        Column("reference", "reference"),
        Column("state", "state"),
        Column("revision", "revision"),
        Column("created (UTC)", "created"),
        Column("updated (UTC)", "updated"),
    ),
)
FLEET = ListLayout(
    "fleet",
    (
        Column("vessel", "vessel"),
        Column("name", "name"),
        Column("IMO number", "imo_number"),
        Column("vessel state", "state"),
        Column("proof of her booklet", "proof/state"),
        Column("condition", "condition/condition"),
        Column("from", "condition/port_from"),
        Column("to", "condition/port_to"),
        *(Column(each.heading, f"condition/{each.path}", each.unit) for each in _HEAD),
        Column("draft aft", "condition/draft_aft", "length"),
        Column("draft forward", "condition/draft_forward", "length"),
        Column("age, s", "condition/age"),
        Column("other conditions", "others/count"),
        Column("others that fail", "others/fail"),
        Column("others incomplete", "others/incomplete"),
        Column("others returned", "others/returned"),
    ),
)


def list_file(
    layout: ListLayout, items: Sequence[Mapping[str, Any]], system: UnitSystem, form: Form
) -> bytes:
    """A page of a list as a file. system: of units its figures are in."""
    symbols = {"length": unit("position", system), "mass": unit("mass", system)}
    headings = [
        each.heading if each.unit is None else f"{each.heading}, {symbols[each.unit]}"
        for each in layout.columns
    ]
    rows = [[_value(item, each.path) for each in layout.columns] for item in items]
    return table_file([PlainTable(layout.name, headings, rows)], form)


def table_file(tables: Sequence[PlainTable], form: Form) -> bytes:
    """Tables as one workbook, or the only one as CSV."""
    if form == "xlsx":
        return tables_workbook(tables)
    (table,) = tables
    return table_text(table)


def _value(item: Mapping[str, Any], path: str) -> Cell:
    found: Any = item
    for step in path.split("/"):
        if found is None:
            return None
        found = found[step]
    value: Cell = found
    return value
