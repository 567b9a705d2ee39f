"""Hydrostatic tables as inputs; readings at the draft marks, GM and the estimated roll period."""

from service.core.interpolation import interval
from service.translation.working.given import Given, Inputs, Path
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
        path: Path | None = None, symbol: str = "", words: str = "",
    ) -> str:  # fmt: skip
        """A column at a displacement (t, in the water of the tables) in the table of one trim. words: behind its
        name; the trim where there are tables for several."""
        s, found = self.a.sheet, self.tables[table]
        k, part = interval(found.displacement, mass)
        dimension = plain(DIMENSIONS[column])
        ends = {f"y{n}": self.cell(table, k + n, column) for n in (0, 1)}
        if len(self.tables) > 1:
            words += f", table for a trim of {s.here(found.trim, 'length'):g} {s.unit('length')}"
        name = f"{NAMES[column]}{words}"
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
    """Nodes of `stability`, and the drafts at marks and places."""
    if a.assessed.situation.flotation is not None:
        _at_marks(a)
    _stability(a)


def equivalent(a: Sources) -> float:
    """Her displacement in the water of her tables, t. Source: definition."""
    ship = a.assessed.situation
    return ship.displacement.mass * (ship.vessel.hydrostatics.density / ship.condition.water_density)


def plain(dimension: str) -> str:
    """The dimension of a position, or of any other figure. Source: definition."""
    return "length" if dimension in ("x", "y") else dimension


def _at_marks(a: Sources) -> None:
    s, ship, where = a.sheet, a.assessed.situation, "flotation"
    length = a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars")
    unit = s.unit("length")
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
