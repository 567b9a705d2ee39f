"""A draft survey: drafts from the readings, the mean, and the sum of what the tables give."""

from service.core.draft_survey import WEIGHTS, DraftSurvey
from service.translation.working import survey_tables
from service.translation.working.given import Input, Inputs, Path
from service.translation.working.sources import Sources

SOURCE = "ECE/ENERGY/19"
MARKS = ("aft", "midship", "forward")


def write(a: Sources, survey: DraftSurvey | None) -> None:
    """Nodes of `draft_survey`."""
    s = a.sheet
    if survey is None or "draft_survey" not in s.answer or survey.mean_draft is None:
        return
    _drafts(a, survey)
    if survey.displacement is None:
        return
    survey_tables.write(a, survey)
    names = ("table_displacement", "first_trim_correction", "second_trim_correction", "list_correction")
    parts: list[Input] = [
        f"survey/{name}" for name in (*names, "density_correction") if s.has(f"survey/{name}")
    ]
    s.total(
        "survey/displacement", parts, name="displacement by the drafts", unit=s.unit("mass"),
        value=s.at(("draft_survey", "displacement")), path=("draft_survey", "displacement"), source=SOURCE,
    )  # fmt: skip
    s.add(
        "survey/difference", "expression", "D - W", {"D": "survey/displacement", "W": "displacement"},
        name="by the drafts less what is computed", unit=s.unit("mass"), path=("draft_survey", "difference"),
    )  # fmt: skip
    s.copy("survey/unknown", "survey/difference", path=("draft_survey", "unknown_weight", "mass"))


def _chosen(a: Sources) -> list[int] | None:
    """Aftermost, middle and foremost of the marks that were read, by their places in the vessel document."""
    ship = a.assessed.situation
    read = [
        (mark.x, i)
        for i, mark in enumerate(ship.vessel.draft_marks)
        if mark.name in ship.condition.observed_drafts
    ]
    read.sort()
    if len(read) < 3:
        return None
    half = 0.5 * ship.vessel.particulars.length_bp
    return [read[0][1], min(read[1:-1], key=lambda each: abs(each[0] - half))[1], read[-1][1]]


def _moulded(a: Sources, i: int, words: str) -> str:
    """What was read at a mark, the mean of both sides, less its keel offset."""
    s, mark = a.sheet, a.assessed.situation.vessel.draft_marks[i]
    place: Path = ("observed", "drafts", mark.name)
    offset = a.vessel.number(("draft_marks", i, "keel_offset"), "length", "reading less moulded draft")
    if a.condition.has((*place, "port")):
        inputs: Inputs = {
            "p": a.condition.number((*place, "port"), "length", f"read to port, {words}"),
            "s": a.condition.number((*place, "starboard"), "length", f"read to starboard, {words}"),
            "c": offset,
        }
        text = "(p + s) / 2 - c"
    else:
        inputs, text = {"r": a.condition.number(place, "length", f"read {words}"), "c": offset}, "r - c"
    value = a.assessed.condition.observed_drafts[mark.name] - mark.keel_offset
    return s.add(
        f"survey/mark/{words}", "expression", text, inputs, name=f"moulded draft at the {words} marks",
        unit=s.unit("length"), value=s.here(value, "length"), source=SOURCE,
    )  # fmt: skip


def _drafts(a: Sources, survey: DraftSurvey) -> None:
    s, chosen, path = a.sheet, _chosen(a), ("draft_survey",)
    if chosen is None:
        return
    unit = s.unit("length")
    drafts = {words: _moulded(a, i, words) for words, i in zip(MARKS, chosen, strict=True)}
    places = {
        words: a.vessel.number(("draft_marks", i, "x"), "x", f"place of the {words} marks")
        for words, i in zip(MARKS, chosen, strict=True)
    }
    length = a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars")
    ends: Inputs = {
        "T_a": drafts["aft"],
        "T_f": drafts["forward"],
        "x_a": places["aft"],
        "x_f": places["forward"],
    }
    s.add(
        "survey/apparent_trim", "expression", "T_a - T_f", {"T_a": drafts["aft"], "T_f": drafts["forward"]},
        name="trim between the outer marks", unit=unit, path=(*path, "apparent_trim"), source=SOURCE,
    )  # fmt: skip
    slope = "(T_a - T_f) / (x_f - x_a)"
    along: Inputs = {**ends, "L": length}
    middle: Inputs = {**along, "T_m": drafts["midship"], "x_m": places["midship"]}
    texts: tuple[tuple[str, str, Inputs], ...] = (
        ("draft_aft", f"T_a + {slope} * x_a", ends),
        ("draft_forward", f"T_f - {slope} * (L - x_f)", along),
        ("draft_midship", f"T_m + {slope} * (x_m - L / 2)", middle),
    )
    for name, text, inputs in texts:
        s.add(
            f"survey/{name}", "expression", text, inputs, name=f"{name.replace('_', ' ')} by the readings", unit=unit,
            path=(*path, name), source=SOURCE,
        )  # fmt: skip
    three: Inputs = {"A": "survey/draft_aft", "F": "survey/draft_forward", "M": "survey/draft_midship"}
    s.add(
        "survey/trim", "expression", "A - F", {"A": three["A"], "F": three["F"]}, name="trim by the readings",
        unit=unit, path=(*path, "trim"),
    )  # fmt: skip
    s.add(
        "survey/deflection", "expression", "M - (A + F) / 2", three, name="deflection, positive sagging", unit=unit,
        path=(*path, "deflection"),
    )  # fmt: skip
    outer, inner = WEIGHTS[survey.mean]
    s.add(
        "survey/mean_draft", "expression", f"({outer:g} * (F + A) + {inner:g} * M) / {2.0 * outer + inner:g}", three,
        name="mean draft", unit=unit, path=(*path, "mean_draft"), source=SOURCE,
    )  # fmt: skip
