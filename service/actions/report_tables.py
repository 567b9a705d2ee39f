"""One revision as tables of a file: figures, criteria, tanks, weights, levers, its plan. Units are in the headings."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from service.actions.access import Caller
from service.actions.list_files import Form, table_file
from service.actions.plan_tables import PLAN_TABLES
from service.actions.records.transactions import Records
from service.actions.report_data import require_plan
from service.actions.show_condition import read_condition_revision
from service.imports.plain_tables import Cell, PlainTable
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import unit

ABOUT: Final = "caution"
"""Heading of the column of a CSV file that holds the caution, in its first row alone."""


def report_file(
    records: Records,
    caller: Caller,
    condition: str,
    number: int,
    *,
    units: UnitSystem | None,
    part: str | None,
    form: Form,
) -> bytes:
    """The tables of a revision: all of them in a workbook where `part` is None, those of its plan where it is `plan`;
    CSV holds one, the figures where none is named. Raises Refusal where the plan is asked for and there is none."""
    record = read_condition_revision(records, caller, condition, number, units)
    answer: Assessment = record["assessment"]
    makers = _TABLES if answer.get("plan") is None else _TABLES | PLAN_TABLES
    if part in PLAN_TABLES:
        require_plan(record)
    if form == "csv":
        return table_file([_with_caution(makers[part or "figures"](answer), answer["caution"])], form)
    wanted = list(PLAN_TABLES) if part == "plan" else [part] if part else list(makers)
    return table_file([_about(record), *(makers[name](answer) for name in wanted)], form)


def _with_caution(table: PlainTable, caution: str) -> PlainTable:
    rows = [[*row, caution if i == 0 else None] for i, row in enumerate(table.rows)]
    return PlainTable(table.name, [*table.headings, ABOUT], rows)


def _about(record: Mapping[str, Any]) -> PlainTable:
    answer: Assessment = record["assessment"]
    vessel = answer["provenance"]["vessel"]
    rows: list[tuple[str, Cell]] = [
        ("vessel", vessel["name"]),
        ("condition", answer["title"]),
        ("revision", record["revision"]),
        ("verdict", answer["verdict"]),
        ("dangers", answer["dangers"]),
        ("kept (UTC)", record["created"]),
        ("author", record["author"]["name"]),
        ("vessel revision", record["vessel_revision"]),
        ("calculation version", record["calculation_version"]),
        ("digest", record["digest"]),
        ("caution", answer["caution"]),
    ]
    return PlainTable("about", ("what", "value"), rows)


def _figures(answer: Assessment) -> PlainTable:
    rows: list[list[Cell]] = [["verdict", answer["verdict"], None], ["dangers", answer["dangers"], None]]
    for row in ANSWER_FIGURES.values():
        rows.append([row.label, row.value(answer), unit(row.quantity, answer["units"]["system"])])
    return PlainTable("figures", ("figure", "value", "unit"), rows)


def _symbols(answer: Assessment) -> dict[str, str]:
    system = answer["units"]["system"]
    return {
        "length": unit("position", system),
        "mass": unit("mass", system),
        "volume": unit("volume", system),
        "density": unit("density", system),
        "moment": unit("mass_moment", system),
        "angle": "degrees",
    }


def _criteria(answer: Assessment) -> PlainTable:
    headings = (
        *("rule set", "clause", "criterion", "verdict", "counts", "attained", "comparison", "limit", "unit"),
        *("margin", "reason", "source"),
    )
    names = (
        *("rule_set", "clause", "title", "verdict", "counts", "attained", "comparison", "limit", "unit"),
        *("margin", "reason", "source"),
    )
    rows: list[list[Cell]] = [[row[name] for name in names] for row in answer["criteria"]]  # type: ignore[literal-required]
    return PlainTable("criteria", headings, rows)


def _tanks(answer: Assessment) -> PlainTable:
    u = _symbols(answer)
    headings = (
        *("tank", "name", "side", "contents", "state", "counted as", f"density, {u['density']}"),
        *("filling, %", f"volume, {u['volume']}", f"mass, {u['mass']}", f"sounding, {u['length']}"),
        *(f"ullage, {u['length']}", f"LCG, {u['length']}", f"VCG, {u['length']}", f"TCG, {u['length']}"),
        *(
            f"free surface moment, {u['moment']}",
            f"moment left out, {u['moment']}",
            f"loss of GM, {u['length']}",
        ),
        "where the moment comes from",
    )
    rows: list[list[Cell]] = [
        [
            *(t["tank"], t["name"], t["side"], t["contents"], t["state"], t["counted_as"], t["density"]),
            *(t["fill"], t["volume"], t["mass"], t["sounding"], t["ullage"]),
            *(t["centre"]["lcg"], t["centre"]["vcg"], t["centre"]["tcg"]),
            *(t["free_surface_moment"], t["exempt_moment"], t["gm_loss"], t["free_surface_reason"]),
        ]
        for t in answer["tanks"]
    ]
    return PlainTable("tanks", headings, rows)


def _weights(answer: Assessment) -> PlainTable:
    u = _symbols(answer)
    headings = (
        "category",
        "kind",
        f"mass, {u['mass']}",
        *(f"{n}, {u['length']}" for n in ("LCG", "VCG", "TCG")),
    )
    rows: list[list[Cell]] = []
    for row in answer["weights"]:
        centre = row["centre"]
        places = (None, None, None) if centre is None else (centre["lcg"], centre["vcg"], centre["tcg"])
        rows.append([row["category"], row["kind"], row["mass"], *places])
    return PlainTable("weights", headings, rows)


def _levers(answer: Assessment) -> PlainTable:
    u, curve = _symbols(answer), answer["righting_lever"]
    headings = (f"heel, {u['angle']}", f"righting lever, {u['length']}", "side")
    rows: list[list[Cell]] = []
    if curve is not None:
        pairs = zip(curve["heels"], curve["levers"], strict=True)
        rows = [[heel, lever, curve["side"]] for heel, lever in pairs]
    return PlainTable("levers", headings, rows)


_TABLES: Final[dict[str, Callable[[Assessment], PlainTable]]] = {
    "figures": _figures,
    "criteria": _criteria,
    "tanks": _tanks,
    "weights": _weights,
    "levers": _levers,
}
