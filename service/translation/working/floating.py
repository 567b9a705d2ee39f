"""How she floats in one state: displacement in the water of her tables, trim, drafts, KM."""

from collections.abc import Sequence

from service.core.flotation import Flotation
from service.core.hydrostatics import HydrostaticTable
from service.core.interpolation import interval
from service.translation.working.afloat import (
    COLUMNS,
    EQUILIBRIUM,
    MOMENT,
    NAMES,
    TABLES,
    Tables,
    plain,
)
from service.translation.working.given import Given, Input, Inputs, Path
from service.translation.working.sources import Sources, State

TRIM = "definition of trim"
IDS = {"draft": "table_draft", "tpc": "table_tpc", "mctc": "table_mctc"}
SHOWN = ("lcb", "lcf", "km")


def write(a: Sources, state: State) -> None:
    """Nodes of `flotation`, and KM. Those of displacement, LCG and VCG in this state are written."""
    flotation = state.ship.flotation
    if flotation is not None:
        tables = Tables(a)
        _table_displacement(a, state)
        if len(tables.tables) == 1:
            _by_moment(a, state, tables, flotation)
        else:
            _by_equilibrium(a, state, tables, flotation)
        _drafts(a, state, flotation)
        return
    _water_density(a)
    if state.ship.km is not None:
        _km_at_even_keel(a, state)


def _water_density(a: Sources) -> None:
    """What she floats in; a survey by drafts reads it where her own displacement is off the tables too."""
    a.sheet.copy(
        "water_density", a.condition.number(("water_density",), "density", "water density"),
        path=("flotation", "water_density"),
    )  # fmt: skip


def _density(a: Sources, state: State) -> Given:
    absent = state.ship.vessel.hydrostatics.density
    return a.vessel.number(("hydrostatics", "density"), "density", "density of the tables", absent=absent)


def _table_displacement(a: Sources, state: State) -> float:
    """Its node; what it is, t."""
    s = a.sheet
    _water_density(a)
    found = _equivalent(state)
    s.add(
        state.id("table_displacement"), "expression", "W * rho_t / rho",
        {"W": state.id("displacement"), "rho_t": _density(a, state), "rho": "water_density"},
        name=state.name("displacement in the water of the tables"), unit=s.unit("mass"), value=s.here(found, "mass"),
    )  # fmt: skip
    return found


def _equivalent(state: State) -> float:
    ship = state.ship
    return ship.displacement.mass * (ship.vessel.hydrostatics.density / ship.condition.water_density)


def _place_and_symbol(state: State, column: str) -> tuple[Path | None, str]:
    """Where the answer shows a column as the tables give it, and its symbol."""
    return (state.path("flotation", column), column.upper()) if column in SHOWN else (None, "")


def _by_moment(a: Sources, state: State, tables: Tables, flotation: Flotation) -> None:
    """One table: its columns, and the trim by moment."""
    s, mass = a.sheet, _equivalent(state)
    row = tables.tables[0].at(mass)
    for column in COLUMNS:
        path, symbol = _place_and_symbol(state, column)
        id, value = state.id(IDS.get(column, column)), getattr(row, column)
        tables.at(
            id, 0, column, state.id("table_displacement"), mass, value, path=path, symbol=symbol, words=state.words
        )  # fmt: skip
    _columns_in_her_water(a, state)
    own = tables.cell(0, 0, "trim")
    per = s.constant(
        "centimetres a metre" if s.is_metric else "inches a foot", 100.0 if s.is_metric else 12.0
    )
    inputs: Inputs = {
        "W": state.id("displacement"), "LCB": state.id("lcb"), "LCG": state.id("lcg"), "MCTC": state.id("mctc"),
        "cm_per_m": per, **({"t_0": own} if own.value else {}),
    }  # fmt: skip
    s.add(
        state.id("trim"), "expression", f"W * (LCB - LCG) / (cm_per_m * MCTC){' + t_0' if own.value else ''}", inputs,
        name=state.name("trim by the stern"), unit=s.unit("length"), value=s.here(flotation.trim, "length"),
        path=state.path("flotation", "trim"), symbol="t", source=MOMENT,
        formula="displacement times the distance of G from B, over the moment to change trim",
    )  # fmt: skip


def _columns_in_her_water(a: Sources, state: State) -> None:
    """TPC and MCTC in the water she floats in."""
    s, density = a.sheet, _density(a, state)
    for column in ("tpc", "mctc"):
        table = state.id(f"table_{column}")
        value = s.value(table) * (state.ship.condition.water_density / state.ship.vessel.hydrostatics.density)
        path = state.path("flotation", column)
        s.add(
            state.id(column), "expression", f"{column.upper()}_t * rho / rho_t",
            {f"{column.upper()}_t": table, "rho": "water_density", "rho_t": density},
            name=state.name(f"{column.upper()} in her water"), unit=s.unit(column),
            value=None if path else value, path=path,
        )  # fmt: skip


def _by_equilibrium(a: Sources, state: State, tables: Tables, flotation: Flotation) -> None:
    """Several trims: the trim at which G and B lie on one normal, everything between the two tables."""
    s, mass, trim = a.sheet, _equivalent(state), flotation.trim
    trims = [table.trim for table in tables.tables]
    i = max(k for k in range(len(trims) - 1) if k == 0 or trims[k] <= trim)
    pair = (i, i + 1)
    ends = {f"x{n}": tables.cell(k, 0, "trim") for n, k in enumerate(pair)}
    rows = [tables.tables[k].at(mass) for k in pair]
    columns = dict(COLUMNS)
    if rows[0].vcb is not None and rows[1].vcb is not None:
        columns["vcb"] = "length"
    displacement = state.id("table_displacement")
    for column in columns:
        for n, k in enumerate(pair):
            id, value = state.id(f"{column}/table_{n}"), getattr(rows[n], column)
            tables.at(id, k, column, displacement, mass, value, words=state.words)
    _trim(a, state, flotation, ends, "vcb" in columns)
    for column, dimension in columns.items():
        y = {f"y{n}": state.id(f"{column}/table_{n}") for n in (0, 1)}
        id, (path, symbol) = state.id(IDS.get(column, column)), _place_and_symbol(state, column)
        value = s.here(getattr(rows[0].blended(rows[1], _part(trim, trims, i)), column), plain(dimension))
        s.linear(
            id, {"x": state.id("trim"), **ends, **y}, name=state.name(NAMES[column]), unit=s.unit(plain(dimension)),
            value=value, source=TABLES, path=path, symbol=symbol,
        )  # fmt: skip
    _columns_in_her_water(a, state)


def _part(trim: float, trims: Sequence[float], i: int) -> float:
    return min(max((trim - trims[i]) / (trims[i + 1] - trims[i]), 0.0), 1.0)


def _trim(a: Sources, state: State, flotation: Flotation, ends: dict[str, Given], with_vcb: bool) -> None:
    """The trim is a root: the lever between G and B along the water is nothing."""
    s = a.sheet
    between = "({c}_0 + ({c}_1 - {c}_0) * (t - t_0) / (t_1 - t_0))"
    text = f"LCG - {between.format(c='LCB')}"
    found = s.here(flotation.trim, "length")
    inputs: Inputs = {
        "t": s.constant(state.name("trim found"), found, s.unit("length")), "t_0": ends["x0"], "t_1": ends["x1"],
        "LCG": state.id("lcg"), "LCB_0": state.id("lcb/table_0"), "LCB_1": state.id("lcb/table_1"),
    }  # fmt: skip
    if with_vcb:
        text += f" - t / L * (KG - {between.format(c='VCB')})"
        inputs |= {
            "L": a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
            "KG": state.id("vcg_solid"), "VCB_0": state.id("vcb/table_0"), "VCB_1": state.id("vcb/table_1"),
        }  # fmt: skip
    s.add(
        state.id("trim"), "root", text, inputs, name=state.name("trim by the stern"), unit=s.unit("length"),
        value=found, path=state.path("flotation", "trim"), symbol="t", source=EQUILIBRIUM,
        formula="the trim t at which the expression is nothing",
    )  # fmt: skip


def _drafts(a: Sources, state: State, flotation: Flotation) -> None:
    s, hydrostatics, id = a.sheet, state.ship.vessel.hydrostatics, state.id
    length = a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars")
    name, path = state.name("draft at the LCF"), state.path("flotation", "draft_at_lcf")
    if hydrostatics.midship_draft:
        several = len(hydrostatics.tables) > 1
        trim: Input = id("trim") if several else Tables(a).cell(0, 0, "trim")
        s.add(
            id("draft_at_lcf"), "expression", "T + t * (1 / 2 - LCF / L)",
            {"T": id("table_draft"), "t": trim, "LCF": id("lcf"), "L": length}, name=name, unit=s.unit("length"),
            value=s.here(flotation.draft_at_lcf, "length"), path=path, symbol="T_f", source=TRIM,
        )  # fmt: skip
    else:
        s.copy(id("draft_at_lcf"), id("table_draft"), name=name, path=path)
    drafts: tuple[tuple[str, str, Inputs, str, float], ...] = (
        (
            "aft", "T_f + t * LCF / L", {"T_f": id("draft_at_lcf"), "t": id("trim"), "LCF": id("lcf"), "L": length},
            "aft", flotation.draft_aft,
        ),
        ("forward", "T_a - t", {"T_a": id("draft_aft"), "t": id("trim")}, "forward", flotation.draft_forward),
        ("midship", "T_a - t / 2", {"T_a": id("draft_aft"), "t": id("trim")}, "amidships", flotation.draft_midship),
    )  # fmt: skip
    for end, text, inputs, words, value in drafts:
        s.add(
            id(f"draft_{end}"), "expression", text, inputs, name=state.name(f"draft {words}"), unit=s.unit("length"),
            value=s.here(value, "length"), path=state.path("flotation", f"draft_{end}"), source=TRIM,
        )  # fmt: skip


def _km_at_even_keel(a: Sources, state: State) -> None:
    """Where only the trim lies outside the tables: KM at even keel."""
    s, tables, mass = a.sheet, Tables(a), _table_displacement(a, state)
    hydrostatics, shown = state.ship.vessel.hydrostatics, state.path("flotation", "km")
    if len(tables.tables) == 1:
        _even_keel_column(state, tables, 0, mass, tables.tables[0], "km", shown)
        return
    i, part = interval(hydrostatics.trims, 0.0)
    for n in (0, 1):
        _even_keel_column(state, tables, i + n, mass, tables.tables[i + n], f"km/table_{n}", None)
    if part in (0.0, 1.0):
        s.copy(state.id("km"), state.id(f"km/table_{int(part)}"), path=shown, symbol="KM")
        return
    low, high = (s.value(state.id(f"km/table_{n}")) for n in (0, 1))
    s.linear(
        state.id("km"),
        {
            "x": s.constant("even keel", 0.0, s.unit("length")),
            **{f"x{n}": tables.cell(i + n, 0, "trim") for n in (0, 1)},
            **{f"y{n}": state.id(f"km/table_{n}") for n in (0, 1)},
        },
        name=state.name("KM"), unit=s.unit("length"), value=s.at(shown) if shown else low + part * (high - low),
        source=TABLES, path=shown, symbol="KM",
    )  # fmt: skip


def _even_keel_column(
    state: State, tables: Tables, k: int, mass: float, table: HydrostaticTable, id: str, path: Path | None
) -> None:
    tables.at(
        state.id(id), k, "km", state.id("table_displacement"), mass, table.at(mass).km, path=path, symbol="KM",
        words=state.words,
    )  # fmt: skip
