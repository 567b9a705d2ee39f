"""What a draft survey reads in her tables at the mean draft, and its corrections."""

from service.core.draft_survey import FACTOR_OF_LIST, HALF_METRE, DraftSurvey
from service.core.interpolation import interval
from service.translation.working.afloat import TABLES, Tables
from service.translation.working.given import Given, Input, Inputs, Path
from service.translation.working.sources import Sources
from service.translation.working.tables_at_draft import displacement_at

SOURCE = "ECE/ENERGY/19"
DIMENSIONS = {"displacement": "mass", "tpc": "tpc", "mctc": "mctc", "lcf": "length"}


def write(a: Sources, survey: DraftSurvey) -> None:
    """Displacement of the table, corrections for trim, list and density, and the displacement at the trim itself."""
    path = ("draft_survey",)
    mean = "survey/mean_draft"
    _column(a, "survey/table_displacement", "displacement", mean, (*path, "table_displacement"))
    tpc = _column(a, "survey/tpc", "tpc", mean, None)
    lcf, beyond = _column(a, "survey/lcf", "lcf", mean, None), _beyond(a)
    _first(a, tpc, lcf, beyond)
    if survey.second_trim_correction is not None:
        _second(a, beyond)
    if survey.list_correction is not None:
        _list(a, survey)
    _density(a, tpc)
    if survey.displacement_direct is not None and survey.trim is not None:
        displacement_at(
            a, "survey/direct", mean, "survey/trim", survey.trim, name="displacement read at the trim itself",
            path=(*path, "displacement_direct"),
        )  # fmt: skip


def _column(a: Sources, id: str, column: str, draft: Input, path: Path | None) -> str:
    """A column of the table nearest to even keel at a draft amidships; its ends hold beyond it."""
    s, tables, hydrostatics = a.sheet, Tables(a), a.assessed.situation.vessel.hydrostatics
    table, length = hydrostatics.nearest_to_even_keel, a.assessed.situation.vessel.particulars.length_bp
    k = hydrostatics.tables.index(table)
    shift = 0.0 if hydrostatics.midship_draft else table.trim
    drafts = [row.draft - shift * (0.5 - row.lcf / length) for row in table.rows]
    at = s.value_of(draft)
    i, part = interval(drafts, at * s.factor("length"))
    dimension = DIMENSIONS[column]
    name = f"{column.upper() if len(column) < 5 else column} at this draft"
    if part in (0.0, 1.0):
        return s.copy(id, tables.cell(k, i + int(part), column), name=name, path=path, source=TABLES)
    row: Inputs = {"x": draft}
    values = [
        table.displacement[j] if column == "displacement" else getattr(table.rows[j], column)
        for j in (i, i + 1)
    ]
    for n in (0, 1):
        row |= {
            f"x{n}": _amidships(a, tables, id, k, i + n, n, drafts[i + n], shift),
            f"y{n}": tables.cell(k, i + n, column),
        }
    return s.linear(
        id, row, name=name, unit=s.unit(dimension), path=path, source=TABLES,
        value=s.here(values[0] + part * (values[1] - values[0]), dimension),
    )  # fmt: skip


def _amidships(
    a: Sources, tables: Tables, id: str, k: int, i: int, n: int, draft: float, shift: float
) -> Input:
    """The draft of a row, brought amidships where the table is for another trim."""
    s = a.sheet
    if not shift:
        return tables.cell(k, i, "draft")
    inputs: Inputs = {
        "T": tables.cell(k, i, "draft"), "t": tables.cell(k, 0, "trim"), "LCF": tables.cell(k, i, "lcf"),
        "L": a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
    }  # fmt: skip
    return s.add(
        f"{id}/draft_{n}", "expression", "T - t * (1 / 2 - LCF / L)", inputs, name="draft amidships of a row",
        unit=s.unit("length"), value=s.here(draft, "length"),
    )  # fmt: skip


def _per(a: Sources) -> Given:
    s = a.sheet
    return s.constant(
        "centimetres a metre" if s.is_metric else "inches a foot", 100.0 if s.is_metric else 12.0
    )


def _beyond(a: Sources) -> str:
    """The node of her trim beyond that of the table."""
    s, hydrostatics = a.sheet, a.assessed.situation.vessel.hydrostatics
    table = hydrostatics.nearest_to_even_keel
    if not table.trim:
        return "survey/trim"
    cell = Tables(a).cell(hydrostatics.tables.index(table), 0, "trim")
    return s.add(
        "survey/trim_beyond_table", "expression", "t - t_0", {"t": "survey/trim", "t_0": cell},
        name="trim beyond that of the table", unit=s.unit("length"), source=SOURCE,
        value=s.value("survey/trim") - s.here(table.trim, "length"),
    )  # fmt: skip


def _first(a: Sources, tpc: str, lcf: str, trim: str) -> None:
    s = a.sheet
    inputs: Inputs = {
        "c": _per(a), "t": trim, "TPC": tpc, "LCF": lcf,
        "L": a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
    }  # fmt: skip
    s.add(
        "survey/first_trim_correction", "expression", "c * t * TPC * (L / 2 - LCF) / L", inputs,
        name="first trim correction", unit=s.unit("mass"),
        path=("draft_survey", "first_trim_correction"), source=SOURCE,
    )  # fmt: skip


def _second(a: Sources, trim: str) -> None:
    s, found = a.sheet, list[str]()
    half = s.constant("half a metre", s.here(HALF_METRE, "length"), s.unit("length"))
    for n, text in enumerate(("T - h", "T + h")):
        value = s.value("survey/mean_draft") + (-1.0, 1.0)[n] * half.value
        draft = s.add(
            f"survey/half_metre_{n}", "expression", text, {"T": "survey/mean_draft", "h": half},
            name=f"half a metre {('less', 'more')[n]} than the mean draft", unit=s.unit("length"), value=value,
        )  # fmt: skip
        found.append(_column(a, f"survey/mctc_{n}", "mctc", draft, None))
    inputs: Inputs = {
        "t": trim, "c": _per(a), "M_0": found[0], "M_1": found[1], "h": half,
        "L": a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
    }  # fmt: skip
    s.add(
        "survey/second_trim_correction", "expression", "t^2 * c * (M_1 - M_0) / (2 * h) / (2 * L)", inputs,
        name="second trim correction", unit=s.unit("mass"), path=("draft_survey", "second_trim_correction"),
        source=SOURCE,
    )  # fmt: skip


def _list(a: Sources, survey: DraftSurvey) -> None:
    s, path, name = a.sheet, ("draft_survey", "list_correction"), "list correction"
    sides = _sides(a)
    if sides is None or not survey.list_correction:
        nothing = s.constant("nothing: one reading amidships, or both alike", s.at(path), s.unit("mass"))
        s.copy("survey/list_correction", nothing, name=name, path=path)
        return
    tpc = {side: _column(a, f"survey/tpc_{side}", "tpc", draft, None) for side, draft in sides.items()}
    factor = FACTOR_OF_LIST * s.factor("length") / s.scale.per_immersion
    inputs: Inputs = {
        "k": s.rule("ECE/ENERGY/19", "factor of the list correction, customary", factor, ""),
        "p": sides["port"], "s": sides["starboard"], "TPC_p": tpc["port"], "TPC_s": tpc["starboard"],
    }  # fmt: skip
    s.add(
        "survey/list_correction", "expression", "k * (p - s) * (TPC_p - TPC_s)", inputs, name=name, unit=s.unit("mass"),
        path=path, source=SOURCE,
    )  # fmt: skip


def _sides(a: Sources) -> dict[str, str] | None:
    """Moulded drafts amidships to port and to starboard, as nodes; None where one reading stands for both."""
    s, ship = a.sheet, a.assessed.situation
    half = 0.5 * ship.vessel.particulars.length_bp
    read = sorted(
        (mark.x, i)
        for i, mark in enumerate(ship.vessel.draft_marks)
        if mark.name in ship.condition.observed_drafts
    )
    if len(read) < 3:
        return None
    i = min(read[1:-1], key=lambda each: abs(each[0] - half))[1]
    mark = ship.vessel.draft_marks[i]
    if mark.name not in ship.condition.observed_sides:
        return None
    offset = a.vessel.number(("draft_marks", i, "keel_offset"), "length", "reading less moulded draft")
    found = {}
    for side, value in zip(("port", "starboard"), ship.condition.observed_sides[mark.name], strict=True):
        given = a.condition.number(
            ("observed", "drafts", mark.name, side), "length", f"read to {side}, amidships"
        )
        found[side] = s.add(
            f"survey/midship_{side}", "expression", "r - c", {"r": given, "c": offset},
            name=f"moulded draft amidships to {side}", unit=s.unit("length"),
            value=s.here(value - mark.keel_offset, "length"), source=SOURCE,
        )  # fmt: skip
    return found


def _density(a: Sources, tpc: str) -> None:
    s, tables = a.sheet, a.assessed.situation.vessel.hydrostatics
    density = a.vessel.number(
        ("hydrostatics", "density"), "density", "density of the tables", absent=tables.density
    )
    names = ("table_displacement", "first_trim_correction", "second_trim_correction", "list_correction")
    inputs: Inputs = {f"D{n}": f"survey/{name}" for n, name in enumerate(names) if s.has(f"survey/{name}")}
    text = f"({' + '.join(inputs)}) * (rho / rho_t - 1)"
    s.add(
        "survey/density_correction", "expression", text, {**inputs, "rho": "water_density", "rho_t": density},
        name="correction for the density of the water", unit=s.unit("mass"),
        path=("draft_survey", "density_correction"), source=SOURCE,
    )  # fmt: skip
    s.add(
        "survey/centimetre_is", "expression", "TPC * rho / rho_t",
        {"TPC": tpc, "rho": "water_density", "rho_t": density},
        name="mass of a centimetre or an inch in her water", unit=s.unit("tpc"), path=("draft_survey", "centimetre_is"),
    )  # fmt: skip
