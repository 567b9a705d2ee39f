"""Verdicts and margins as people read them: the word, the count of dangers beside it, margins in their own units.

Pages, reports and the command line print what these functions return, so that they all say the same.
"""

from collections.abc import Sequence
from typing import Final

from typing_extensions import TypedDict

from service.wire.assessment import Assessment, Criterion, FreeSurfaceTotal
from service.wire.fields import UnitSystem
from service.wire.figures import NOTHING, figure, figure_in, unit, with_unit, words
from service.wire.margin import KeptStabilityMargin, LoadLineMargin
from service.wire.righting_lever import RightingLever

DANGERS_NOT_COUNTED: Final = "dangers not counted"
LOAD_LINE: Final = "load line"
GREATEST_DRAFT: Final = "greatest permitted draft"
_VERDICTS: Final = {"pass": "Passes", "fail": "Fails", "incomplete": "Incomplete"}
_IN = "in"
_METRES: Final = ((0.0995, "mm", 1000.0), (0.995, "cm", 100.0))
_FEET: Final = ((0.995, _IN, 12.0),)
ENDS: Final = {
    "down_flooding": "where she floods",
    "vanishing": "where they vanish",
    "end_of_cross_curves": "the end of her cross curves",
}
_FIGURES: Final = {
    "flotation": "Drafts and trim",
    "stability": "GM",
    "righting_lever": "The righting lever",
    "list": "The list",
    "strength": "Longitudinal strength",
}


def verdict_words(verdict: str, dangers: int | None, phase: str | None = None) -> str:
    """The verdict with what stands beside it wherever it is shown: "Passes in port, 1 danger". None: not counted
    then; no phase."""
    return with_dangers(f"{_VERDICTS[verdict]}{in_phase(phase)}", dangers)


def in_phase(phase: str | None) -> str:
    """What a verdict says of the phase it holds in: " in port", empty at sea."""
    return " in port" if phase == "in_port" else ""


def counted(answer: Assessment) -> list[Criterion]:
    """The clauses that the verdict reads, and that apply."""
    return [c for c in answer["criteria"] if c["counts"] and c["verdict"] != "not_applicable"]


def with_dangers(text: str, dangers: int | None) -> str:
    """`text` and the count of dangers, where there are any or where nobody counted them."""
    beside = DANGERS_NOT_COUNTED if dangers is None else dangers_in_words(dangers)
    return f"{text}, {beside}" if beside else text


def dangers_in_words(count: int) -> str:
    """The count with its noun: "1 danger", "3 dangers"; empty for none."""
    return f"{count} danger{'' if count == 1 else 's'}" if count else ""


def stability_margin(margin: KeptStabilityMargin | None, system: UnitSystem) -> str:
    """The least stability margin in its own unit, and what it is as a GM where its own unit is another:
    "0.070 m", "0.0315 m·rad (0.155 m of GM)". Empty where none was judged."""
    if margin is None:
        return ""
    if margin["margin"] is None:
        return "no figure"
    own, equivalent = figure_in(margin["margin"], margin["unit"]), margin["gm_equivalent"]
    as_gm = figure(equivalent, "lever", system)
    return own if equivalent is None or as_gm == own else f"{own} ({as_gm} of GM)"


def load_line_margin(margin: LoadLineMargin | None, system: UnitSystem, limit: str = LOAD_LINE) -> str:
    """In words: "to the load line 28 mm, 37 t", "over the load line by 12 mm, 15 t"; empty where no mark was judged.
    `limit`: what it is called."""
    return "" if margin is None else f"{load_line_start(margin, limit)} {load_line_figures(margin, system)}"


def load_line_start(margin: LoadLineMargin, limit: str = LOAD_LINE) -> str:
    """Which side of the limit she is on: "to the load line", "over the load line by"."""
    return f"over the {limit} by" if margin["draft"] < 0.0 else f"to the {limit}"


def draft_limit_name(answer: Assessment) -> str:
    """What her draft is held against: the load line of a mark that is named, else the greatest draft she is permitted
    by all her marks."""
    line = answer.get("load_line")
    return LOAD_LINE if line is None or line["mark"] is not None else GREATEST_DRAFT


def load_line_figures(margin: LoadLineMargin, system: UnitSystem) -> str:
    """Figures: "28 mm, 37 t". No mass where it is not known, or is of the other sign than the draft (a lower side)."""
    parts = [draft_margin(abs(margin["draft"]), system)]
    if margin["mass"] is not None and (margin["mass"] < 0.0) is (margin["draft"] < 0.0):
        parts.append(mass_margin(abs(margin["mass"]), system))
    return ", ".join(parts)


def draft_margin(value: float, system: UnitSystem) -> str:
    """A little draft in the unit it is read in: "28 mm", "15 cm", "1.31 m"; "9.2 in", "2.54 ft". Not negative."""
    for below, symbol, factor in _FEET if system == "us" else _METRES:
        if value < below:
            return f"{value * factor:.{1 if symbol == _IN else 0}f} {symbol}"
    return figure(value, "draft", system)


def mass_margin(value: float, system: UnitSystem) -> str:
    """A mass without decimals, below ten with one: "37 t", "4.2 t". Not negative."""
    return with_unit(f"{value:.1f}" if value < 9.95 else f"{value:.0f}", unit("mass", system))


def headline(answer: Assessment) -> str:
    """The verdict as it is set large: a word, a count where something fails or is open, and the dangers beside it."""
    word = {"fail": failed_in_words, "incomplete": incomplete_in_words}.get(answer["verdict"])
    passes = f"Passes{in_phase(answer.get('phase'))}"
    return with_dangers(passes if word is None else word(answer), answer["dangers"])


def standing_in_words(row: Criterion) -> str:
    """What stands beside a clause: that it does not count here, and that its limit is from memory; empty for most."""
    parts = [] if row["counts"] else ["does not count in this phase of the voyage"]
    return ", ".join([*parts, *([] if row["from_memory"] is None else ["limit from memory"])])


def failed_in_words(answer: Assessment) -> str:
    """How many clauses fail of those that bind: "Fails 2 of 9", "Fails in port: 2 of 9"."""
    binding, phase = counted(answer), in_phase(answer.get("phase"))
    failed = sum(c["verdict"] == "fail" for c in binding)
    later = "" if failed else plan_in_short(answer, "fail")
    return later or f"Fails{phase}{':' if phase else ''} {failed} of {len(binding)}"


def plan_in_short(answer: Assessment, verdict: str) -> str:
    """How many points of her plan have that verdict, where she herself does not: "Fails at 3 of 14 points of her
    voyage". Empty where there is no plan or no such point."""
    plan = answer.get("plan")
    points = [] if plan is None else plan["points"]
    found = sum(point["verdict"] == verdict for point in points)
    if plan is None or not found:
        return ""
    word = "Fails" if verdict == "fail" else "Incomplete"
    return f"{word} at {found} of {len(points)} points of her {plan['kind']}"


def incomplete_in_words(answer: Assessment) -> str:
    """What keeps an incomplete answer from being one, in a few words: "Incomplete: 7 of 14 not decided"."""
    binding, start = counted(answer), f"Incomplete{in_phase(answer.get('phase'))}"
    undecided = sum(c["verdict"] not in ("pass", "fail") for c in binding)
    if not binding:
        return f"{start}: nothing was checked"
    if undecided:
        return f"{start}: {undecided} of {len(binding)} not decided"
    sets = sum(row["rule_set"] is not None for row in answer["unjudged"])
    if sets:
        return f"{start}: {sets} rule set{'' if sets == 1 else 's'} judged nothing"
    return plan_in_short(answer, "incomplete") or f"{start}: no rule set for stability judged her"


class Undecided(TypedDict):
    """Clauses that were not decided for the same reason."""

    verdict: str
    reason: str
    criteria: list[Criterion]


def undecided(answer: Assessment) -> list[Undecided]:
    """What was not decided of what counts, by its reason, in the order of the answer."""
    groups: dict[tuple[str, str], Undecided] = {}
    for row in counted(answer):
        if row["verdict"] in ("not_computable", "outside_validity"):
            key = row["verdict"], row["reason"]
            group = groups.setdefault(key, {"verdict": key[0], "reason": key[1], "criteria": []})
            group["criteria"].append(row)
    return list(groups.values())


def gaps_in_words(answer: Assessment) -> list[str]:
    """Why an answer is incomplete beside its clauses: figures off her tables, then rule sets that judged nothing."""
    titles = {row["name"]: row["title"] for row in answer["provenance"]["rule_sets"]}
    unjudged = [
        row["reason"]
        if row["rule_set"] is None
        else f"{titles.get(row['rule_set'], row['rule_set'])}: {row['reason']}"
        for row in answer["unjudged"]
    ]
    reasons: dict[str, list[str]] = {}
    for gap in answer["not_computed"]:
        reasons.setdefault(gap["reason"].rstrip("."), []).append(_FIGURES[gap["figure"]])
    gaps = [f"{_names_in_a_row(figures)} not computed: {reason}" for reason, figures in reasons.items()]
    return gaps + unjudged


def _names_in_a_row(figures: Sequence[str]) -> str:
    names = [figures[0], *(name[0].lower() + name[1:] if name != "GM" else name for name in figures[1:])]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def not_computed_in_words(answer: Assessment, part: str) -> str:
    """Why a part of the answer has no figures, as it stands in their place; empty where no reason was given."""
    for gap in answer["not_computed"]:
        if gap["figure"] == part:
            reason = gap["reason"].rstrip(".")
            return f"{_FIGURES[part]} {'are' if part == 'flotation' else 'is'} not computed: {reason}."
    return ""


def beyond_in_words(curve: RightingLever, system: UnitSystem) -> str:
    """What the curve shows beyond the end of its range; empty where nothing lies there."""
    beyond = curve["beyond"]
    if beyond is None:
        return ""
    parts = []
    if beyond["angle_of_maximum"] > curve["range_end"]["angle"]:
        greatest = figure(beyond["maximum"], "lever", system)
        parts.append(f"the curve reaches {greatest} at {figure(beyond['angle_of_maximum'], 'angle', system)}")
    if beyond["vanishing_angle"] is not None:
        parts.append(f"it vanishes at {figure(beyond['vanishing_angle'], 'angle', system)}")
    return " and ".join(parts)


class FreeSurfaceLine(TypedDict):
    """One basis of the free surface totals, in words and figures."""

    basis: str
    moment: str
    gm_corrected: str
    judged: bool


def free_surface_lines(answer: Assessment) -> list[FreeSurfaceLine]:
    """The totals by basis with the GM each leaves; the basis she is judged by is marked. Older answers have only
    that one."""
    system, surface = answer["units"]["system"], answer["free_surface"]
    totals: list[tuple[str, FreeSurfaceTotal | None]] = [
        ("as_filled", surface["as_filled"]),
        ("maximum_when_slack", surface["maximum_when_slack"]),
        ("by_rule", surface["by_rule"]),
    ]
    known = [(basis, total) for basis, total in totals if total is not None]
    if surface["judged_by"] not in [basis for basis, _ in known]:
        known.append((surface["judged_by"], surface["judged"]))
    return [
        {
            "basis": words(basis),
            "moment": figure(total["moment"], "mass_moment", system),
            "gm_corrected": figure(total["gm_corrected"], "lever", system),
            "judged": basis == surface["judged_by"],
        }
        for basis, total in known
    ]


def left_out_in_words(answer: Assessment) -> str:
    """The moments left out for small tanks; empty where there are none or nobody counted them."""
    exempt: float | None = answer["free_surface"]["exempt_moment"]
    if not exempt:
        return ""
    shown = figure(exempt, "mass_moment", answer["units"]["system"])
    return f"Left out for small tanks: {shown}" if shown != NOTHING else ""
