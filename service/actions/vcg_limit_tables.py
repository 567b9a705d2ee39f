"""Greatest VCG and least GM as tables of a file: by draft and trim, by criterion, and as limits to enter."""

from typing import Any

from service.actions.list_files import Form, table_file
from service.imports.plain_tables import Cell, PlainTable
from service.wire.figures import unit


def vcg_limits_file(answer: Any, form: Form) -> bytes:
    """The answer of `POST /v1/vcg-limits`: as CSV a line a draft and trim, as a workbook every sheet."""
    rows = _rows(answer)
    if form == "csv":
        about = [[*row, answer["caution"] if i == 0 else None] for i, row in enumerate(rows.rows)]
        return table_file([PlainTable(rows.name, [*rows.headings, "caution"], about)], form)
    return table_file([_about(answer), rows, _criteria(answer), _to_enter(answer)], form)


def _rows(answer: Any) -> PlainTable:
    system = answer["units"]["system"]
    length, mass = unit("lever", system), unit("mass", system)
    headings = (
        *(f"draft, {length}", f"trim by the stern, {length}", f"displacement, {mass}", f"KM, {length}"),
        *(f"greatest VCG of the fluid, {length}", f"least GM, {length}", "governed by"),
    )
    members = ("draft", "trim", "displacement", "km", "max_vcg", "min_gm", "governing")
    return PlainTable("limits", headings, [[row[name] for name in members] for row in answer["rows"]])


def _criteria(answer: Any) -> PlainTable:
    length = unit("lever", answer["units"]["system"])
    headings = (
        *(f"draft, {length}", f"trim by the stern, {length}", "criterion", "rule set", "title"),
        *(f"greatest VCG, {length}", f"least GM, {length}", "status", "reason"),
    )
    members = ("id", "rule_set", "title", "max_vcg", "min_gm", "status", "reason")
    rows: list[list[Cell]] = [
        [row["draft"], row["trim"], *(one[name] for name in members)]
        for row in answer["rows"]
        for one in row["criteria"]
    ]
    return PlainTable("criteria", headings, rows)


def _to_enter(answer: Any) -> PlainTable:
    """The least of each draft over the trims, as a curve of greatest VCG is typed in."""
    length = unit("lever", answer["units"]["system"])
    trims = [row["trim"] for row in answer["rows"]]
    rows: list[list[Cell]] = [
        [1, "Worked out from her tables", "max VCG", row["draft"], row["max_vcg"], min(trims), max(trims)]
        for row in answer["envelope"]
        if row["max_vcg"] is not None
    ]
    headings = (
        *("No.", "Curve", "Values are", f"Draft [{length}]", f"Value [{length}]"),
        *(f"Trim from [{length}]", f"Trim to [{length}]"),
    )
    return PlainTable("GM limits", headings, rows)


def _about(answer: Any) -> PlainTable:
    provenance = answer["provenance"]
    sets = "; ".join(f"{one['document']} ({one['edition']})" for one in provenance["rule_sets"])
    rows: list[tuple[str, Cell]] = [
        ("vessel", provenance["vessel"]["name"]),
        ("vessel revision", provenance["vessel"]["revision"]),
        ("digest of her data", provenance["vessel"]["digest"]),
        ("rule sets", sets),
        ("calculation version", provenance["calculation_version"]),
        ("caution", answer["caution"]),
    ]
    return PlainTable("about", ("what", "value"), rows)
