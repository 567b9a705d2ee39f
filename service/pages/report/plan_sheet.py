"""The report of a whole plan as PDF: verdict, worst of each criterion, every point, consumption, record, signatures.

As many A4 sheets as it needs, the caution on each. The same revision and reviews give the same bytes.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from service.pages import wording
from service.pages.draft_amidships import amidships_at, deflection_at
from service.pages.drawings.verdict_mark import verdict_mark
from service.pages.drawings.voyage_plot import draft_plot, gm_plot, stages_of
from service.pages.plan_in_words import (
    findings_of_plan,
    has_days,
    load_line_in_words,
    stage_name,
    title_of,
    verdict_words_of_plan,
    worst_in_words,
    worst_of,
)
from service.pages.report.sheet import decision, record_lines, set_sheet, standing
from service.pages.report.tables import Cells, table
from service.pages.stage_in_words import stages_in_words
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import NOTHING, figure, figure_in, list_in_words, number, rounded, unit, words
from service.wire.review import Review

SIZE = 7.6
KIND = {"voyage": "voyage", "loading": "loading sequence", "discharging": "discharging sequence"}


def plan_report_of(
    record: dict[str, Any], reviews: Sequence[Review], latest: int, vessel: Mapping[str, Any] | None = None
) -> bytes:
    """The PDF of a revision that has a plan; the arguments as `report_of` takes them."""
    return set_sheet("voyage.typ", {**plan_data(record, reviews, latest, vessel), "size": SIZE})


def plan_data(
    record: dict[str, Any], reviews: Sequence[Review], latest: int, vessel: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Every word and figure of it, ready to be set."""
    answer: Assessment = record["assessment"]
    plan, ship = answer["plan"], answer["provenance"]["vessel"]["name"]
    made = datetime.fromisoformat(record["created"]).astimezone(UTC)
    names = {} if vessel is None else wording.tank_names(vessel)
    worst, kind = worst_of(plan), KIND[plan["kind"]]
    lines = [f"{worst_in_words(answer, worst)}."] if worst is not None else []
    lines += [line for line in (load_line_in_words(answer),) if line]
    points = f"{len(plan['points'])} points"
    if has_days(plan):
        points += f" over {plan['points'][-1]['day']:g} days"
    return {
        "title": f"{ship}: {kind}, {answer['title']}, revision {record['revision']}",
        "author": record["author"]["name"],
        "caution": answer["caution"],
        "date": [made.year, made.month, made.day, made.hour, made.minute, made.second],
        "ship": ship,
        "kind": kind,
        "condition": answer["title"],
        "standing": f"{standing(record, latest)} {points}.",
        "mark": str(verdict_mark(plan["verdict"], 0, standalone=True)),
        "verdict": verdict_words_of_plan(plan),
        "fails": plan["verdict"] == "fail",
        "lines": lines,
        "gm": {
            "svg": str(gm_plot(answer, standalone=True)),
            "words": "GM is not known at two points or more.",
        },
        "drafts": {
            "svg": str(draft_plot(answer, standalone=True)),
            "words": "Drafts are not known at two points or more.",
        },
        "points": _points(answer),
        "reasons": [
            f"{stage_name(plan, p['index'])}: {wording.sentence(p['reason'])}"
            for p in plan["points"]
            if p["reason"]
        ],
        "worst": _worst(answer),
        "consumption": _consumption(answer),
        "stages": stages_in_words(record["document"], names),
        "findings": findings_of_plan(plan),
        "decision": decision(reviews),
        "record": record_lines(record),
    }


def _columns(system: UnitSystem, *, days: bool, bends: bool) -> tuple[str, ...]:
    """Headings of the table of points; days: whether time passes, bends: whether she sags or hogs anywhere."""
    draft, lever = unit("draft", system), unit("lever", system)
    return (
        *(
            ">",
            "|verdict",
            "<point",
            *([">day"] if days else []),
            f">GM, {lever}",
            ">needs",
            ">margin",
            f">aft / fwd, {draft}",
        ),
        *([">amidships, with sag or hog"] if bends else []),
        *(">trim", ">list", ">to the mark", f">Δ, {unit('mass', system)}"),
        *(f">free surface, {unit('mass_moment', system)}", ">strength, %"),
    )


def _points(answer: Assessment) -> Cells:
    """A line a point; the worst one strong."""
    system, plan = answer["units"]["system"], answer["plan"]
    worst, days = worst_of(plan), has_days(plan)
    bends = any(deflection_at(point) for point in plan["points"])
    rows = []
    for stage in stages_of(answer):
        p, needs = stage.point, stage.needs
        gm = p["gm_corrected"]
        line = p["load_line"]
        mark = p["load_line_mark"] or ""
        strength = p["strength"]
        used = NOTHING
        if strength is not None:
            percents = (strength["percent_shear"], strength["percent_bending"])
            used = " / ".join(rounded(percent, 0) for percent in percents)
        rows.append(
            (
                str(p["index"]),
                words(p["verdict"]),
                stage_name(plan, p["index"]),
                *([f"{p['day']:g}"] if days else []),
                number(gm, "lever", system),
                number(needs, "lever", system),
                NOTHING if gm is None or needs is None else number(gm - needs, "lever", system),
                f"{number(p['draft_aft'], 'draft', system)} / {number(p['draft_forward'], 'draft', system)}",
                *([amidships_at(p, system)] if bends else []),
                number(p["trim"], "trim", system),
                NOTHING if p["list"] is None else list_in_words(p["list"]),
                NOTHING if line is None else f"{mark} {number(line['margin'], 'draft', system)}".strip(),
                number(p["displacement"], "mass", system),
                number(p["free_surface_moment"], "mass_moment", system),
                used,
            )
        )
    columns = _columns(system, days=days, bends=bends)
    strong = [] if worst is None else [worst["point"]]
    strong += [p["index"] for p in plan["points"] if p["verdict"] == "fail"]
    return table(columns, rows, strong)


def _worst(answer: Assessment) -> Cells:
    plan = answer["plan"]
    asked = [row for row in plan["worst"] if row["verdict"] != "not_applicable"]
    rows = [
        (
            words(row["verdict"]),
            title_of(answer, row),
            figure_in(row["attained"], row["unit"]),
            figure_in(row["limit"], row["unit"]),
            figure_in(row["margin"], row["unit"]),
            f"{row['point']} {stage_name(plan, row['point'])}",
        )
        for row in asked
    ]
    strong = [i for i, row in enumerate(asked) if row["verdict"] == "fail"]
    return table(("|verdict", "<criterion", ">attained", ">limit", ">margin", "|where"), rows, strong)


def _consumption(answer: Assessment) -> Cells:
    system = answer["units"]["system"]
    rows = [
        (
            words(c["contents"]).capitalize() if c["contents"] else c["weight"] or "",
            figure(c["used"], "mass", system),
            figure(c["left"], "mass", system),
            NOTHING if c["lasts_days"] is None else f"{rounded(c['lasts_days'], 1)} days more",
        )
        for c in answer["plan"]["consumption"]
    ]
    return table(("<what", ">used", ">left", ">lasts"), rows)
