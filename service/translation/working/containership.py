"""Containerships: what the factor C of her form is made of, and levers and areas up to where she stays positive.

2008 IS Code (MSC.267(85)), Part B 2.3; details are in metres."""

from collections.abc import Callable

from service.core.rules import is_code_2008_b_2_3 as code
from service.core.rules.curve_rows import end_of_positive_levers
from service.translation.working.clause import Clause
from service.translation.working.columns import column_as_she_floats
from service.translation.working.given import Inputs, Path

Found = Callable[[Clause, code.Form], str]


def greatest_lever(clause: Clause) -> str | None:
    """The greatest lever on the usable part, from upright."""
    angle = clause.greatest()
    return None if angle is None else clause.curve.lever(angle, clause.heeled.side)


def total_area(clause: Clause) -> str | None:
    """The area from upright as far as levers are positive, openings stay dry and the curves reach."""
    measures, s, side = clause.measures, clause.sheet, clause.heeled.side
    end = end_of_positive_levers(measures)
    if end is None:
        return None
    if end == 0.0:
        nothing = s.constant("levers are positive nowhere", 0.0, s.unit("lever_area"))
        return s.copy(f"{clause.id}/nothing", nothing, name="area")
    if end == measures.usable:
        return clause.curve.area(clause.end(end + 1.0), side)
    word = "port" if side > 0.0 else "starboard"
    node = clause.curve.crossing(f"vanishing/{word}", end, None, side, "angle of vanishing stability")
    return clause.curve.area(node, side)


def _metres(clause: Clause, place: Path, words: str) -> str:
    """A length of the vessel document as a node in metres."""
    s = clause.sheet
    given = clause.a.vessel.number(place, "length", words)
    return s.metric(s.copy(f"containership/{place[0]}/{place[-1]}", given, name=words))


def _length(clause: Clause, form: code.Form) -> str:
    known = clause.a.vessel.has(("particulars", "length_load_line"))
    return _metres(
        clause, ("particulars", "length_load_line" if known else "length_bp"), "length of the rules"
    )


def _on_water(clause: Clause) -> str:
    known = clause.a.vessel.has(("particulars", "length_waterline"))
    return _metres(
        clause, ("particulars", "length_waterline" if known else "length_bp"), "length on the waterline"
    )


def _breadth(clause: Clause) -> str:
    return _metres(clause, ("particulars", "breadth"), "moulded breadth")


def _depth(clause: Clause, form: code.Form) -> str:
    inputs: Inputs = {
        "D": _metres(clause, ("particulars", "depth"), "moulded depth"),
        "h": _metres(clause, ("hatch_coamings", "height"), "height of the coamings"),
        "b": _metres(clause, ("hatch_coamings", "breadth"), "breadth of the coamings"),
        "S": _metres(clause, ("hatch_coamings", "length_sum"), "lengths of the coamings together"),
        "B": _breadth(clause),
        "L": _length(clause, form),
    }
    return clause.node(
        "depth",
        "D + h * (2 * b - B) / B * (2 * S / L)",
        inputs,
        form.corrected_depth,
        "m",
        words="corrected depth D'",
    )


def _half_breadth(clause: Clause, form: code.Form) -> str:
    known = clause.a.vessel.has(("particulars", "breadth_half_draft"))
    return (
        _metres(clause, ("particulars", "breadth_half_draft"), "breadth at half the draft")
        if known
        else _breadth(clause)
    )


def _vcg(clause: Clause, form: code.Form) -> str:
    s = clause.sheet
    inputs: Inputs = {"KG": s.metric("vcg_corrected"), "d": s.metric("draft_midship")}
    return s.add(
        "containership/vcg", "choice", "max(KG, d)", inputs, name="KG, not less than d", unit="m", value=form.vcg,
        source=clause.criterion.row.source,
    )  # fmt: skip


def _block(clause: Clause, form: code.Form) -> str:
    a, s = clause.a, clause.sheet
    flotation = a.assessed.situation.flotation
    if flotation is not None and flotation.block_coefficient is not None:
        return column_as_she_floats(a, "block_coefficient", "block_coefficient", form.block)
    if a.vessel.has(("particulars", "block_coefficient")):
        given = a.vessel.number(("particulars", "block_coefficient"), "", "block coefficient")
        return s.copy("containership/block", given)
    inputs: Inputs = {
        "W": s.metric("displacement"), "rho": "water_density", "L": _on_water(clause), "B": _breadth(clause),
        "d": s.metric("draft_midship"),
    }  # fmt: skip
    return clause.node("block", "W / rho / (L * B * d)", inputs, form.block, "", words="block coefficient")


def _waterplane(clause: Clause, form: code.Form) -> str:
    flotation = clause.a.assessed.situation.flotation
    assert flotation is not None
    assert flotation.waterplane_area is not None
    area = column_as_she_floats(clause.a, "waterplane_area", "waterplane_area", flotation.waterplane_area)
    inputs: Inputs = {"A": clause.sheet.metric(area), "L": _on_water(clause), "B": _breadth(clause)}
    return clause.node(
        "waterplane", "A / (L * B)", inputs, form.waterplane, "", words="waterplane coefficient CW"
    )


def _detail(find: Found) -> Callable[[Clause, str], str | None]:
    def node_of(clause: Clause, _: str) -> str | None:
        form = code.form_of(clause.a.assessed.situation)
        if clause.rule_set.name != code.NAME or not isinstance(form, code.Form):
            return None
        return find(clause, form)

    return node_of


DETAILS: dict[str, Callable[[Clause, str], str | None]] = {
    "draft": _detail(lambda clause, form: clause.sheet.metric("draft_midship")),
    "depth_corrected": _detail(_depth),
    "breadth_half_draft": _detail(_half_breadth),
    "vcg_not_below_draft": _detail(_vcg),
    "block": _detail(_block),
    "waterplane": _detail(_waterplane),
}
"""Details of the six rows, by key."""
