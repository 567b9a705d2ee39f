"""What is left to a limit or lacks to it, in the unit of the criterion: "0.070 m above", "0.7° too much"."""

from collections.abc import Sequence
from dataclasses import dataclass

from service.pages.pictures import LOAD_LINES, OWN_CURVES, clause_of, short_name
from service.pages.wording import fails, nearest
from service.wire.assessment import Assessment, Criterion
from service.wire.fields import UnitSystem
from service.wire.figures import NOTHING, figure, figure_in, figures_apart, rounded, with_unit
from service.wire.margin import LoadLineMargin
from service.wire.sensitivity import FailingThen
from service.wire.verdict_words import GREATEST_DRAFT, LOAD_LINE, draft_margin, load_line_figures, mass_margin

MARKS = {
    "S": "summer mark",
    "T": "tropical mark",
    "W": "winter mark",
    "WNA": "winter North Atlantic mark",
    "F": "fresh water mark",
    "TF": "tropical fresh water mark",
}
_DRAFTS = ("draft_midship", "draft_low_side", "draft_forward", "draft_aft", "draft_greatest")
MOST_ALSO, MOST_THEN = 5, 3


@dataclass(frozen=True)
class Lead:
    """A sentence under a verdict: `strong` stands out; target: the id of the criterion it is about."""

    before: str
    strong: str
    after: str
    target: str = ""


def draft_limit(answer: Assessment) -> str:
    """What her draft is held against: "summer mark", "greatest permitted draft" where no mark is named."""
    line = answer.get("load_line")
    return LOAD_LINE if line is None else mark_name(line["mark"])


def mark_name(mark: str | None) -> str:
    """What a mark is called; where none is named, what all her marks permit."""
    if mark is None:
        return GREATEST_DRAFT
    if mark in MARKS:
        return MARKS[mark]
    timber = MARKS.get(mark.removeprefix("L"))
    return f"timber {timber}" if timber else f"{mark} mark"


def attained_and_needs(criterion: Criterion) -> tuple[str, str]:
    """What is attained, without its unit where the requirement carries it, and "needs 0.150 m" or "at most 14.0°"."""
    attained, limit, unit = criterion["attained"], criterion["limit"], criterion["unit"]
    if limit is None:
        return figure_in(attained, unit), ""
    word = "needs" if criterion["comparison"] == ">=" else "at most"
    shown, asked = figures_apart(attained, limit, unit)
    symbol = "°" if unit in ("degree", "deg") else unit.replace("degree", "°")
    closed = symbol in ("°", "%")
    own = with_unit(shown, symbol) if closed and shown != NOTHING else shown
    return own, f"{word} {with_unit(asked, symbol)}"


def margin_size(criterion: Criterion, system: UnitSystem) -> str:
    """How much is to spare or short, without a sign: "0.070 m", "31 mm", "0.7°"."""
    margin, unit = criterion["margin"], criterion["unit"]
    if margin is None:
        return "no figure"
    if criterion["key"] in _DRAFTS and unit in ("m", "ft"):
        return draft_margin(abs(margin), system)
    if unit in ("t", "LT"):
        return mass_margin(abs(margin), system)
    if unit == "%":
        return f"{rounded(abs(margin), 0)} %"
    return figure_in(abs(margin), unit)


def margin_phrase(criterion: Criterion, system: UnitSystem) -> str:
    """The margin with what it is: "0.070 m to spare", "0.225 m short", "0.7° too much"."""
    if criterion["margin"] is None:
        return "no figure"
    size = margin_size(criterion, system)
    if criterion["verdict"] != "fail":
        return f"{size} to spare"
    return f"{size} {'short' if criterion['comparison'] == '>=' else 'too much'}"


def _start(criterion: Criterion) -> str:
    """The name at the start of a margin: plain GM for the criteria that measure it."""
    if criterion["key"] in ("gm", "positive_gm", "gm_corrected"):
        return "GM"
    return short_name(criterion)


def _within(name: str) -> str:
    return name if name[:2].isupper() else name[0].lower() + name[1:]


def _clause(criterion: Criterion) -> str:
    clause = clause_of(criterion)
    return f", {clause}" if clause else ""


def least_margin(answer: Assessment) -> Lead | None:
    """The least stability margin: "Least margin: GM 0.070 m above her booklet's curve"; None where none was judged."""
    least, row, system = answer["least_stability_margin"], nearest(answer), answer["units"]["system"]
    if row is None:
        return None
    if least is None:  # an answer of calculation 1.0.0, which called one criterion nearest
        attained, needs = attained_and_needs(row)
        return Lead(
            f"Nearest to its limit: {short_name(row)} ", attained, f", {needs}{_clause(row)}.", row["id"]
        )
    of_judged = " of what was judged" if answer["verdict"] == "incomplete" else ""
    start = f"Least stability margin{of_judged}: {_start(row)} "
    size = margin_size(row, system)
    own, equivalent = size, least["gm_equivalent"]
    as_gm = figure(None if equivalent is None else abs(equivalent), "lever", system)
    beside = "" if equivalent is None or as_gm == own else f" ({as_gm} of GM)"
    if row["key"] == "gm" and row["verdict"] != "fail" and row["rule_set"] == OWN_CURVES:
        return Lead(start, size, f" above her booklet’s curve{beside}.", row["id"])
    if row["key"] == "vcg" and row["verdict"] != "fail":
        return Lead(
            start.replace(short_name(row), "KG"), size, f" under her booklet’s curve{beside}.", row["id"]
        )
    strong = margin_phrase(row, system)
    return Lead(start, strong, f"{_clause(row)}{beside}.", row["id"])


def failing(answer: Assessment) -> list[Lead]:
    """What fails and counts, load lines apart: the worst as a sentence, the others after "Also"."""
    system = answer["units"]["system"]
    rows = [c for c in fails(answer) if c["rule_set"] != LOAD_LINES]
    least = answer["least_stability_margin"]
    if least is not None:
        rows.sort(key=lambda c: c["id"] != least["criterion"])
    if not rows:
        return []
    first = rows[0]
    attained, needs = attained_and_needs(first)
    figures = "" if first["attained"] is None else f": {attained}, {needs}" if needs else f": {attained}"
    lines = [
        Lead(
            "", f"{_start(first)} {margin_phrase(first, system)}", f"{figures}{_clause(first)}.", first["id"]
        )
    ]
    said = {(_start(first), f" {margin_phrase(first, system)}")}
    others = []
    for row in rows[1:]:
        phrase = f": {row['reason']}" if row["margin"] is None else f" {margin_phrase(row, system)}"
        words = (_start(row), phrase)
        if words not in said:
            said.add(words)
            by = _clause(row) if words[0] == _start(first) else ""
            name = words[0] if by or words[0] != _start(first) else short_name(row)
            others.append(f"{_within(name)}{phrase}{by}")
    if others:
        more = f", and {len(others) - MOST_ALSO} more" if len(others) > MOST_ALSO else ""
        lines.append(Lead("Also: " + "; ".join(others[:MOST_ALSO]) + more + ".", "", ""))
    return lines


def failing_in_words(rows: Sequence[FailingThen], answer: Assessment, system: UnitSystem) -> str:
    """What fails after a change, the criteria called as in `answer`: "GM 0.012 m short, A 2.2.4; and 2 more"."""
    known = {criterion["id"]: criterion for criterion in answer["criteria"]}
    said: list[str] = []
    for row in rows:
        criterion = known.get(row["criterion"])
        if criterion is None:
            words = _within(row["title"])
        else:
            then: Criterion = {**criterion, "verdict": "fail", "margin": row["margin"], "unit": row["unit"]}
            phrase = margin_phrase(then, system) if row["margin"] is not None else ""
            words = f"{_within(_start(then))}{' ' if phrase else ''}{phrase}{_clause(then)}"
        if words not in said:
            said.append(words)
    more = f"; and {len(said) - MOST_THEN} more" if len(said) > MOST_THEN else ""
    return "; ".join(said[:MOST_THEN]) + more


def load_line_lead(answer: Assessment) -> Lead | None:
    """The load line: "31 mm to the summer mark, 46 t"; None where no mark was judged."""
    margin: LoadLineMargin | None = answer["load_line_margin"]
    if margin is None:
        return None
    system, block = answer["units"]["system"], answer.get("load_line")
    mark = draft_limit(answer)
    size, _, mass = load_line_figures(margin, system).partition(", ")
    over = margin["draft"] < 0.0
    beside = f", {mass} {'too much' if over else 'still to load'}" if mass else ""
    plan = answer.get("plan")
    if plan and plan["load_line"] and plan["load_line"]["more_to_load"] < (margin["mass"] or 0.0):
        beside = ""  # a later stage allows less, and that is what is said
    low = ""
    if (
        block is not None
        and block["low_side"] in ("port", "starboard")
        and block["draft_low_side"] is not None
    ):
        low = (
            f" on the low side, {block['low_side']}"
            if abs(block["draft_low_side"] - block["draft_midship"]) > 5e-4
            else ""
        )
    return Lead("", size, f" {'over' if over else 'to'} the {mark}{low}{beside}.", "load-lines-draft")


def leads(answer: Assessment) -> list[Lead]:
    """Everything that stands under a verdict: what fails, the least margin of a ship that does not fail by stability,
    the load line."""
    wrong, line, least = failing(answer), load_line_lead(answer), least_margin(answer)
    over = answer["load_line_margin"] is not None and answer["load_line_margin"]["draft"] < 0.0
    found = [*wrong, line] if wrong else [line, least] if over else [least, line]
    return [lead for lead in found if lead is not None]
