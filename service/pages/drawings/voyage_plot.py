"""A plan over its points: GM with what it needs as a band, drafts with the mark in force."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from service.pages.draft_amidships import deflection_at
from service.pages.drawings.label_places import LabelPlaces, around
from service.pages.drawings.svg import Anchor, Point, Sheet, decimals_of, ticks
from service.wire.assessment import Assessment
from service.wire.figures import number, rounded, unit
from service.wire.plan_answer import PlanAnswer, PlanPoint

WIDTH = 360.0
LEFT, RIGHT, TOP, BOTTOM = 38.0, 338.0, 34.0, 176.0
HEIGHT = BOTTOM + 40.0
APART = 46.0
"""Figures nearer to one another than this would touch."""
GM_KEYS = ("gm", "positive_gm", "gm_corrected", "vcg")


@dataclass(frozen=True)
class Stage:
    """One point of the plan as it is drawn; needs: the greatest GM that a criterion asks for there."""

    place: float
    point: PlanPoint
    needs: float | None


def stages_of(answer: Assessment) -> list[Stage]:
    """The points that could be assessed, at their days, or one after the other where no days pass."""
    plan: PlanAnswer = answer["plan"]
    keys = {c["id"] for c in answer["criteria"] if c["key"] in GM_KEYS}
    points = plan["points"]
    by_day = len({p["day"] for p in points}) > len(points) / 2
    found = []
    for point in points:
        gm = point["gm_corrected"]
        margins = [margin for id, margin in point["margins"].items() if id in keys]
        needs = None if gm is None or not margins else gm - min(margins)
        found.append(Stage(point["day"] if by_day else float(point["index"]), point, needs))
    return found


@dataclass(frozen=True)
class _Frame:
    first: float
    last: float
    low: float
    high: float

    def at(self, place: float, value: float) -> Point:
        span = (self.last - self.first) or 1.0
        x = LEFT + 14.0 + (RIGHT - LEFT - 28.0) * (place - self.first) / span
        return x, BOTTOM - (BOTTOM - TOP) * (value - self.low) / (self.high - self.low)


def _frame(stages: Sequence[Stage], values: Sequence[float]) -> _Frame:
    low, high = min(values), max(values)
    pad = 0.22 * ((high - low) or 0.1)
    return _Frame(stages[0].place, stages[-1].place, low - pad, high + pad)


def labelled(stages: Sequence[Stage], frame: _Frame, worst: int | None) -> list[int]:
    """Places in `stages` that have their figures written, in this order: the worst, the last, the first, then others
    that are far enough from them. Of several at one day it is one."""
    last = len(stages) - 1
    wanted = [*([] if worst is None else [worst]), last, 0, *range(1, last)]
    chosen: list[int] = []
    for i in wanted:
        x, _ = frame.at(stages[i].place, 0.0)
        if all(abs(x - frame.at(stages[c].place, 0.0)[0]) >= APART for c in chosen):
            chosen.append(i)
    return chosen


def gm_plot(answer: Assessment, *, name: str = "plan-gm", standalone: bool = False) -> Markup:
    """GM at every point, what it needs dashed, the band between them the margin; empty where no point has GM."""
    stages = [s for s in stages_of(answer) if s.point["gm_corrected"] is not None]
    if len(stages) < 2:
        return Markup("")
    system = answer["units"]["system"]
    gms = [s.point["gm_corrected"] or 0.0 for s in stages]
    needs = [s.needs for s in stages]
    frame = _frame(stages, [*gms, *(n for n in needs if n is not None)])
    worst = _worst(gms, needs)
    words = f"GM from {number(gms[0], 'lever', system)} to {number(gms[-1], 'lever', system)}"
    if worst is not None:
        margin = gms[worst] - (needs[worst] or 0.0)
        words += f"; least margin {number(margin, 'lever', system)} at {stages[worst].point['name']}"
    sheet = Sheet(
        WIDTH,
        HEIGHT,
        name=name,
        title="GM and what it needs",
        description=f"{words}.",
        kind="plan",
        standalone=standalone,
    )
    curve = [frame.at(s.place, gm) for s, gm in zip(stages, gms, strict=True)]
    needed = [
        None if need is None else frame.at(s.place, need) for s, need in zip(stages, needs, strict=True)
    ]
    lower = [at for at in needed if at is not None]
    if len(lower) == len(curve):
        sheet.polygon([*curve, *reversed(lower)], "wash")
    places = LabelPlaces(WIDTH, [curve, lower])
    _axes(sheet, frame, f"GM, {unit('lever', system)}", places)
    sheet.polyline(curve, "accent")
    sheet.polyline(lower, "before")
    chosen = labelled(stages, frame, worst)
    for i in chosen:
        below = needed[i]
        if below is not None:
            sheet.line(curve[i], below, "fat" if i == worst else "hair")
        _mark(sheet, places, curve[i])
    for i in chosen:
        short, below = gms[i] < (needs[i] or 0.0), needed[i]
        _place(sheet, places, curve[i], rounded(gms[i], 3), "label-bold", above=not short)
        if below is not None:
            _place(sheet, places, below, rounded(needs[i] or 0.0, 3), "label", above=short)
        _stage_label(sheet, stages, i, curve[i][0], places)
    if worst is not None:
        _margin_label(sheet, curve[worst][0], gms[worst] - (needs[worst] or 0.0))
    return sheet.markup()


def _worst(gms: Sequence[float], needs: Sequence[float | None]) -> int | None:
    """The point with the least margin; None where nothing is needed anywhere."""
    known = [(gm - need, i) for i, (gm, need) in enumerate(zip(gms, needs, strict=True)) if need is not None]
    return min(known)[1] if known else None


def _margin_label(sheet: Sheet, x: float, margin: float) -> None:
    """The least margin, under the point that has it."""
    words = f"{'short' if margin < 0.0 else 'least'}: {rounded(abs(margin), 3)}"
    sheet.text((min(max(x, LEFT + 14.0), WIDTH - 50.0), BOTTOM + 32), words, "label-bold", "middle")


def _mark(sheet: Sheet, places: LabelPlaces, at: Point, *, square: bool = False) -> None:
    """An open mark on a curve: a circle, or a square."""
    if square:
        sheet.rectangle((at[0] - 3.0, at[1] - 3.0), 6.0, 6.0, "open")
    else:
        sheet.circle(at, 3.0, "open")
    places.take_mark(at, 3.0)


def _place(sheet: Sheet, places: LabelPlaces, at: Point, words: str, tone: str, *, above: bool) -> None:
    """A figure beside its point, where there is room for it."""
    found = places.place(words, around(at, above=above), bold=tone == "label-bold")
    if found is not None:
        sheet.text(found[0], words, tone, found[1])


def draft_plot(answer: Assessment, *, name: str = "plan-drafts", standalone: bool = False) -> Markup:
    """Drafts aft and forward, amidships dashed, and the draft that the mark permits; empty where none is known."""
    stages = [s for s in stages_of(answer) if s.point["draft_midship"] is not None]
    if len(stages) < 2:
        return Markup("")
    system = answer["units"]["system"]
    lines = {
        name: [s.point[f"draft_{name}"] or 0.0 for s in stages]  # type: ignore[literal-required]
        for name in ("aft", "midship", "forward")
    }
    bends = [deflection_at(s.point) for s in stages]
    lines["midship"] = [draft + bend for draft, bend in zip(lines["midship"], bends, strict=True)]
    permitted = [
        None if s.point["load_line"] is None else s.point["load_line"]["permitted_draft"] for s in stages
    ]
    frame = _frame(stages, [*lines["aft"], *lines["forward"], *(p for p in permitted if p is not None)])
    sheet = Sheet(
        WIDTH,
        HEIGHT,
        name=name,
        title="Drafts",
        description=f"Draft aft from {number(lines['aft'][0], 'draft', system)} to "
        f"{number(lines['aft'][-1], 'draft', system)}, forward from "
        f"{number(lines['forward'][0], 'draft', system)} to {number(lines['forward'][-1], 'draft', system)}.",
        kind="plan",
        standalone=standalone,
    )
    drawn = {
        name: [frame.at(s.place, v) for s, v in zip(stages, values, strict=True)]
        for name, values in lines.items()
    }
    places = LabelPlaces(WIDTH, [*drawn.values(), *_mark_steps(frame, stages, permitted)])
    _axes(sheet, frame, f"draft, {unit('draft', system)}", places)
    for name, tone in (("aft", "accent"), ("forward", "accent"), ("midship", "before")):
        sheet.polyline(drawn[name], tone)
    chosen = labelled(stages, frame, None)
    for i in chosen:
        for name in ("aft", "forward"):
            _mark(sheet, places, drawn[name][i], square=name == "forward")
    _mark_line(sheet, frame, stages, permitted, places)
    for i in chosen:
        for name in ("aft", "forward"):
            above = (name == "aft") is (lines["aft"][i] >= lines["forward"][i])
            _place(sheet, places, drawn[name][i], rounded(lines[name][i], 2), "label-halo", above=above)
        _stage_label(sheet, stages, i, drawn["aft"][i][0], places)
    drawn_as = "round aft, square forward, dashed amidships with sag or hog"
    words = drawn_as if any(bends) else "circles aft, squares forward, dashed amidships"
    sheet.text((2.0, BOTTOM + 32), words, "label-quiet")
    return sheet.markup()


def _mark_steps(
    frame: _Frame, stages: Sequence[Stage], permitted: Sequence[float | None]
) -> list[tuple[Point, Point]]:
    """What the mark in force permits, a level line for each point that has one."""
    steps = []
    for i, (stage, draft) in enumerate(zip(stages, permitted, strict=True)):
        if draft is None:
            continue
        end = stages[i + 1].place if i + 1 < len(stages) else stage.place
        (x, y), (right, _) = frame.at(stage.place, draft), frame.at(end, draft)
        steps.append(((LEFT if i == 0 else x, y), (RIGHT if i + 1 == len(stages) else right, y)))
    return steps


def _mark_line(
    sheet: Sheet,
    frame: _Frame,
    stages: Sequence[Stage],
    permitted: Sequence[float | None],
    places: LabelPlaces,
) -> None:
    """What the mark in force permits; each mark and draft named once, where its first line begins."""
    said: set[str] = set()
    marked = [(stage, draft) for stage, draft in zip(stages, permitted, strict=True) if draft is not None]
    for (stage, draft), (start, end) in zip(marked, _mark_steps(frame, stages, permitted), strict=True):
        sheet.line(start, end, "ink")
        words = f"{stage.point['load_line_mark'] or 'mark'} {rounded(draft, 2)}"
        x, y = start
        wanted: list[tuple[Point, Anchor]] = [
            ((x + 4.0 + step, y + dy), "start") for step in (0.0, 40.0, 80.0) for dy in (-4.0, 13.0, -16.0)
        ]
        found = places.place(words, wanted) if words not in said else None
        if found is not None:
            sheet.text(found[0], words, "label-halo")
            said.add(words)


def _stage_label(sheet: Sheet, stages: Sequence[Stage], i: int, x: float, places: LabelPlaces) -> None:
    """The day under the axis, or the number of the point where points stand one after the other."""
    point = stages[i].point
    by_day = all(stage.place == stage.point["day"] for stage in stages)
    words = f"day {rounded(point['day'], 0)}" if by_day else str(point["index"])
    if places.place(words, [((x, BOTTOM + 15), "middle")]) is not None:
        sheet.text((x, BOTTOM + 15), words, "label-quiet", "middle")


def _axes(sheet: Sheet, frame: _Frame, title: str, places: LabelPlaces) -> None:
    levels = ticks(frame.low, frame.high, 4)
    for level in levels:
        _, y = frame.at(frame.first, level)
        sheet.line((LEFT, y), (RIGHT, y), "grid")
        words = rounded(level, decimals_of(levels))
        sheet.text((LEFT - 4, y + 3.5), words, "label-quiet", "end")
        places.take((LEFT - 4, y + 3.5), words, "end")
    sheet.text((2, TOP - 12), title, "label-quiet")
    places.take((2, TOP - 12), title)
