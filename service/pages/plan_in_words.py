"""A plan in words: the verdict over its stages and the worst of them."""

from typing import Any

from service.pages.pictures import short_name
from service.translation.finding_kinds import list_finding_kinds
from service.wire.assessment import Assessment
from service.wire.figures import figure, figure_in, rounded, words
from service.wire.plan_answer import PlanAnswer, PlanPoint, WorstCriterion
from service.wire.verdict_words import draft_margin

_SEVERITY = {"fail": 0, "not_computable": 1, "outside_validity": 1, "pass": 2, "not_applicable": 3}


def stage_name(plan: PlanAnswer, index: int) -> str:
    """What a point is called: its stage and what happens there."""
    point = plan["points"][index]
    if point["kind"] == "start":
        return f"{point['name']} begins" if point["stage"] else point["name"] or "Start"
    at = {"season": "change of season", "before season": "before the change of season"}.get(
        point["at"], point["at"]
    )
    return f"{point['name']} ends" if point["kind"] == "end" else f"{point['name']}, {at}"


def has_days(plan: PlanAnswer) -> bool:
    """Whether time passes in the plan; a sequence of loading stages may have none."""
    return any(point["day"] > 0.0 for point in plan["points"])


def worst_of(plan: PlanAnswer) -> WorstCriterion | None:
    """The least favourable judgement over the whole plan: a failure first, else the least margin in percent of its
    limit; None where nothing was judged."""
    rows = [w for w in plan["worst"] if w["verdict"] != "not_applicable"]

    def rank(row: WorstCriterion) -> tuple[int, float]:
        percent = row["percent"]
        return _SEVERITY[row["verdict"]], float("inf") if percent is None else percent

    return min(rows, key=rank, default=None)


def verdict_words_of_plan(plan: PlanAnswer) -> str:
    """The verdict set large: "Passes at every stage", "Fails at 2 of 9 points"."""
    points = plan["points"]
    if plan["verdict"] == "pass":
        return "Passes at every stage"
    failed = sum(p["verdict"] == "fail" for p in points)
    if failed:
        return f"Fails at {failed} of {len(points)} points"
    unknown = sum(p["verdict"] == "incomplete" for p in points)
    return f"Incomplete at {unknown} of {len(points)} points"


def title_of(answer: Any, row: WorstCriterion) -> str:
    """The short name of a criterion of the plan."""
    known = next((c for c in answer["criteria"] if c["id"] == row["criterion"]), None)
    return row["title"] if known is None else short_name(known)


def worst_in_words(answer: Any, row: WorstCriterion) -> str:
    """Where the worst is and what it is: "Worst at Arrival ends, day 13.0: GM ... 0.437 m against 0.405 m"."""
    point: PlanPoint = answer["plan"]["points"][row["point"]]
    place = stage_name(answer["plan"], row["point"])
    if has_days(answer["plan"]):
        place += f", day {point['day']:g}"
    if row["attained"] is None or row["limit"] is None:
        return f"{title_of(answer, row)} is not known at {place}"
    size = None if row["margin"] is None else abs(row["margin"])
    is_draft = size is not None and row["criterion"].startswith("load-lines-")
    margin = (
        draft_margin(size or 0.0, answer["units"]["system"]) if is_draft else figure_in(size, row["unit"])
    )
    word = "to spare"
    if row["verdict"] == "fail":
        word = "too much" if row["attained"] > row["limit"] else "short"
    return (
        f"Worst at {place}: {title_of(answer, row)} {figure_in(row['attained'], row['unit'])} against "
        f"{figure_in(row['limit'], row['unit'])}, {margin} {word}"
    )


def plan_leads(answer: Assessment) -> list[str]:
    """What stands under the verdict of a plan that does not pass: its worst, and what must stay ashore; empty for a
    plan that passes, and without one."""
    plan = answer.get("plan")
    if not plan or plan["verdict"] == "pass":
        return []
    worst = worst_of(plan)
    lines = [] if worst is None else [f"{worst_in_words(answer, worst)}."]
    line = plan["load_line"]
    if line is not None and line["more_to_load"] < 0.0:
        lines.append(load_line_in_words(answer))
    return lines


def plan_in_words(answer: Assessment) -> str:
    """The plan as two sentences: verdict and worst; what may still be loaded."""
    plan = answer["plan"]
    parts = [f"{verdict_words_of_plan(plan)}."]
    worst = worst_of(plan)
    if worst is not None:
        parts.append(f"{worst_in_words(answer, worst)}.")
    return " ".join([*parts, load_line_in_words(answer)]).strip()


def load_line_in_words(answer: Assessment) -> str:
    """What may still be loaded at departure by the load line over the whole plan; empty where none is judged."""
    line = answer["plan"]["load_line"]
    if line is None:
        return ""
    more, system = line["more_to_load"], answer["units"]["system"]
    what = "may still be loaded" if more >= 0.0 else "must stay ashore"
    return f"By the load line {figure(abs(more), 'mass', system)} {what} at departure."


def findings_of_plan(plan: PlanAnswer) -> list[str]:
    """What is pointed out at the points besides the criteria: each in its words, with the numbers of its points."""
    kinds = {kind["code"]: kind for kind in list_finding_kinds()["items"]}
    places: dict[str, list[str]] = {}
    for point in plan["points"]:
        for code in dict.fromkeys(point["findings"]):
            places.setdefault(code, []).append(str(point["index"]))
    found = []
    for code, numbers in places.items():
        kind = kinds.get(code)
        said = kind["words"].rstrip(".") if kind is not None and "{" not in kind["words"] else words(code)
        where = "at every point" if len(numbers) == len(plan["points"]) else f"at {', '.join(numbers)}"
        found.append(f"{said[:1].upper()}{said[1:]}: {where}.")
    return found


def tanks_that_changed(start: Assessment, there: Assessment) -> list[tuple[str, float, float]]:
    """Tanks whose mass at a point differs from that at the start: name, mass then, mass there; the greatest first."""
    before = {t["tank"]: t["mass"] for t in start["tanks"]}
    after = {t["tank"]: t["mass"] for t in there["tanks"]}
    names = {t["tank"]: t["name"] for t in (*start["tanks"], *there["tanks"])}
    changed = [(name, before.get(id, 0.0), after.get(id, 0.0)) for id, name in names.items()]
    seen = [row for row in changed if rounded(row[1], 1) != rounded(row[2], 1)]
    return sorted(seen, key=lambda row: -abs(row[2] - row[1]))
