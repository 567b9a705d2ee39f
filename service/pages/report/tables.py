"""The tables of the report: criteria, weights, tanks, as columns and rows of texts."""

from collections.abc import Sequence
from typing import Any

from service.pages import wording
from service.pages.entered_weights import weights_one_by_one
from service.pages.margin_in_words import attained_and_needs, margin_phrase
from service.pages.pictures import clause_of, short_name
from service.pages.tank_rows import cost_words, in_ship_order
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.assessment import Assessment, TankResult
from service.wire.fields import UnitSystem
from service.wire.figures import figure, number, rounded, unit, words
from service.wire.verdict_words import standing_in_words

Cells = dict[str, Any]


def table(columns: Sequence[str], rows: Sequence[Sequence[str]], strong: Sequence[int] = ()) -> Cells:
    """Columns named `<` are left and wide, `>` right; rows as texts."""
    return {
        "columns": [
            {"title": title.lstrip("<>|"), "wide": title.startswith("<"), "right": title.startswith(">")}
            for title in columns
        ],
        "rows": [{"cells": list(row), "strong": i in strong} for i, row in enumerate(rows)],
    }


def criteria(answer: Assessment) -> Cells:
    """What was asked, failures first: verdict, criterion with clause, attained, needed, what is left or lacks."""
    system = answer["units"]["system"]
    asked = [c for c in answer["criteria"] if c["verdict"] != "not_applicable"]
    ordered = wording.in_order_of_concern(asked)
    several, said = wording.reasons_of_several(ordered), set[str]()
    rows = []
    for c in ordered:
        attained, needs = attained_and_needs(c)
        standing, undecided = standing_in_words(c), c["verdict"] not in ("pass", "fail")
        name = ", ".join(part for part in (short_name(c), clause_of(c)) if part)
        name += f" ({standing})" if standing else ""
        if undecided:
            name += ": the same." if c["reason"] in said else f": {c['reason'].rstrip('.')}."
            said |= {c["reason"]} & several.keys()
        rows.append(
            (
                words(c["verdict"]),
                name,
                attained,
                needs,
                "" if undecided or c["margin"] is None else margin_phrase(c, system),
            )
        )
    fails = [i for i, c in enumerate(ordered) if c["verdict"] == "fail" and c["counts"]]
    return table(("|verdict", "<criterion", ">attained", ">needed", ">margin"), rows, fails)


def not_asked(answer: Assessment) -> list[str]:
    """What does not apply, a line for each reason, each name once."""
    reasons: dict[str, list[str]] = {}
    for c in answer["criteria"]:
        if c["verdict"] == "not_applicable":
            name = ", ".join(part for part in (short_name(c), clause_of(c)) if part)
            reasons.setdefault(c["reason"].rstrip("."), []).append(name)
    return [f"Not asked: {'; '.join(dict.fromkeys(names))} ({reason})." for reason, names in reasons.items()]


def weights(record: dict[str, Any], system: UnitSystem) -> Cells:
    """Lightship, liquids by group, and the weights: one by one where they can be shown so, else by category."""
    answer: Assessment = record["assessment"]
    items = weights_one_by_one(record)
    lines: list[tuple[str, float, Any]] = []
    for w in answer["weights"]:
        if w["centre"] is None or (items and w["kind"] == "weight"):
            continue
        name = words(w["category"]).capitalize()
        lines.append((f"{name}, liquids" if w["kind"] == "liquid" else name, w["mass"], w["centre"]))
    lines += [(w["name"], w["mass"], {"tcg": 0.0, **w}) for w in items or ()]
    rows = [
        (
            name,
            number(mass, "mass", system),
            *(number(centre[axis], "position", system) for axis in ("lcg", "vcg", "tcg")),
        )
        for name, mass, centre in lines
    ]
    rows.append(
        (
            "Displacement",
            ANSWER_FIGURES["displacement"].number(answer),
            *(number(answer[name], "position", system) for name in ("lcg", "vcg_solid", "tcg")),
        )
    )
    columns = ("<item", f">{unit('mass', system)}", f">LCG, {unit('position', system)}", ">VCG", ">TCG")
    return table(columns, rows, [len(rows) - 1])


def moments(answer: Assessment) -> str:
    """The sums of moments the centres come from, as one line."""
    m, system = answer["moments"], answer["units"]["system"]
    sums = (
        f"{name} {figure(m[name], 'mass_moment', system)}"
        for name in ("longitudinal", "vertical", "transverse")
    )
    return f"Moments: {', '.join(sums)}."


def tanks(answer: Assessment, system: UnitSystem) -> Cells:
    """Tanks with contents from forward to aft: the moment of its free surface as counted, and what that does to GM."""
    rows = [
        (
            t["name"],
            words(t["contents"]),
            rounded(t["fill"], 1),
            _state(t),
            number(t["volume"], "volume", system),
            number(t["mass"], "mass", system),
            number(t["centre"]["vcg"], "position", system),
            number(t["free_surface_moment"], "mass_moment", system),
            cost_words(t, number(-t["gm_loss"], "lever", system)),
        )
        for t in in_ship_order(answer)
        if t["state"] != "empty"
    ]
    columns = (
        "<tank",
        "|contents",
        ">%",
        "|state",
        f">{unit('volume', system)}",
        f">{unit('mass', system)}",
        f">VCG, {unit('position', system)}",
        f">{unit('mass_moment', system)}",
        f">GM, {unit('lever', system)}",
    )
    return table(columns, rows)


def _state(tank: TankResult) -> str:
    """Her state, and what her surface counts as where a rule counts it otherwise."""
    counted: str | None = tank["counted_as"]
    if counted is None or counted == tank["state"]:
        return words(tank["state"])
    return f"{words(tank['state'])}, counted as {words(counted)}"
