"""The angle of roll of the weather criterion of the 2008 IS Code (A 2.3.4), factor by factor."""

from collections.abc import Sequence

from service.core.interpolation import interval
from service.core.rules import is_code_2008_a_2_3 as code
from service.translation.working.afloat import particular, roll_coefficient
from service.translation.working.clause import Clause
from service.translation.working.columns import column_as_she_floats
from service.translation.working.given import Inputs


def _breadth_to_draft(clause: Clause) -> str | None:
    roll, s = clause.roll, clause.sheet
    if roll is None:
        return None
    inputs: Inputs = {"B": particular(clause.a, "breadth", "breadth"), "d": s.metric("draft_midship")}
    return clause.node("B_d", "B / d", inputs, roll.breadth_to_draft, "", words="B/d")


def _table(
    clause: Clause,
    name: str,
    x: str | None,
    table: tuple[Sequence[float], Sequence[float]],
    value: float | None,
) -> str | None:
    """A factor from a table of the Code: linear between its rows, constant beyond them."""
    if x is None or value is None:
        return None
    s, (arguments, values) = clause.sheet, table
    at = s.value(x)
    id = f"{clause.rule_set.name}/{name}"
    if at <= arguments[0] or at >= arguments[-1]:
        end = 0 if at <= arguments[0] else -1
        given = clause.rule(f"{name} at {arguments[end]:g}", values[end])
        return s.copy(id, given, name=f"factor {name}", source=clause.criterion.row.source)
    k, _ = interval(arguments, at)
    row: Inputs = {"x": x}
    for n in (0, 1):
        row[f"x{n}"] = clause.rule("argument of the table", arguments[k + n])
        row[f"y{n}"] = clause.rule(f"{name} of the table", values[k + n])
    return s.linear(
        id, row, name=f"factor {name}", unit="", value=value, source="2008 IS Code A 2.3.4, tables"
    )


def _x1(clause: Clause) -> str | None:
    roll = clause.roll
    return None if roll is None else _table(clause, "X1", _breadth_to_draft(clause), code.TABLE_X1, roll.x1)


def _block(clause: Clause) -> str | None:
    roll, s, ship = clause.roll, clause.sheet, clause.a.assessed.situation
    if roll is None or roll.block_coefficient is None or ship.flotation is None:
        return None
    p = ship.vessel.particulars
    if ship.flotation.block_coefficient is not None:
        return column_as_she_floats(
            clause.a, "block_coefficient", "block_coefficient", roll.block_coefficient
        )
    if p.block_coefficient is not None or p.length_waterline is None:
        return s.copy(
            "block_coefficient",
            clause.a.vessel.number(("particulars", "block_coefficient"), "", "block coefficient"),
        )
    inputs: Inputs = {
        "W": s.metric("displacement"), "rho": "water_density", "B": particular(clause.a, "breadth", "breadth"),
        "L": particular(clause.a, "length_waterline", "length on the waterline"), "d": s.metric("draft_midship"),
    }  # fmt: skip
    return clause.node(
        "C_B",
        "W / rho / (L * B * d)",
        inputs,
        roll.block_coefficient,
        "",
        words="block coefficient",
        source="definition",
    )


def _x2(clause: Clause) -> str | None:
    roll = clause.roll
    return None if roll is None else _table(clause, "X2", _block(clause), code.TABLE_X2, roll.x2)


def _keel_ratio(clause: Clause) -> str | None:
    roll, s, a = clause.roll, clause.sheet, clause.a
    if roll is None or roll.area_ratio is None:
        return None
    area = s.copy(
        "particulars/bilge_keel_area",
        a.vessel.number(("particulars", "bilge_keel_area"), "area", "area of the bilge keels"),
    )
    inputs: Inputs = {
        "A_k": s.metric(area), "L": particular(a, "length_waterline", "length on the waterline"),
        "B": particular(a, "breadth", "breadth"),
    }  # fmt: skip
    return clause.node("keels", "100 * A_k / (L * B)", inputs, roll.area_ratio, "", words="100 Ak / (Lwl B)")


def _k(clause: Clause) -> str | None:
    roll, p = clause.roll, clause.a.assessed.situation.vessel.particulars
    if roll is None or roll.k is None:
        return None
    if p.bilge != "sharp" and p.bilge_keel_area is not None:
        return _table(clause, "k", _keel_ratio(clause), code.TABLE_K, roll.k)
    return clause.sheet.copy(
        f"{clause.rule_set.name}/k", clause.rule(f"k of a {p.bilge} bilge", roll.k), name="factor k"
    )


def _og(clause: Clause) -> str | None:
    roll, s = clause.roll, clause.sheet
    if roll is None:
        return None
    inputs: Inputs = {"KG": s.metric("vcg_corrected"), "d": s.metric("draft_midship")}
    return clause.node("OG_d", "(KG - d) / d", inputs, roll.og_to_draft, "", words="OG/d")


def _r(clause: Clause) -> str | None:
    roll, og = clause.roll, _og(clause)
    if roll is None or og is None:
        return None
    return clause.node("r", "0.73 + 0.6 * OG_d", {"OG_d": og}, roll.r, "", words="factor r")


def _c(clause: Clause) -> str | None:
    roll = clause.roll
    return None if roll is None or roll.c is None else roll_coefficient(clause.a)


def _period(clause: Clause) -> str | None:
    roll, c, s = clause.roll, _c(clause), clause.sheet
    if roll is None or roll.period is None or c is None:
        return None
    inputs: Inputs = {"C": c, "B": particular(clause.a, "breadth", "breadth"), "GM": s.metric("gm_corrected")}
    return clause.node("T", "2 * C * B / sqrt(GM)", inputs, roll.period, "s", words="rolling period T")


def _s(clause: Clause) -> str | None:
    roll = clause.roll
    return None if roll is None else _table(clause, "s", _period(clause), code.TABLE_S, roll.s)


def phi1(clause: Clause) -> str | None:
    """The angle of roll."""
    roll = clause.roll
    if roll is None or roll.phi1 is None:
        return None
    k, x1, x2, r, s = _k(clause), _x1(clause), _x2(clause), _r(clause), _s(clause)
    assert k
    assert x1
    assert x2
    assert r
    assert s
    inputs: Inputs = {"k": k, "X1": x1, "X2": x2, "r": r, "s": s}
    return clause.node(
        "phi1", "109 * k * X1 * X2 * sqrt(r * s)", inputs, roll.phi1, "degree", words="angle of roll phi1"
    )


DETAILS = {
    "breadth_to_draft": lambda clause, key: _breadth_to_draft(clause),
    "factor_x1": lambda clause, key: _x1(clause),
    "block_coefficient": lambda clause, key: _block(clause),
    "factor_x2": lambda clause, key: _x2(clause),
    "bilge_keel_ratio": lambda clause, key: _keel_ratio(clause),
    "factor_k": lambda clause, key: _k(clause),
    "og_to_draft": lambda clause, key: _og(clause),
    "factor_r": lambda clause, key: _r(clause),
    "coefficient_c": lambda clause, key: _c(clause),
    "roll_period": lambda clause, key: _period(clause),
    "factor_s": lambda clause, key: _s(clause),
    "roll_angle": lambda clause, key: phi1(clause),
}
