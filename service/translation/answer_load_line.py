"""The load line as the wire shows it, with a sentence for whoever watches the mark."""

from math import floor
from typing import Any

from service.core.assessment import Assessment as Assessed
from service.core.load_line_figures import LoadLineFigures, MarkFigures, load_line_figures
from service.translation.units import METRIC, Scale

Row = dict[str, Any]
INCHES_A_FOOT = 12.0


def load_line_member(a: Assessed, s: Scale) -> Row:
    """The member `load_line` of an answer; nothing where her booklet gives no mark or her drafts are not known."""
    found = load_line_figures(a.situation)
    return {} if found is None else {"load_line": _load_line(found, s)}


def _load_line(found: LoadLineFigures, s: Scale) -> Row:
    length = s.length
    return {
        "mark": found.mark,
        "mark_source": "none" if found.mark is None else "condition",
        "method": found.method,
        "permitted_draft": _scaled(found.permitted, length),
        "permitted_draft_exact": _scaled(found.permitted_exactly, length),
        "fresh_water_allowance": _scaled(found.allowance, length),
        "draft_midship": found.draft_midship / length,
        "deflection": found.deflection / length,
        "draft_low_side": _scaled(found.draft_low_side, length),
        "low_side": {1: "port", -1: "starboard", 0: "none"}[found.side],
        "margin": _scaled(found.margin, length),
        "margin_exact": _scaled(found.margin_exactly, length),
        "mass_to_line": _scaled(found.mass_to_line, s.mass),
        "statement": statement(found.margin, found.mass_to_line, s),
        "marks": [_mark(mark, s) for mark in found.marks],
    }


def _mark(mark: MarkFigures, s: Scale) -> Row:
    return {
        "mark": mark.mark,
        "draft": mark.draft / s.length,
        "permitted_draft": _scaled(mark.permitted, s.length),
        "displacement": _scaled(mark.displacement, s.mass),
        "deadweight": _scaled(mark.deadweight, s.mass),
        "origin": "worked_out" if mark.worked_out else "booklet",
        "from_memory": mark.from_memory,
    }


def statement(margin: float | None, mass: float | None, s: Scale) -> str | None:
    """What is left or too much, in mm and t, or tenths of an inch and LT, rounded half up: "31 mm, 64 t still to load";
    None where there is no margin (m, t)."""
    if margin is None:
        return None
    per_unit, unit, decimals, ton = 1000.0, "mm", 0, "t"
    if s is not METRIC:
        per_unit, unit, decimals, ton = INCHES_A_FOOT / s.length, "in", 1, "LT"
    size = half_up(abs(margin) * per_unit, decimals)
    if abs(margin) <= 1e-9:
        return "at the line"
    if size == 0.0:
        least = "1 mm" if decimals == 0 else "0.1 in"
        return f"less than {least} over" if margin < 0.0 else "at the line"
    tons = "" if mass is None else f", {half_up(abs(mass) / s.mass, 0):.0f} {ton}"
    return f"{size:.{decimals}f} {unit}{tons} {'over' if margin < 0.0 else 'still to load'}"


def half_up(value: float, decimals: int) -> float:
    """A positive number rounded half up; what rounding of the sums left below a half counts as one."""
    scale = 10.0**decimals
    return floor(value * scale + 0.5 + 1e-9) / scale


def _scaled(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit
