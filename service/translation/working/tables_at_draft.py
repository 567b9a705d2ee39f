"""Her hydrostatic tables entered with a draft amidships at a trim."""

from service.core.interpolation import interval
from service.translation.working.afloat import Tables
from service.translation.working.given import Input, Inputs, Path
from service.translation.working.sources import Sources

TABLES = "the vessel's booklet: hydrostatic tables"
AFT = "({d} {own}- t * (1 / 2 - {f} / L))"


def displacement_at(
    a: Sources,
    id: str,
    draft: Input,
    trim: str,
    trim_value: float,
    *,
    name: str,
    path: Path | None = None,
    of: str = "",
    density: Input = "water_density",
) -> str:
    """The displacement in water of a density (hers unless told otherwise) at a draft amidships and a trim (a node, and
    in m), between the rows of a table and, where she has several, between those of two trims."""
    s, ship, tables = a.sheet, a.assessed.situation, Tables(a)
    hydrostatics = ship.vessel.hydrostatics
    several = len(hydrostatics.tables) > 1
    i, part = interval(hydrostatics.trims, trim_value) if several else (0, 0.0)
    nodes = [_in_table(a, tables, id, i + n, draft, trim, trim_value) for n in ((0, 1) if part else (0,))]
    of_tables = a.vessel.number(
        ("hydrostatics", "density"), "density", "density of the tables", absent=hydrostatics.density
    )
    inputs: Inputs = {"D_0": nodes[0], "rho": density, "rho_t": of_tables}
    text, value = "D_0", s.value(nodes[0])
    if len(nodes) == 2:
        text = "(D_0 + (D_1 - D_0) * (t - t_0) / (t_1 - t_0))"
        inputs |= {"D_1": nodes[1], "t": trim, **{f"t_{n}": tables.cell(i + n, 0, "trim") for n in (0, 1)}}
        value += part * (s.value(nodes[1]) - value)
    return s.add(
        id, "expression", f"{text} * rho / rho_t", inputs, name=name, unit=s.unit("mass"),
        value=None if path else value * s.value_of(density) / of_tables.value, path=path, of=of, source=TABLES,
    )  # fmt: skip


def row_drafts(a: Sources, k: int, at: float) -> list[float]:
    """Drafts amidships (m) of every row of table k at a trim (m by the stern)."""
    found = a.row_drafts.get((k, at))
    if found is None:
        vessel = a.assessed.situation.vessel
        table, length = vessel.hydrostatics.tables[k], vessel.particulars.length_bp
        own = table.trim if vessel.hydrostatics.midship_draft else 0.0
        found = []
        for row in table.rows:
            aft = 0.5 - row.lcf / length
            found.append(row.draft + own * aft - at * aft)
        a.row_drafts[k, at] = found
    return found


def _in_table(a: Sources, tables: Tables, id: str, k: int, draft: Input, trim: str, trim_value: float) -> str:
    """Displacement of one table at a draft amidships, its rows' drafts brought amidships at her trim, or at its own."""
    s, ship = a.sheet, a.assessed.situation
    hydrostatics = ship.vessel.hydrostatics
    table = hydrostatics.tables[k]
    several = len(hydrostatics.tables) > 1
    at = table.trim if several else trim_value
    drafts = row_drafts(a, k, at)
    i, part = interval(drafts, s.value_of(draft) * s.factor("length"))
    inputs: Inputs = {"T": draft}
    ends = []
    for n in (0, 1):
        inputs |= {f"D{n}": tables.cell(k, i + n, "displacement"), f"d{n}": tables.cell(k, i + n, "draft")}
        if at == 0.0 and not (hydrostatics.midship_draft and table.trim):
            ends.append(f"d{n}")
            continue
        inputs[f"f{n}"] = tables.cell(k, i + n, "lcf")
        inputs["L"] = a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars")
        inputs["t"] = tables.cell(k, 0, "trim") if several else trim
        own = ""
        if hydrostatics.midship_draft:
            inputs["t_own"] = tables.cell(k, 0, "trim")
            own = f"+ t_own * (1 / 2 - f{n} / L) "
        ends.append(AFT.format(d=f"d{n}", f=f"f{n}", own=own))
    low, high = table.displacement[i], table.displacement[i + 1]
    return s.add(
        f"{id}/table_{k}", "expression", f"D0 + (D1 - D0) * (T - {ends[0]}) / ({ends[1]} - {ends[0]})", inputs,
        name="displacement in one table", unit=s.unit("mass"), value=s.here(low + part * (high - low), "mass"),
        source=TABLES, formula="linear between two rows, their drafts brought amidships",
    )  # fmt: skip
