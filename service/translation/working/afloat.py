"""How she floats: hydrostatic tables, trim, drafts, GM, list and the estimated roll period."""

from collections.abc import Sequence

from service.core.flotation import Flotation
from service.core.hydrostatics import HydrostaticTable
from service.core.interpolation import interval
from service.translation.working.given import Given, Input, Inputs, Path
from service.translation.working.sources import Sources

TABLES = "the vessel's booklet: hydrostatic tables"
MOMENT = "Derrett and Barrass, Ship Stability for Masters and Mates: trim"
EQUILIBRIUM = "definition of equilibrium: G and B on one normal to the waterline"
COLUMNS = {"draft": "length", "lcb": "x", "lcf": "x", "km": "length", "tpc": "tpc", "mctc": "mctc"}
DIMENSIONS = {
    **COLUMNS,
    "displacement": "mass",
    "vcb": "length",
    "tcb": "y",
    "trim": "length",
    "waterplane_area": "area",
    "block_coefficient": "",
}
NAMES = {
    "draft": "draft in the tables",
    "lcb": "LCB",
    "lcf": "LCF",
    "km": "KM",
    "tpc": "TPC in the water of the tables",
    "mctc": "MCTC in the water of the tables",
    "vcb": "VCB",
    "tcb": "TCB",
    "waterplane_area": "area of the waterplane",
    "block_coefficient": "block coefficient",
}


class Tables:
    """Rows of the hydrostatic tables by trim, at their place in the document."""

    def __init__(self, a: Sources) -> None:
        self.a, self._rows = a, a.hydrostatic_rows
        self.tables = a.assessed.situation.vessel.hydrostatics.tables

    def cell(self, table: int, row: int, column: str) -> Given:
        """A figure of a row."""
        dimension = DIMENSIONS[column]
        place = ("hydrostatics", "rows", self._rows[table][row], column)
        name = f"{column.upper() if len(column) < 5 else column} of row {self._rows[table][row] + 1}"
        return self.a.vessel.number(place, dimension, name)

    def at(
        self, id: str, table: int, column: str, displacement: str, mass: float, value: float, *,
        path: Path | None = None, symbol: str = "",
    ) -> str:  # fmt: skip
        """A column at a displacement (t, in the water of the tables) in the table of one trim."""
        s, found = self.a.sheet, self.tables[table]
        k, part = interval(found.displacement, mass)
        dimension = plain(DIMENSIONS[column])
        ends = {f"y{n}": self.cell(table, k + n, column) for n in (0, 1)}
        name = NAMES[column]
        if part in (0.0, 1.0):
            return s.copy(id, ends[f"y{int(part)}"], name=name, path=path, symbol=symbol)
        rows: Inputs = {
            "x": displacement,
            **{f"x{n}": self.cell(table, k + n, "displacement") for n in (0, 1)},
            **ends,
        }
        return s.linear(
            id, rows, name=name, unit=s.unit(dimension), value=s.here(value, dimension), source=TABLES,
            by_product=column == "km", path=path, symbol=symbol,
        )  # fmt: skip


def write(a: Sources) -> None:
    """Nodes of `flotation` and `stability`."""
    flotation = a.assessed.situation.flotation
    if flotation is not None:
        tables = Tables(a)
        _table_displacement(a)
        if len(tables.tables) == 1:
            _by_moment(a, tables, flotation)
        else:
            _by_equilibrium(a, tables, flotation)
        _drafts(a, flotation)
    elif a.assessed.situation.km is not None:
        _km_at_even_keel(a)
    _stability(a)


def _table_displacement(a: Sources) -> float:
    s, ship = a.sheet, a.assessed.situation
    density = ship.vessel.hydrostatics.density
    equivalent = ship.displacement.mass * (density / ship.condition.water_density)
    s.copy(
        "water_density", a.condition.number(("water_density",), "density", "water density"),
        path=("flotation", "water_density"),
    )  # fmt: skip
    s.add(
        "table_displacement", "expression", "W * rho_t / rho",
        {
            "W": "displacement",
            "rho_t": a.vessel.number(("hydrostatics", "density"), "density", "density of the tables", absent=density),
            "rho": "water_density",
        },
        name="displacement in the water of the tables", unit=s.unit("mass"), value=s.here(equivalent, "mass"),
    )  # fmt: skip
    return equivalent


def equivalent(a: Sources) -> float:
    """Her displacement in the water of her tables, t. Source: definition."""
    ship = a.assessed.situation
    return ship.displacement.mass * (ship.vessel.hydrostatics.density / ship.condition.water_density)


IDS = {"draft": "table_draft", "tpc": "table_tpc", "mctc": "table_mctc"}
SHOWN = ("lcb", "lcf", "km")


def _shown(column: str) -> tuple[Path | None, str]:
    """Where the answer shows a column as the tables give it, and its symbol."""
    return (("flotation", column), column.upper()) if column in SHOWN else (None, "")


def _by_moment(a: Sources, tables: Tables, flotation: Flotation) -> None:
    """One table: its columns, and the trim by moment."""
    s, mass = a.sheet, equivalent(a)
    row = tables.tables[0].at(mass)
    for column in COLUMNS:
        path, symbol = _shown(column)
        id, value = IDS.get(column, column), getattr(row, column)
        tables.at(id, 0, column, "table_displacement", mass, value, path=path, symbol=symbol)
    _columns_in_her_water(a)
    own = tables.cell(0, 0, "trim")
    s.add(
        "trim",
        "expression",
        "W * (LCB - LCG) / (cm_per_m * MCTC) + t_0" if own.value else "W * (LCB - LCG) / (cm_per_m * MCTC)",
        {
            "W": "displacement",
            "LCB": "lcb",
            "LCG": "lcg",
            "MCTC": "mctc",
            "cm_per_m": s.constant(
                "centimetres a metre" if s.is_metric else "inches a foot", 100.0 if s.is_metric else 12.0
            ),
            **({"t_0": own} if own.value else {}),
        },
        name="trim by the stern",
        unit=s.unit("length"),
        path=("flotation", "trim"),
        symbol="t",
        source=MOMENT,
        formula="displacement times the distance of G from B, over the moment to change trim",
    )


def _columns_in_her_water(a: Sources) -> None:
    """TPC and MCTC in the water she floats in."""
    s = a.sheet
    density = a.vessel.number(
        ("hydrostatics", "density"), "density", "density of the tables",
        absent=a.assessed.situation.vessel.hydrostatics.density,
    )  # fmt: skip
    for column in ("tpc", "mctc"):
        s.add(
            column, "expression", f"{column.upper()}_t * rho / rho_t",
            {f"{column.upper()}_t": f"table_{column}", "rho": "water_density", "rho_t": density},
            name=f"{column.upper()} in her water", unit=s.unit(column), path=("flotation", column),
        )  # fmt: skip


def _by_equilibrium(a: Sources, tables: Tables, flotation: Flotation) -> None:
    """Several trims: the trim at which G and B lie on one normal, everything between the two tables."""
    s, mass, trim = a.sheet, equivalent(a), flotation.trim
    trims = [table.trim for table in tables.tables]
    i = max(k for k in range(len(trims) - 1) if k == 0 or trims[k] <= trim)
    pair = (i, i + 1)
    ends = {f"x{n}": tables.cell(k, 0, "trim") for n, k in enumerate(pair)}
    rows = [tables.tables[k].at(mass) for k in pair]
    columns = dict(COLUMNS)
    if rows[0].vcb is not None and rows[1].vcb is not None:
        columns["vcb"] = "length"
    for column in columns:
        for n, k in enumerate(pair):
            tables.at(f"{column}/table_{n}", k, column, "table_displacement", mass, getattr(rows[n], column))
    _trim(a, flotation, ends, "vcb" in columns)
    for column, dimension in columns.items():
        y = {f"y{n}": f"{column}/table_{n}" for n in (0, 1)}
        id, (path, symbol) = IDS.get(column, column), _shown(column)
        value = s.here(getattr(rows[0].blended(rows[1], _part(trim, trims, i)), column), plain(dimension))
        s.linear(
            id, {"x": "trim", **ends, **y}, name=NAMES[column], unit=s.unit(plain(dimension)), value=value,
            source=TABLES, path=path, symbol=symbol,
        )  # fmt: skip
    _columns_in_her_water(a)


def _part(trim: float, trims: Sequence[float], i: int) -> float:
    return min(max((trim - trims[i]) / (trims[i + 1] - trims[i]), 0.0), 1.0)


def plain(dimension: str) -> str:
    """The dimension of a position, or of any other figure. Source: definition."""
    return "length" if dimension in ("x", "y") else dimension


def _trim(a: Sources, flotation: Flotation, ends: dict[str, Given], with_vcb: bool) -> None:
    """The trim is a root: the lever between G and B along the water is nothing."""
    s = a.sheet
    between = "({c}_0 + ({c}_1 - {c}_0) * (t - t_0) / (t_1 - t_0))"
    text = f"LCG - {between.format(c='LCB')}"
    inputs: Inputs = {
        "t": s.constant("trim found", s.here(flotation.trim, "length"), s.unit("length")),
        "t_0": ends["x0"], "t_1": ends["x1"], "LCG": "lcg", "LCB_0": "lcb/table_0", "LCB_1": "lcb/table_1",
    }  # fmt: skip
    if with_vcb:
        text += f" - t / L * (KG - {between.format(c='VCB')})"
        inputs |= {
            "L": a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
            "KG": "vcg_solid", "VCB_0": "vcb/table_0", "VCB_1": "vcb/table_1",
        }  # fmt: skip
    s.add(
        "trim", "root", text, inputs, name="trim by the stern", unit=s.unit("length"), path=("flotation", "trim"),
        symbol="t", source=EQUILIBRIUM, formula="the trim t at which the expression is nothing",
    )  # fmt: skip


def _drafts(a: Sources, flotation: Flotation) -> None:
    s, ship = a.sheet, a.assessed.situation
    hydrostatics = ship.vessel.hydrostatics
    length = a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars")
    unit, where = s.unit("length"), "flotation"
    if hydrostatics.midship_draft:
        several = len(hydrostatics.tables) > 1
        trim: Input = "trim" if several else Tables(a).cell(0, 0, "trim")
        s.add(
            "draft_at_lcf", "expression", "T + t * (1 / 2 - LCF / L)",
            {"T": "table_draft", "t": trim, "LCF": "lcf", "L": length}, name="draft at the LCF", unit=unit,
            path=(where, "draft_at_lcf"), symbol="T_f", source="definition of trim",
        )  # fmt: skip
    else:
        s.copy("draft_at_lcf", "table_draft", name="draft at the LCF", path=(where, "draft_at_lcf"))
    drafts: tuple[tuple[str, str, Inputs, str], ...] = (
        ("aft", "T_f + t * LCF / L", {"T_f": "draft_at_lcf", "t": "trim", "LCF": "lcf", "L": length}, "aft"),
        ("forward", "T_a - t", {"T_a": "draft_aft", "t": "trim"}, "forward"),
        ("midship", "T_a - t / 2", {"T_a": "draft_aft", "t": "trim"}, "amidships"),
    )
    for end, text, inputs, words in drafts:
        id = f"draft_{end}"
        s.add(
            id, "expression", text, inputs, name=f"draft {words}", unit=unit, path=(where, id),
            source="definition of trim",
        )  # fmt: skip
    for i, mark in enumerate(ship.vessel.draft_marks):
        x = s.copy(
            f"mark/{mark.name}/x", a.vessel.number(("draft_marks", i, "x"), "x", f"place of the {mark.name} marks"),
            path=(where, "drafts_at_marks", i, "x"),
        )  # fmt: skip
        s.add(
            f"mark/{mark.name}", "expression", "T_a - t * x / L + c",
            {
                "T_a": "draft_aft", "t": "trim", "x": x, "L": length,
                "c": a.vessel.number(("draft_marks", i, "keel_offset"), "length", "reading less moulded draft"),
            },
            name="reading at the * marks", of=mark.name, unit=unit, path=(where, "drafts_at_marks", i, "draft"),
        )  # fmt: skip
    _drafts_at(a, length)


def _drafts_at(a: Sources, length: Given) -> None:
    """Drafts at the places that the condition asks for."""
    s = a.sheet
    for i in range(len(a.assessed.condition.drafts_at)):
        path = ("flotation", "drafts_at", i)
        typed = a.condition.number(("drafts_at", i), "x", "place typed")
        x = s.copy(f"draft_at/{i}/x", typed, name="place of the draft", path=(*path, "x"))
        s.add(
            f"draft_at/{i}", "expression", "T_a - t * x / L", {"T_a": "draft_aft", "t": "trim", "x": x, "L": length},
            name="draft there", unit=s.unit("length"), path=(*path, "draft"), source="definition of trim",
        )  # fmt: skip


def _km_at_even_keel(a: Sources) -> None:
    """Where only the trim lies outside the tables: KM at even keel."""
    s, tables, mass = a.sheet, Tables(a), _table_displacement(a)
    hydrostatics, shown = a.assessed.situation.vessel.hydrostatics, ("flotation", "km")
    if len(tables.tables) == 1:
        _even_keel_column(tables, 0, mass, tables.tables[0], "km", shown)
    else:
        i, part = interval(hydrostatics.trims, 0.0)
        for n in (0, 1):
            _even_keel_column(tables, i + n, mass, tables.tables[i + n], f"km/table_{n}", None)
        if part in (0.0, 1.0):
            s.copy("km", f"km/table_{int(part)}", path=shown, symbol="KM")
        else:
            s.linear(
                "km",
                {
                    "x": s.constant("even keel", 0.0, s.unit("length")),
                    **{f"x{n}": tables.cell(i + n, 0, "trim") for n in (0, 1)},
                    **{f"y{n}": f"km/table_{n}" for n in (0, 1)},
                },
                name="KM", unit=s.unit("length"), value=s.at(shown), source=TABLES, path=shown, symbol="KM",
            )  # fmt: skip


def _even_keel_column(
    tables: Tables, k: int, mass: float, table: HydrostaticTable, id: str, path: Path | None
) -> None:
    tables.at(id, k, "km", "table_displacement", mass, table.at(mass).km, path=path, symbol="KM")


def _stability(a: Sources) -> None:
    s, ship = a.sheet, a.assessed.situation
    unit = s.unit("length")
    if ship.km is None:
        return
    s.add(
        "gm_solid", "expression", "KM - KG", {"KM": "km", "KG": "vcg_solid"}, name="GM, solid", unit=unit,
        path=("stability", "gm_solid"), symbol="GM_solid", source="definition of GM",
    )  # fmt: skip
    s.add(
        "gm_corrected", "expression", "KM - KG - FSC",
        {"KM": "km", "KG": "vcg_solid", "FSC": "free_surface_correction"}, name="GM, corrected for free surface",
        unit=unit, path=("stability", "gm_corrected"), symbol="GM", source="2008 IS Code B/3.1.8",
    )  # fmt: skip
    for basis in ("as_filled", "maximum_when_slack", "by_rule", "judged"):
        if s.at(("free_surface", basis)) is not None:
            s.add(
                f"free_surface/{basis}/gm_corrected", "expression", "GM_solid - FSM / W",
                {"GM_solid": "gm_solid", "FSM": f"free_surface/{basis}", "W": "displacement"},
                name=f"GM corrected, free surface {basis.replace('_', ' ')}", unit=unit,
                path=("free_surface", basis, "gm_corrected"),
            )  # fmt: skip
    if a.assessed.roll_period is not None:
        _roll_period(a)


def roll_coefficient(a: Sources) -> str:
    """C of the rolling period, in metres."""
    s, p = a.sheet, a.assessed.situation.vessel.particulars
    return s.add(
        "roll_coefficient", "expression", "0.373 + 0.023 * B / d - 0.043 * L / 100",
        {
            "B": particular(a, "breadth", "breadth"),
            "d": s.metric("draft_midship"),
            "L": particular(a, "length_waterline", "length on the waterline"),
        },
        name="coefficient C of the rolling period", unit="", symbol="C", source="2008 IS Code A 2.3.4",
        value=_coefficient(a, p.breadth, p.length_waterline or 0.0),
    )  # fmt: skip


def _coefficient(a: Sources, breadth: float, length: float) -> float:
    flotation = a.assessed.situation.flotation
    assert flotation is not None
    return 0.373 + 0.023 * breadth / flotation.draft_midship - 0.043 * length / 100.0


def particular(a: Sources, member: str, name: str) -> str:
    """A length of the particulars in metres."""
    given = a.vessel.number(("particulars", member), "length", name)
    return a.sheet.metric(a.sheet.copy(f"particulars/{member}", given, name=name))


def _roll_period(a: Sources) -> None:
    a.sheet.add(
        "roll_period", "expression", "2 * C * B / sqrt(GM)",
        {"C": roll_coefficient(a), "B": particular(a, "breadth", "breadth"), "GM": a.sheet.metric("gm_corrected")},
        name="rolling period, estimated", unit="s", path=("stability", "roll_period_estimate"), symbol="T",
        source="2008 IS Code A 2.3.4",
    )  # fmt: skip
