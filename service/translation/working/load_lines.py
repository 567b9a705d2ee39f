"""Load lines: drafts held against the marks, what the marks permit in this water, the mass to the line."""

from service.core.interpolation import interval
from service.core.load_line import EXACT, FRESH, SALT_WATER, LoadLine
from service.core.load_line_figures import load_line_check
from service.translation.working.afloat import Tables
from service.translation.working.clause import Clause
from service.translation.working.exact_draft import exact_draft
from service.translation.working.given import Inputs, Path
from service.translation.working.sources import Sources
from service.translation.working.tables_at_draft import row_drafts

SOURCE = "International Convention on Load Lines 1966, article 12, regulation 40"


def deflection(a: Sources) -> str:
    """How much lower she is amidships than her perpendiculars say."""
    given = a.condition.number(("deflection",), "length", "deflection, positive sagging")
    return a.sheet.copy("deflection", given, name="deflection, positive sagging")


def midship(clause: Clause) -> str | None:
    """Draft amidships with the deflection."""
    return midship_node(clause.a)


def midship_node(a: Sources) -> str | None:
    """Draft amidships with the deflection."""
    check, s = load_line_check(a.assessed.situation), a.sheet
    if check is None:
        return None
    return s.add(
        "load_line/midship", "expression", "T + delta", {"T": "draft_midship", "delta": deflection(a)},
        name="draft amidships with the deflection", unit=s.unit("length"), value=s.here(check.midship, "length"),
        source=SOURCE,
    )  # fmt: skip


def low_side(clause: Clause) -> str | None:
    """The same on the lower side."""
    return low_side_node(clause.a)


def low_side_node(a: Sources) -> str | None:
    """The same on the lower side."""
    s = a.sheet
    check, middle = load_line_check(a.assessed.situation), midship_node(a)
    if check is None or check.low_side is None or middle is None:
        return None
    inputs: Inputs = {
        "d": middle, "B": a.vessel.number(("particulars", "breadth"), "length", "breadth"), "phi": "list",
    }  # fmt: skip
    return s.add(
        "load_line/low_side", "expression", "d + B / 2 * tan(abs(phi))", inputs, name="draft of the lower side",
        unit=s.unit("length"), value=s.here(check.low_side, "length"), source=SOURCE,
    )  # fmt: skip


def _line(a: Sources) -> LoadLine:
    line = a.assessed.situation.vessel.load_line
    assert line is not None
    return line


def salt(a: Sources, mark: str) -> str | None:
    """The draft of a mark, as given or worked out."""
    s, line = a.sheet, _line(a)
    value = line.drafts.get(mark)
    if value is None:
        return None
    id, name = f"load_line/mark/{mark}", "draft of mark *"
    place = ("load_lines", "summer_draft") if mark == "S" else ("load_lines", "marks", mark)
    if a.vessel.has(place):
        given = a.vessel.number(place, "length", f"draft of mark {mark}")
        if (a.vessel.document["load_lines"].get("reference") or "moulded") != "extreme":
            return s.copy(id, given, name=name, of=mark)
        keel = a.vessel.number(("particulars", "keel_thickness"), "length", "thickness of the keel")
        return s.add(
            id, "expression", "T - k", {"T": given, "k": keel}, name=f"{name}, moulded", of=mark, unit=s.unit("length"),
            value=s.here(value, "length"), source=SOURCE,
        )  # fmt: skip
    found = {
        "T": ("S + S / 48", ("S",)), "W": ("S - S / 48", ("S",)), "WNA": ("W - f", ("W",)), "F": ("S + FWA", ("S",)),
        "TF": ("T + F - S", ("T", "F", "S")),
    }.get(mark)  # fmt: skip
    if found is None:
        return s.copy(
            id,
            s.constant(f"draft of mark {mark}, worked out", s.here(value, "length"), s.unit("length")),
            name=name,
            of=mark,
        )
    text, needs = found
    inputs: Inputs = {}
    for need in needs:
        node = salt(a, need)
        if node is None:
            return s.copy(
                id,
                s.constant(f"draft of mark {mark}, worked out", s.here(value, "length"), s.unit("length")),
                name=name,
                of=mark,
            )
        inputs[need] = node
    if mark == "WNA":
        f = s.value(str(inputs["W"])) - s.here(value, "length")
        inputs["f"] = s.rule("load-lines", "WNA below W", f, s.unit("length"))
    if mark == "F":
        higher = allowance(a)
        assert higher is not None
        inputs["FWA"] = higher
    return s.add(
        id, "expression", text, inputs, name=name, of=mark, unit=s.unit("length"), value=s.here(value, "length"),
        source=SOURCE,
        memory=None if mark in ("T", "F") else "the rule for this mark was recalled, not read",
    )  # fmt: skip


def allowance(a: Sources) -> str | None:
    """The fresh water allowance: displacement over 40 TPC at the summer draft."""
    s, line, ship = a.sheet, _line(a), a.assessed.situation
    if line.allowance is None:
        return None
    given = ("load_lines", "fresh_water_allowance")
    if a.vessel.has(given):
        return s.copy("load_line/fwa", a.vessel.number(given, "length", "fresh water allowance"))
    tables, table = Tables(a), ship.vessel.hydrostatics.nearest_to_even_keel
    index = ship.vessel.hydrostatics.tables.index(table)
    drafts = [row.draft for row in table.rows]
    k, part = interval(drafts, line.drafts["S"])
    summer = salt(a, "S")
    assert summer is not None
    x = {f"x{n}": tables.cell(index, k + n, "draft") for n in (0, 1)}
    nodes = {}
    for column, dimension in (("displacement", "mass"), ("tpc", "tpc")):
        y = {f"y{n}": tables.cell(index, k + n, column) for n in (0, 1)}
        low, high = (
            (table.displacement[k], table.displacement[k + 1]) if column == "displacement"
            else (table.rows[k].tpc, table.rows[k + 1].tpc)
        )  # fmt: skip
        nodes[column] = s.linear(
            f"load_line/summer_{column}", {"x": summer, **x, **y}, name=f"{column} at the summer draft",
            unit=s.unit(dimension), value=s.here(low + part * (high - low), dimension),
            source="the vessel's booklet: hydrostatic tables",
        )  # fmt: skip
    per = s.constant(
        "centimetres a metre" if s.is_metric else "inches a foot", 100.0 if s.is_metric else 12.0
    )
    return s.add(
        "load_line/fwa",
        "expression",
        "D / (40 * TPC) / c",
        {"D": nodes["displacement"], "TPC": nodes["tpc"], "c": per},
        name="fresh water allowance",
        unit=s.unit("length"),
        value=s.here(line.allowance, "length"),
        source=SOURCE,
    )


def permitted_node(a: Sources, mark: str) -> str | None:
    """The draft a mark permits in this water, by the method of the condition."""
    if a.assessed.situation.condition.dock_water == EXACT:
        return exact_node(a, mark)
    s, line, density = a.sheet, _line(a), a.assessed.situation.condition.water_density
    value, in_salt = line.permitted(mark, density), salt(a, FRESH.get(mark, mark))
    if value is None or in_salt is None:
        return None
    id, name = f"load_line/permitted/{mark}", "draft that mark * permits in this water"
    lightness = min(max((SALT_WATER - density) / (SALT_WATER - 1.0), 0.0), 1.0)
    if lightness == 0.0:
        return s.copy(id, in_salt, name=name, of=mark)
    part = "min(max((1.025 - rho) / 0.025, 0), 1)"
    inputs: Inputs = {"T_s": in_salt, "rho": "water_density"}
    if mark in FRESH and mark in line.drafts:
        fresh = salt(a, mark)
        assert fresh is not None
        text, inputs["T_f"] = f"T_s + (T_f - T_s) * {part}", fresh
    else:
        higher = allowance(a)
        if higher is None:
            return None
        text, inputs["FWA"] = f"T_s + FWA * {part}", higher
    return s.add(
        id,
        "expression",
        text,
        inputs,
        name=name,
        of=mark,
        unit=s.unit("length"),
        value=s.here(value, "length"),
        source=SOURCE,
    )


def exact_node(a: Sources, mark: str) -> str | None:
    """The draft a mark permits in this water by the same displacement."""
    in_salt = salt(a, FRESH.get(mark, mark))
    return None if in_salt is None else exact_draft(a, _line(a), mark, in_salt)


def permitted(clause: Clause) -> str | None:
    """The draft that the mark in force permits, or that of the mark that decides where none is named."""
    required = clause.criterion.required
    return None if required is None else permitted_of(clause.a, required)


def permitted_of(a: Sources, required: float) -> str | None:
    """The node of the draft (m) that is permitted: of the mark in force, or of the one that decides."""
    s, check = a.sheet, load_line_check(a.assessed.situation)
    if check is None:
        return None
    if check.mark is not None:
        return permitted_node(a, check.mark)
    marks = [mark for mark in _line(a).ordinary if permitted_node(a, mark)]
    inputs: Inputs = {mark: str(permitted_node(a, mark)) for mark in marks}
    which = "min" if required == check.least else "max"
    return s.add(
        f"load_line/{which}",
        "choice",
        f"{which}({', '.join(inputs)})",
        inputs,
        name=f"the {'least' if which == 'min' else 'greatest'} draft that her marks permit",
        unit=s.unit("length"),
        value=s.here(required, "length"),
        source=SOURCE,
    )


def _detail_permitted(clause: Clause, key: str) -> str | None:
    node = permitted_node(clause.a, key.partition("/")[2])
    return None if node is None else clause.sheet.metric(node)


DETAILS = {
    "deflection": lambda clause, key: clause.sheet.metric(deflection(clause.a)),
    "permitted": _detail_permitted,
}


def margin(a: Sources) -> None:
    """Nodes of `load_line_margin`."""
    s, found = a.sheet, a.sheet.at(("load_line_margin",))
    if found is None:
        return
    rows = [
        f"criterion/{criterion.row.id}/margin" for rule_set, criterion in a.assessed.criteria
        if rule_set.name == "load-lines" and criterion.is_judged and s.has(f"criterion/{criterion.row.id}/margin")
    ]  # fmt: skip
    inputs: Inputs = {f"m{n}": row for n, row in enumerate(rows, 1)}
    s.add(
        "load_line_margin/draft", "choice", f"min({', '.join(inputs)})", inputs, name="least margin to the load line",
        unit=s.unit("length"), path=("load_line_margin", "draft"), source=SOURCE,
    )  # fmt: skip
    if found["mass"] is not None:
        line = f"{rows[0].removesuffix('/margin')}/limit"
        mass_to(a, line, "load_line_margin/mass", ("load_line_margin", "mass"))


def mass_to(a: Sources, line: str, id: str, path: Path) -> None:
    """The displacement at a permitted draft (a node) and her trim, less hers."""
    s, ship, tables = a.sheet, a.assessed.situation, Tables(a)
    hydrostatics, flotation = ship.vessel.hydrostatics, ship.flotation
    assert flotation is not None
    target = s.add(
        "load_line/draft_at_line", "expression", "T - delta", {"T": line, "delta": deflection(a)},
        name="draft amidships at the line, without the deflection", unit=s.unit("length"),
        value=s.value(line) - s.value(deflection(a)),
    )  # fmt: skip
    several = len(hydrostatics.tables) > 1
    i, part = interval(hydrostatics.trims, flotation.trim) if several else (0, 0.0)
    nodes = [_at_line(a, tables, i + n, target) for n in ((0, 1) if part else (0,))]
    if len(nodes) == 2:
        ends: Inputs = {"x": "trim", "y0": nodes[0], "y1": nodes[1]}
        ends |= {f"x{n}": tables.cell(i + n, 0, "trim") for n in (0, 1)}
        value = s.value(nodes[0]) + part * (s.value(nodes[1]) - s.value(nodes[0]))
        node = s.linear(
            "load_line/table_displacement", ends, name="displacement at the line in the tables", unit=s.unit("mass"),
            value=value, source="the vessel's booklet: hydrostatic tables",
        )  # fmt: skip
    else:
        node = nodes[0]
    density = a.vessel.number(
        ("hydrostatics", "density"), "density", "density of the tables", absent=hydrostatics.density
    )
    s.add(
        id, "expression", "D * rho / rho_t - W",
        {"D": node, "rho": "water_density", "rho_t": density, "W": "displacement"},
        name="mass to the load line", unit=s.unit("mass"), path=path,
    )  # fmt: skip


def _at_line(a: Sources, tables: Tables, k: int, target: str) -> str:
    """Displacement of one table at a draft amidships: its rows' drafts brought amidships."""
    s, ship = a.sheet, a.assessed.situation
    hydrostatics, flotation = ship.vessel.hydrostatics, ship.flotation
    assert flotation is not None
    table = hydrostatics.tables[k]
    several = len(hydrostatics.tables) > 1
    at = table.trim if several else flotation.trim
    drafts = row_drafts(a, k, at)
    i, part = interval(drafts, s.value(target) * s.scale.length)
    ends: Inputs = {"x": target}
    for n in (0, 1):
        inputs: Inputs = {
            "T": tables.cell(k, i + n, "draft"), "LCF": tables.cell(k, i + n, "lcf"),
            "L": a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
            "t": tables.cell(k, 0, "trim") if several else "trim",
        }  # fmt: skip
        text = "T - t * (1 / 2 - LCF / L)"
        if hydrostatics.midship_draft:
            inputs["t_0"] = tables.cell(k, 0, "trim")
            text = "T + t_0 * (1 / 2 - LCF / L) - t * (1 / 2 - LCF / L)"
        ends[f"x{n}"] = s.add(
            f"load_line/table_{k}/draft_{n}", "expression", text, inputs, name="draft amidships of a row",
            unit=s.unit("length"), value=s.here(drafts[i + n], "length"),
        )  # fmt: skip
        ends[f"y{n}"] = tables.cell(k, i + n, "displacement")
    low, high = table.displacement[i], table.displacement[i + 1]
    return s.linear(
        f"load_line/table_{k}", ends, name="displacement at the line in one table", unit=s.unit("mass"),
        value=s.here(low + part * (high - low), "mass"), source="the vessel's booklet: hydrostatic tables",
    )  # fmt: skip
