"""An assessment as text, in the order a mate asks: verdict, why, tanks, weights, how she floats, the criteria."""

import re
from typing import Any

from service.cli.block_text import (
    added_weights_text,
    drafts_text,
    load_line_text,
    plan_text,
    strength_text,
    survey_text,
    worst_in_words,
)
from service.cli.columns import folded, table
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.assessment import Assessment, AssumedFreeSurface, Criterion, TankResult
from service.wire.fields import UnitSystem
from service.wire.figures import (
    NOTHING,
    figure,
    figure_in,
    list_in_words,
    number,
    unit,
    words,
)
from service.wire.righting_lever import RightingLever
from service.wire.verdict_words import (
    ENDS,
    beyond_in_words,
    counted,
    draft_limit_name,
    free_surface_lines,
    gaps_in_words,
    in_phase,
    incomplete_in_words,
    left_out_in_words,
    load_line_margin,
    not_computed_in_words,
    stability_margin,
    standing_in_words,
    undecided,
    with_dangers,
)

_OVER = {"pass": "PASSES OVER", "fail": "FAILS DURING", "incomplete": "INCOMPLETE OVER"}
_TANK_LINE = re.compile(r"/condition/tanks/(\d+)")


def answer_text(answer: Assessment) -> str:
    """The whole answer; with a plan, tables and criteria are those of its beginning."""
    system = answer["units"]["system"]
    parts = [
        _heading(answer),
        plan_text(answer, system),
        _tanks(answer, system),
        _weights(answer, system),
        added_weights_text(answer, system),
        _initial_stability(answer, system),
        _flotation(answer, system),
        load_line_text(answer, system),
        drafts_text(answer, system),
        survey_text(answer, system),
        strength_text(answer, system),
        _righting_lever(answer, system),
        _criteria(answer),
        _findings(answer),
        _provenance(answer),
    ]
    return "\n\n".join(part for part in parts if part)


def _heading(answer: Assessment) -> str:
    vessel, system = answer["provenance"]["vessel"]["name"], answer["units"]["system"]
    lines = [f"{vessel}: {answer['title']}", *folded(verdict_in_words(answer), "")]
    least = answer["least_stability_margin"]
    if least is not None:
        of_judged = " of what was judged" if answer["verdict"] == "incomplete" else ""
        of_judged += " at the start" if "plan" in answer else ""
        words_of_it = f"least stability margin{of_judged} {stability_margin(least, system)}: {least['title']}"
        lines += folded(words_of_it, "  ")
    if answer["load_line_margin"] is not None:
        lines.append(f"  {load_line_margin(answer['load_line_margin'], system, draft_limit_name(answer))}")
    for criterion in answer["criteria"]:
        if criterion["verdict"] == "fail" and criterion["counts"]:
            lines += folded(f"fail: {_failure(criterion)}", "  - ")
    for line in gaps_in_words(answer):
        lines += folded(line, "  - ")
    for group in undecided(answer):
        clauses = ", ".join(dict.fromkeys(criterion["clause"] for criterion in group["criteria"]))
        lines += folded(f"{words(group['verdict'])}: {clauses}: {group['reason']}", "  - ")
    return "\n".join(lines)


def _failure(criterion: Criterion) -> str:
    if criterion["attained"] is None or criterion["limit"] is None:
        return f"{criterion['title']}: {criterion['reason']}"
    attained = figure_in(criterion["attained"], criterion["unit"])
    return f"{criterion['title']}: {attained}, required {_required(criterion)}"


def verdict_in_words(answer: Assessment) -> str:
    """The verdict as a sentence with the count of dangers: how many fail, or what could not be checked; of a plan, its
    worst point."""
    plan = answer.get("plan")
    if plan is not None:
        return with_dangers(
            f"{_OVER[plan['verdict']]} THE {plan['kind'].upper()}: {worst_in_words(plan)}", answer["dangers"]
        )
    judged, phase = counted(answer), in_phase(answer.get("phase"))
    failed = sum(criterion["verdict"] == "fail" for criterion in judged)
    open_ones = sum(criterion["verdict"] not in ("pass", "fail") for criterion in judged)
    if answer["verdict"] == "fail":
        sentence = with_dangers(f"FAILS{phase.upper()} {failed} of {len(judged)} criteria", answer["dangers"])
        return sentence + (f"; {open_ones} not checked" if open_ones else "")
    if answer["verdict"] == "incomplete" and open_ones:
        sentence = (
            f"INCOMPLETE{phase}: {open_ones} of {len(judged)} criteria could not be checked, which is no pass"
        )
    elif answer["verdict"] == "incomplete":
        sentence = incomplete_in_words(answer).replace("Incomplete", "INCOMPLETE") + ", which is no pass"
    else:
        sentence = f"PASSES{phase.upper()} {len(judged)} criteria"
    return with_dangers(sentence, answer["dangers"])


def _tanks(answer: Assessment, system: UnitSystem) -> str:
    head = (
        "tank", "name", "contents", "state", "fill %", f"mass {unit('mass', system)}",
        f"moment {unit('mass_moment', system)}", f"GM loss {unit('lever', system)}", "reason",
    )  # fmt: skip
    reasons: dict[str, str] = {}
    rows = [
        [
            tank["tank"], tank["name"], words(tank["contents"]), _state(tank),
            number(tank["fill"], "percent", system), number(tank["mass"], "mass", system),
            *_moment(tank, system, reasons),
        ]
        for tank in answer["tanks"]
    ]  # fmt: skip
    rows += [
        [
            tank["tank"],
            tank["name"],
            words(tank["contents"]),
            "assumed",
            "",
            "",
            *_moment(tank, system, reasons),
        ]
        for tank in answer["assumed_free_surfaces"]
    ]
    notes = [line for reason, mark in reasons.items() for line in folded(reason, f"  {mark:>3}  ")]
    return "\n".join(["Tanks and their free surface", table(head, rows, "llllrrrrr"), *notes])


def _state(tank: TankResult) -> str:
    """Her state, and what her surface counts as where a rule counts it otherwise."""
    counted: str | None = tank["counted_as"]
    if counted is None or counted == tank["state"]:
        return words(tank["state"])
    return f"{words(tank['state'])}, counted as {words(counted)}"


def _moment(tank: TankResult | AssumedFreeSurface, system: UnitSystem, reasons: dict[str, str]) -> list[str]:
    """Moment (with what a rule leaves out), loss of GM and the number of the reason, which is printed once under the
    table."""
    moment = number(tank["free_surface_moment"], "mass_moment", system)
    exempt: Any = tank.get("exempt_moment")
    if exempt:
        moment = f"{moment} ({number(exempt, 'mass_moment', system)} left out)"
    return [
        moment,
        number(tank["gm_loss"], "lever", system),
        reasons.setdefault(tank["free_surface_reason"], f"({len(reasons) + 1})"),
    ]


def _weights(answer: Assessment, system: UnitSystem) -> str:
    head = ("", f"mass {unit('mass', system)}", "LCG", "VCG", f"TCG {unit('position', system)}")
    rows = []
    for part in answer["weights"]:
        centre = part["centre"]
        places = [centre["lcg"], centre["vcg"], centre["tcg"]] if centre else [None, None, None]
        rows.append([
            words(part["category"]), number(part["mass"], "mass", system),
            *(number(place, "position", system) for place in places),
        ])  # fmt: skip
    total = (answer["lcg"], answer["vcg_solid"], answer["tcg"])
    rows.append([
        "displacement", ANSWER_FIGURES["displacement"].number(answer),
        *(number(place, "position", system) for place in total),
    ])  # fmt: skip
    deadweight = ANSWER_FIGURES["deadweight"].text(answer)
    return f"Weights (deadweight {deadweight})\n" + table(head, rows, "lrrrr")


def _initial_stability(answer: Assessment, system: UnitSystem) -> str:
    stability, length = answer["stability"], unit("lever", system)
    moment, displacement = (
        ANSWER_FIGURES[name].text(answer) for name in ("free_surface_moment", "displacement")
    )
    notes = {
        "km": "",
        "vcg_solid": "solid",
        "gm_solid": "without the correction: KM \u2212 KG",
        "free_surface_correction": f"{moment} / {displacement}",
        "gm_corrected": "with the correction",
    }
    rows = [
        [ANSWER_FIGURES[name].label, ANSWER_FIGURES[name].number(answer), note]
        for name, note in notes.items()
    ]
    lines = [f"Initial stability ({length})", table((), rows, "lrl")]
    if stability["gm_corrected"] is None:
        lines += folded(not_computed_in_words(answer, "stability"), "  ")
    roll_period = ANSWER_FIGURES["roll_period_estimate"]
    lines.append(f"  {roll_period.label_within}: {roll_period.text(answer)}")
    if stability["angle_of_loll"] is not None:
        lines.append(
            f"  she lolls to {figure(abs(stability['angle_of_loll']), 'angle', system)}, either side"
        )
    bases = [
        [line["basis"], line["moment"], line["gm_corrected"], "judged" if line["judged"] else ""]
        for line in free_surface_lines(answer)
    ]
    head = ("free surface counted", "moment", "GM corrected", "")
    lines += ["", table(head, bases, "lrrl")]
    left_out = left_out_in_words(answer)
    if left_out:
        lines.append(f"  {left_out[0].lower()}{left_out[1:]}")
    return "\n".join(lines)


def _flotation(answer: Assessment, system: UnitSystem) -> str:
    flotation = answer["flotation"]
    drafts = [ANSWER_FIGURES[name] for name in ("draft_forward", "draft_midship", "draft_aft")]
    moulded = ", ".join(f"{row.label.removeprefix('Draft ')} {row.text(answer)}" for row in drafts)
    water = ANSWER_FIGURES["water_density"].text(answer)
    marks = ", ".join(
        f"{mark['name']} {figure(mark['draft'], 'draft', system)}" for mark in flotation["drafts_at_marks"]
    )
    lists = flotation["list"]
    unknown = not_computed_in_words(answer, "list") if lists["angle"] is None else ""
    lies = "by loll, to either side" if lists["side"] == "either" else list_in_words(lists["angle"])
    if unknown:
        lies = NOTHING
    if flotation["draft_midship"] is None:
        head = f"How she floats (water {water})"
        return "\n".join([head, *folded(not_computed_in_words(answer, "flotation"), "  ")])
    lines = [
        f"How she floats (water {water})",
        f"  drafts, moulded: {moulded}",
        f"  drafts at the marks: {marks or NOTHING}",
        f"  trim: {ANSWER_FIGURES['trim'].text(answer)};  list: {lies}",
        *(folded(unknown, "  ") if unknown else ()),
    ]
    return "\n".join(lines)


def _righting_lever(answer: Assessment, system: UnitSystem) -> str:
    curve = answer["righting_lever"]
    if curve is None:
        reason = not_computed_in_words(answer, "righting_lever")
        return "\n".join(folded(reason, "")) or "Righting lever: not computable from this booklet"
    flooding = curve["down_flooding"]
    if not flooding["known"]:
        flooded = "not known: the vessel document names no openings"
    elif flooding["angle"] is None:
        flooded = "none within the cross curves"
    else:
        flooded = f"{figure(flooding['angle'], 'angle', system)} ({flooding['name']})"
    areas = ";  ".join(
        f"{area['start']:g}° to {area['end']:g}° {figure(area['area'], 'lever_area', system)}"
        for area in curve["areas"]
    )
    end = curve["range_end"]
    lines = [
        f"Righting lever, to {curve['side']}, free surface included",
        f"  greatest that counts {ANSWER_FIGURES['maximum_lever'].text(answer)} at "
        f"{ANSWER_FIGURES['angle_of_maximum'].text(answer)};  levers count to "
        f"{ANSWER_FIGURES['range_end'].text(answer)}, {ENDS[end['reason']]}",
        *_beyond(curve, system),
        f"  down-flooding: {flooded};  deck edge: {ANSWER_FIGURES['deck_edge_angle'].text(answer)}",
        *(folded(f"area {areas}", "  ") if areas else ()),
    ]
    return "\n".join(lines)


def _beyond(curve: RightingLever, system: UnitSystem) -> list[str]:
    sentence = beyond_in_words(curve, system)
    return [f"  beyond that, which does not count: {sentence}"] if sentence else []


def _criteria(answer: Assessment) -> str:
    rows = [
        [
            words(criterion["verdict"]), criterion["clause"], _title_or_reason(criterion),
            figure_in(criterion["attained"], criterion["unit"]), _required(criterion),
            figure_in(criterion["margin"], criterion["unit"]),
        ]
        for criterion in answer["criteria"]
    ]  # fmt: skip
    head = ("verdict", "clause", "criterion", "attained", "required", "margin")
    return "Criteria\n" + table(head, rows, "lllrrr")


def _title_or_reason(criterion: Criterion) -> str:
    standing = standing_in_words(criterion)
    title = f"{criterion['title']} ({standing})" if standing else criterion["title"]
    return title if criterion["verdict"] in ("pass", "fail") else f"{title}: {criterion['reason']}"


def _required(criterion: Criterion) -> str:
    if criterion["limit"] is None:
        return NOTHING
    sign = "at least" if criterion["comparison"] == ">=" else "at most"
    return f"{sign} {figure_in(criterion['limit'], criterion['unit'])}"


def _findings(answer: Assessment) -> str:
    lines = []
    for finding in answer["findings"]:
        where = _TANK_LINE.match(finding["path"])
        about = f", {answer['tanks'][int(where[1])]['name']}" if where else ""
        lines += folded(f"{finding['severity']}{about}: {finding['message']}", "  - ")
    return "\n".join(["Findings", *(lines or ["  none"])])


def _provenance(answer: Assessment) -> str:
    provenance = answer["provenance"]
    rule_sets = "; ".join(f"{rules['document']} ({rules['edition']})" for rules in provenance["rule_sets"])
    lines = [
        *folded(f"Checked against: {rule_sets or 'no rule set'}.", ""),
        f"Free surface counted {words(provenance['free_surface_basis'])}; calculation version "
        f"{provenance['calculation_version']}.",
        "",
        *folded(answer["caution"], ""),
    ]
    return "\n".join(lines)
