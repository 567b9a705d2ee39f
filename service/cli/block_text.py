"""The blocks of an answer beside flotation and stability, as text: plan, load line, strength, drafts, ice, survey.

Each function gives nothing where the answer has no such block."""

from collections.abc import Sequence

from service.cli.columns import folded, table
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import NOTHING, Quantity, figure, figure_in, number, trim_in_words, unit, words
from service.wire.plan_answer import PlanAnswer, PlanPoint, WorstCriterion, WorstPoint
from service.wire.strength import BendingExtreme, ShearExtreme, StationResult

WORST = 8
"""Rows of the plan's worst criteria that are printed."""
_SURVEY = (
    ("mean draft", "mean_draft", "draft"),
    ("displacement in the tables", "table_displacement", "mass"),
    ("first trim correction", "first_trim_correction", "mass"),
    ("second trim correction", "second_trim_correction", "mass"),
    ("list correction", "list_correction", "mass"),
    ("density correction", "density_correction", "mass"),
    ("displacement by the drafts", "displacement", "mass"),
    ("less what is computed", "difference", "mass"),
)
"""Lines of a draft survey in the order of the work: label, member, quantity."""


def plan_text(answer: Assessment, system: UnitSystem) -> str:
    """Verdict of the plan, the load line over it, what is used, every point in a row, and the worst by criterion."""
    plan = answer.get("plan")
    if plan is None:
        return ""
    stages = {point["index"]: point for point in plan["points"]}
    head = ("at", "", "draft", "trim", f"GM {unit('lever', system)}", "load line", "strength", "verdict")
    rows = [_point(point, system) for point in plan["points"]]
    lines = [
        f"Plan ({plan['kind']}): {plan['verdict']}",
        *_plan_line(plan, system),
        *_used(plan, system),
        table(head, rows, "llrrrrrl"),
        "",
        "  least favourable by criterion",
        table((), [_worst(row, stages[row["point"]]) for row in _worst_first(plan)], "lrrl"),
    ]
    return "\n".join(lines)


def worst_in_words(plan: PlanAnswer) -> str:
    """The worst point of a plan in a sentence: the first that fails or is incomplete, or that all points pass."""
    for word in ("fail", "incomplete"):
        found = next((point for point in plan["points"] if point["verdict"] == word), None)
        if found is not None:
            clauses = found["failed"] if word == "fail" else found["not_checked"]
            titles = {row["criterion"]: row["title"] for row in plan["worst"]}
            what = "; ".join(dict.fromkeys(titles.get(id, id) for id in clauses)) or found["reason"] or ""
            told = "first fails" if word == "fail" else "is first incomplete"
            return f"{told} at {place_of(found)}: {what}"
    return f"all {len(plan['points'])} points pass"


def place_of(point: PlanPoint | WorstPoint) -> str:
    """A point of a plan: stage, its name, where in it, and the date or the day."""
    start = "the start" if point["stage"] == 0 else f"stage {point['stage']}, {point['name']}, {point['at']}"
    if point["date"] is not None:
        return f"{start} ({point['date'][:16].replace('T', ' ')} UTC)"
    return f"{start} (day {point['day']:g})" if point["day"] else start


def _point(point: PlanPoint, system: UnitSystem) -> list[str]:
    line, strength = point["load_line"], point["strength"]
    percents = [] if strength is None else [strength["percent_shear"], strength["percent_bending"]]
    used = max((each for each in percents if each is not None), default=None)
    where = "start" if point["stage"] == 0 else f"{point['stage']} {point['name']}: {point['at']}"
    when = point["date"][:10] if point["date"] is not None else f"day {round(point['day'], 2):g}"
    return [
        where,
        when,
        number(point["draft_midship"], "draft", system),
        number(point["trim"], "trim", system),
        number(point["gm_corrected"], "lever", system),
        NOTHING if line is None else number(line["margin"], "draft", system),
        NOTHING if used is None else f"{used:.0f} %",
        point["verdict"],
    ]


def _worst_first(plan: PlanAnswer) -> Sequence[WorstCriterion]:
    order = {"fail": 0, "not_computable": 1, "outside_validity": 1, "pass": 2, "not_applicable": 3}
    judged = [row for row in plan["worst"] if row["verdict"] != "not_applicable" and row["limit"] is not None]
    least = sorted(
        judged, key=lambda row: (order[row["verdict"]], row["percent"] if row["percent"] is not None else 0.0)
    )
    return least[:WORST]


def _worst(row: WorstCriterion, point: PlanPoint) -> list[str]:
    return [
        f"{words(row['verdict'])}: {row['title']}",
        figure_in(row["attained"], row["unit"]),
        figure_in(row["limit"], row["unit"]),
        place_of(point),
    ]


def _plan_line(plan: PlanAnswer, system: UnitSystem) -> list[str]:
    line = plan["load_line"]
    if line is None:
        return []
    more = line["more_to_load"]
    told = (
        f"{figure(more, 'mass', system)} more may be loaded at the start"
        if more >= 0.0
        else f"{figure(-more, 'mass', system)} must be left ashore"
    )
    under = line["days_to_line"]
    later = "" if under is None else f"; under the line again after {under:.1f} days"
    mark, point = line["limiting"]["load_line_mark"], plan["points"][line["limiting"]["point"]]
    return folded(f"load line: {told}; least under mark {mark} at {place_of(point)}{later}", "  ")


def _used(plan: PlanAnswer, system: UnitSystem) -> list[str]:
    lines = []
    for each in plan["consumption"]:
        what = words(each["contents"]) if each["contents"] is not None else each["weight"]
        last = each["lasts_days"]
        lasts = "" if last is None else f", enough for {last:.1f} days more"
        lines.append(
            f"  {what}: {figure(each['used'], 'mass', system)} used, {figure(each['left'], 'mass', system)} left{lasts}"
        )
    return lines


def load_line_text(answer: Assessment, system: UnitSystem) -> str:
    """The mark in force, the draft it permits here, hers, and what is left."""
    line = answer.get("load_line")
    if line is None:
        return ""
    mark = f"mark {line['mark']}" if line["mark"] is not None else "no mark named"
    pairs: list[tuple[str, float | None, Quantity]] = [
        ("permitted in this water", line["permitted_draft"], "lever"),
        ("hers amidships", line["draft_midship"], "lever"),
        (f"on the lower side ({line['low_side']})", line["draft_low_side"], "lever"),
        ("fresh water allowance", line["fresh_water_allowance"], "lever"),
    ]
    if line["deflection"]:
        pairs.insert(2, ("of which she sags", line["deflection"], "lever"))
    shown = [f"{label} {figure(value, quantity, system)}" for label, value, quantity in pairs]
    return "\n".join([f"Load line ({mark}): {line['statement'] or NOTHING}", *folded("; ".join(shown), "  ")])


def strength_text(answer: Assessment, system: UnitSystem) -> str:
    """Shear force and bending moment at the read-out points, and the extremes between them."""
    strength = answer.get("strength")
    if strength is None:
        return ""
    which = strength["set"]
    head = (
        "at", f"x {unit('position', system)}", f"shear {unit('mass', system)}", "% of its limit",
        f"bending {unit('mass_moment', system)}", "% of its limit",
    )  # fmt: skip
    rows = [_station(row, which, system) for row in strength["stations"]]
    extremes = strength["extremes"]
    named: tuple[tuple[str, ShearExtreme | BendingExtreme, Quantity], ...] = (
        ("greatest shear", extremes["shear_greatest"], "mass"),
        ("least shear", extremes["shear_least"], "mass"),
        ("hogging", extremes["bending_greatest"], "mass_moment"),
        ("sagging", extremes["bending_least"], "mass_moment"),
    )
    ends = [_extreme(label, each, quantity, system) for label, each, quantity in named]
    where = "at sea" if which == "sea" else "in harbour"
    return "\n".join([
        f"Longitudinal strength, limits {where} (hogging positive)",
        table(head, rows, "lrrrrr"),
        *folded("between them: " + "; ".join(ends), "  "),
    ])  # fmt: skip


def _station(row: StationResult, which: str, system: UnitSystem) -> list[str]:
    use = row["sea"] if which == "sea" else row["harbour"]
    shear = max((row["shear_force_aft"], row["shear_force_forward"]), key=abs)
    return [
        row["name"] or "",
        number(row["x"], "position", system),
        number(shear, "mass", system),
        number(use["percent_shear"], "percent", system),
        number(row["bending_moment"], "mass_moment", system),
        number(use["percent_bending"], "percent", system),
    ]


def _extreme(label: str, each: ShearExtreme | BendingExtreme, quantity: Quantity, system: UnitSystem) -> str:
    percent = "" if each["percent"] is None else f", {each['percent']:.0f} % of its limit"
    place = figure(each["x"], "position", system)
    return f"{label} {figure(each['value'], quantity, system)} at x {place}{percent}"


def drafts_text(answer: Assessment, system: UnitSystem) -> str:
    """Propeller, air draft, freeboard and the view ahead."""
    drafts = answer.get("drafts")
    if drafts is None:
        return ""
    parts = []
    if drafts["propeller_immersion"] is not None:
        parts.append(f"propeller immersion {drafts['propeller_immersion']:.0f} % (100: its tip awash)")
    if drafts["air_draft"] is not None:
        parts.append(
            f"air draft {figure(drafts['air_draft'], 'draft', system)} ({drafts['air_draft_point']})"
        )
    if drafts["freeboard_least"] is not None:
        parts.append(f"least freeboard {figure(drafts['freeboard_least'], 'draft', system)}")
    view = drafts["view"]
    if view is not None:
        hidden = view["hidden"]
        sea = "hidden to the horizon" if hidden is None else f"hidden for {figure(hidden, 'length', system)}"
        limit = "" if view["limit"] is None else f" (at most {figure(view['limit'], 'length', system)})"
        parts.append(f"sea ahead of the bow {sea}{limit}")
    return "\n".join(["Drafts and views", *folded("; ".join(parts), "  ")]) if parts else ""


def added_weights_text(answer: Assessment, system: UnitSystem) -> str:
    """What the service adds to what is aboard, and what the ice does."""
    added = answer.get("added_weights") or []
    if not added:
        return ""
    head = (
        "added by the service",
        "reason",
        f"mass {unit('mass', system)}",
        "LCG",
        f"VCG {unit('position', system)}",
    )
    rows = [
        [
            row["name"], words(row["reason"]), number(row["mass"], "mass", system),
            number(row["lcg"], "position", system), number(row["vcg"], "position", system),
        ]
        for row in added
    ]  # fmt: skip
    lines = [table(head, rows, "llrrr")]
    ice = answer.get("icing")
    if ice is not None:
        trim = NOTHING if ice["trim_change"] is None else trim_in_words(ice["trim_change"], system)
        lines += folded(
            f"ice, {ice['factor']:g} of the full allowance: {figure(ice['mass'], 'mass', system)}, GM less by "
            f"{figure(ice['gm_loss'], 'lever', system)}, deeper by {figure(ice['draft_increase'], 'draft', system)}, "
            f"trim changed by {trim}",
            "  ",
        )
    return "\n".join(lines)


def survey_text(answer: Assessment, system: UnitSystem) -> str:
    """A draft survey step by step, and the weight that nobody has listed."""
    survey = answer.get("draft_survey")
    if survey is None:
        return ""
    figures: dict[str, float | None] = {**survey}  # type: ignore[dict-item]
    rows = [
        [label, figure(figures[name], quantity, system)]  # type: ignore[arg-type]
        for label, name, quantity in _SURVEY
    ]
    lines = [f"Draft survey (mean: {words(survey['method'])})", table((), rows, "lr")]
    weight = survey["unknown_weight"]
    if weight is not None:
        at = (
            ""
            if weight["lcg"] is None
            else f", centre {figure(weight['lcg'], 'position', system)} from the aft perpendicular"
        )
        lines += folded(f"aboard and not listed: {figure(weight['mass'], 'mass', system)}{at}", "  ")
    for gap in survey["not_computed"]:
        lines += folded(f"{words(gap['figure'])} not computed: {gap['reason']}", "  ")
    return "\n".join(lines)
