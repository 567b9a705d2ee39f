"""Clauses for one type of ship: what is measured on the curve up to the least of several angles, and limits that come
of her form. Details of the clause stand as they were computed."""

from service.core.rules import is_code_2008_b_2_3 as containership
from service.translation.answer_criteria import unit_in
from service.translation.working.clause import Clause
from service.translation.working.given import Given, Inputs

FORMS = {
    f"{containership.NAME}-{slug}": ("part / C", {"C": "form_factor"}, part)
    for slug, part in (
        ("area-to-30", 0.009),
        ("area-to-40", 0.016),
        ("area-30-to-40", 0.006),
        ("lever-at-30", 0.033),
        ("greatest-lever", 0.042),
        ("area-to-flooding", 0.029),
    )
} | {
    "is-code-2008-b-2.2-range": ("part - 5 * min(max((L - 100) / 50, 0), 1)", {"L": "length"}, 20.0),
    "is-code-2008-b-2.4-stern-freeboard": ("part * L", {"L": "length"}, 0.005),
    "46-cfr-172.090-gm": ("K * part / fe", {"K": "factor_k", "fe": "freeboard_effective"}, None),
    "46-cfr-173.095-gm": (
        "P / (K * W * f / part)",
        {"P": "pull", "K": "constant_k", "f": "freeboard_least"},
        None,
    ),
}
"""Limit of a row in the units of its document: expression, its details by symbol, and the figure of the document
(`part`; None: the moulded breadth in m)."""


def limit(clause: Clause) -> str | None:
    """The node of a limit that comes of her form or of where she serves; None where there is none to write."""
    row, required, s = clause.criterion.row, clause.criterion.required, clause.sheet
    if required is None or row.limit is not None:
        return None
    factor, _ = unit_in(row.unit, s.scale)
    unit = str(s.at(("criteria", clause.k, "unit")))
    found = FORMS.get(row.id)
    if found is None:
        if row.id not in STATED:
            return None
        text, inputs = "x * u", Inputs(x=clause.rule("limit", required, row.unit))
    else:
        expression, details, part = found
        inputs = {symbol: f"{clause.id}/{key}" for symbol, key in details.items()}
        if not all(s.has(str(node)) for node in inputs.values()):
            return None
        text, inputs = f"u * ({expression})", {**inputs, "part": _part(clause, part)}
        if "W" in expression:
            mass = clause.a.assessed.displacement.mass
            inputs["W"] = s.constant("displacement in tonnes", mass, "t")
    inputs["u"] = s.constant("answer's units a unit of the document", factor)
    return s.add(
        f"{clause.id}/required", "expression", text, inputs, name="what is required", unit=unit,
        value=required * factor, source=row.source, memory=row.from_memory,
    )  # fmt: skip


STATED = {
    "is-code-2008-b-2.1-initial-gm",
    "46-cfr-28.570-range",
    "46-cfr-172.090-area",
    "46-cfr-173.020-area",
}
"""Rows whose limit is one of several figures of the document."""


def _part(clause: Clause, part: float | None) -> Given:
    if part is not None:
        return clause.rule("figure of the clause", part)
    breadth = clause.a.assessed.situation.vessel.particulars.breadth
    return clause.sheet.constant("moulded breadth in metres", breadth, "m")


def form_factor(clause: Clause, _: str) -> str | None:
    """C of a containership from the details before it."""
    s, keys = clause.sheet, {
        "d": "draft",
        "D": "depth_corrected",
        "B": "breadth_half_draft",
        "KG": "vcg_not_below_draft",
        "CB": "block",
        "CW": "waterplane",
    }  # fmt: skip
    inputs: Inputs = {symbol: f"{clause.id}/{key}" for symbol, key in keys.items()}
    form = containership.form_of(clause.a.assessed.situation)
    if not isinstance(form, containership.Form) or not all(s.has(str(node)) for node in inputs.values()):
        return None
    inputs["L"] = s.constant("length in metres", form.length, "m")
    return s.add(
        f"{clause.id}/C", "expression", "d * D / B^2 * sqrt(d / KG) * (CB / CW)^2 * sqrt(100 / L)", inputs,
        name="factor C", unit="", value=form.factor, source=clause.criterion.row.source,
        memory=clause.criterion.row.from_memory,
    )  # fmt: skip


def down_flooding(clause: Clause) -> str | None:
    """The angle of down-flooding that the document counts."""
    return clause.flooding()


def end_of_area(clause: Clause, _: str) -> str | None:
    """The least of the angle of the greatest lever and the angle the document names."""
    angle, found = clause.greatest(), None
    for detail in clause.criterion.details:
        if detail.key == "end_of_area":
            found = detail.value
    if angle is None or not isinstance(found, float):
        return None
    s = clause.sheet
    if s.value(angle) <= found + 1e-9:
        return angle
    most = clause.rule("greatest angle of the clause", found, "degree")
    return s.add(
        f"{clause.id}/end", "choice", "min(phi, most)", {"phi": angle, "most": most}, name="end of the area",
        unit="degree", value=found, source=clause.criterion.row.source,
    )  # fmt: skip
