"""What clauses measure, what their limits and details are: by key, the same in every document."""

from collections.abc import Callable
from math import radians

from service.core.rules.afloat import lowest_opening
from service.translation.answer_criteria import unit_in
from service.translation.working import (
    beam_wind,
    containership,
    drafts,
    grain,
    load_lines,
    openings,
    operations,
    ship_types,
    strength,
    weather,
)
from service.translation.working.clause import Clause
from service.translation.working.given import Inputs

Find = Callable[[Clause], str | None]


def _area(first: float, last: float) -> Find:
    def find(clause: Clause) -> str:
        s, side = clause.sheet, clause.heeled.side
        usable = clause.measures.usable
        assert usable is not None
        if usable <= first:
            zero = s.constant("the usable part ends before", 0.0, clause_unit(clause))
            return s.copy(f"{clause.id}/nothing", zero, name="area")
        start = clause.curve.angle(first)
        return _in_document(clause, clause.curve.area_between(start, clause.end(last), side))

    return find


def clause_unit(clause: Clause) -> str:
    """The unit of the attained figure in the answer."""
    return str(clause.sheet.at(("criteria", clause.k, "unit")))


def _in_document(clause: Clause, area: str) -> str:
    """An area in the angle of its document: degrees for some."""
    s = clause.sheet
    if not clause.criterion.row.unit.endswith("degree"):
        return area
    return s.add(
        f"{area}/degrees", "expression", "A / rad",
        {"A": area, "rad": s.constant("radians a degree", radians(1.0), "rad")}, name="area in degrees",
        unit=clause_unit(clause), value=s.value(area) / radians(1.0),
    )  # fmt: skip


def _area_to_maximum(clause: Clause) -> str | None:
    angle = clause.greatest()
    if angle is None:
        return None
    degrees = clause.criterion.row.unit.endswith("degree")
    if not degrees and clause.sheet.value(angle) > 30.0:
        angle = clause.curve.angle(30.0)
    return _in_document(clause, clause.curve.area(angle, clause.heeled.side))


def _area_to_least_angle(clause: Clause) -> str | None:
    end = ship_types.end_of_area(clause, "")
    if end is None:
        return None
    s = clause.sheet
    at = clause.curve.angle(s.value(end)) if s.value(end) != clause.measures.angle_of_greatest else end
    return _in_document(clause, clause.curve.area(at, clause.heeled.side))


def _area_to_maximum_limit(clause: Clause) -> str | None:
    angle, s = clause.greatest(), clause.sheet
    if angle is None:
        return None
    degrees = clause.criterion.row.unit.endswith("degree")
    base, more = (3.15, 0.057) if degrees else (0.055, 0.001)
    required = clause.criterion.required
    factor, _ = unit_in(clause.criterion.row.unit, s.scale)
    assert required is not None
    return s.add(
        f"{clause.id}/required", "expression", f"f * ({base} + {more} * (30 - min(max(phi, 15), 30)))",
        {"phi": angle, "f": s.constant("answer's units a unit of the document", factor)}, name="area required",
        unit=clause_unit(clause), value=required * factor, source=clause.criterion.row.source,
    )  # fmt: skip


def _greatest_lever(clause: Clause) -> str | None:
    s, found = clause.sheet, clause.measures.greatest_from(30.0)
    if found is None:
        return None
    _lever, angle = found
    if clause.measures.flooding is not None and clause.measures.flooding <= 30.0:
        return s.copy(f"{clause.id}/nothing", s.constant("an opening floods before", 0.0, s.unit("length")))
    if angle == 30.0:
        node = clause.curve.angle(30.0)
    elif angle == clause.measures.curve.angle_of_maximum:
        side = "port" if clause.heeled.side > 0.0 else "starboard"
        node = clause.curve.greatest(
            f"greatest/whole/{side}", angle, clause.heeled.side, "angle of the greatest lever"
        )
    elif angle == clause.measures.usable:
        node = clause.end(angle + 1.0)
    else:
        node = clause.curve.angle(angle)
    return clause.curve.lever(node, clause.heeled.side)


def _gm(clause: Clause) -> str | None:
    return "gm_corrected" if clause.sheet.has("gm_corrected") else None


def _equilibrium(clause: Clause) -> str | None:
    s = clause.sheet
    if not s.has("list"):
        return None
    return s.add(
        f"{clause.id}/angle", "expression", "abs(phi)", {"phi": "list"}, name="angle she rests at", unit="degree",
        value=abs(s.value("list")),
    )  # fmt: skip


def _opening_height(clause: Clause) -> str | None:
    found, ship = lowest_opening(clause.a.assessed.situation), clause.a.assessed.situation
    if found is None or ship.rest.list_angle is None:
        return None
    height, opening = found
    value = clause.sheet.at(("criteria", clause.k, "attained"))
    heel = abs(ship.rest.list_angle)
    for side in (1.0, -1.0):
        assert ship.flotation is not None
        if opening.height_at_rest(ship.flotation, ship.waterplane, side, heel) == height:
            return openings.height_at_rest(clause.a, opening, height, side, value)
    return None


def _gm_limit(clause: Clause) -> str | None:
    """The ship's own curve at her draft, the severest of the trim ranges that hold."""
    s, a, ship = clause.sheet, clause.a, clause.a.assessed.situation
    assert ship.flotation is not None
    scale, factor_length = a.vessel.frame.scale, s.scale.length
    found: dict[str, str] = {}
    values: list[float] = []
    for n, limit in enumerate(a.vessel.document.get("gm_limits") or ()):
        if not clause.criterion.row.title.endswith(f": {limit['name']}") or (limit["basis"] == "min_gm") != (
            clause.criterion.row.key == "gm"
        ):
            continue
        ranges: dict[tuple[float, float], list[int]] = {}
        for i, row in enumerate(limit["rows"]):
            low, high = row.get("trim_from"), row.get("trim_to")
            key = (float("-inf") if low is None else low, float("inf") if high is None else high)
            ranges.setdefault(key, []).append(i)
        for (low, high), rows in ranges.items():
            if not low * scale.length - 1e-9 <= ship.flotation.trim <= high * scale.length + 1e-9:
                continue
            drafts = [limit["rows"][i]["draft"] * scale.length for i in rows]
            draft = ship.flotation.draft_midship
            if not drafts[0] <= draft <= drafts[-1]:
                continue
            node = _row_of_limit(clause, n, rows, drafts, draft)
            found[f"a{len(found) + 1}"] = node
            values.append(s.value(node))
    if not found:
        return None
    which = "max" if clause.criterion.row.key == "gm" else "min"
    required = clause.criterion.required
    assert required is not None
    if len(found) == 1:
        return found["a1"]
    return s.add(
        f"{clause.id}/severest", "choice", f"{which}({', '.join(found)})", dict(found),
        name="the severest of the curves that hold", unit=s.unit("length"), value=required / factor_length,
        source="SOLAS II-1/5-1",
    )  # fmt: skip


def _row_of_limit(clause: Clause, n: int, rows: list[int], drafts: list[float], draft: float) -> str:
    s, a = clause.sheet, clause.a
    k = max(i for i in range(len(drafts) - 1) if i == 0 or drafts[i] <= draft)
    place = ("gm_limits", n, "rows")
    ends: Inputs = {}
    for m in (0, 1):
        ends[f"x{m}"] = a.vessel.number((*place, rows[k + m], "draft"), "length", "draft of the curve")
        ends[f"y{m}"] = a.vessel.number((*place, rows[k + m], "value"), "length", "value of the curve")
    x0, x1, y0, y1 = (s.value_of(ends[each]) for each in ("x0", "x1", "y0", "y1"))
    value = y0 + (y1 - y0) * (s.value("draft_midship") - x0) / (x1 - x0)
    return s.linear(
        f"gm_limit/{n}/{rows[k]}", {"x": "draft_midship", **ends}, name="limit of her own curve",
        unit=s.unit("length"), value=value, source="the vessel's booklet; SOLAS II-1/5-1.4",
    )  # fmt: skip


ATTAINED: dict[str, Find] = {
    "area_to_30": _area(0.0, 30.0),
    "area_to_40": _area(0.0, 40.0),
    "area_30_to_40": _area(30.0, 40.0),
    "area_to_maximum": _area_to_maximum,
    "area_to_least_angle": _area_to_least_angle,
    "down_flooding": ship_types.down_flooding,
    "greatest_lever_from_30": _greatest_lever,
    "greatest_lever": containership.greatest_lever,
    "total_area": containership.total_area,
    "angle_of_maximum": lambda clause: clause.greatest(),
    "gm": _gm,
    "positive_gm": _gm,
    "vcg": lambda clause: "vcg_corrected",
    "equilibrium": _equilibrium,
    "opening_height": _opening_height,
    "steady_wind_angle": weather.steady_angle,
    "weather_areas": weather.area_b,
    "grain_heel": grain.heel,
    "grain_residual_area": grain.residual_area,
    "draft_midship": load_lines.midship,
    "draft_low_side": load_lines.low_side,
    "shear_force": strength.at_station,
    "bending_moment": strength.at_station,
    "between_stations": strength.between,
    "hidden_sea": drafts.of("drafts/hidden"),
    "ballast_draft_midship": drafts.of("draft_midship"),
    "ballast_trim": drafts.of("trim"),
    "propeller_immersion": drafts.of("drafts/propeller_immersion"),
    "crowding_heel": operations.crowding_heel,
    "turning_heel": operations.turning_heel,
    "towing_residual_area": operations.tow_area,
}


def _gm_required(clause: Clause) -> str | None:
    if any(detail.key == "wind_pressure" for detail in clause.criterion.details):
        return beam_wind.gm_against_wind(clause)
    return _gm_limit(clause)


LIMIT: dict[str, Find] = {
    "area_to_maximum": _area_to_maximum_limit,
    "gm": _gm_required,
    "vcg": _gm_limit,
    "steady_wind_angle": weather.steady_limit,
    "weather_areas": weather.area_a,
    "grain_heel": grain.heel_limit,
    "draft_midship": load_lines.permitted,
    "draft_low_side": load_lines.permitted,
    "hidden_sea": drafts.of("drafts/view_limit"),
    "ballast_draft_midship": drafts.of("drafts/least_midship"),
    "ballast_trim": drafts.of("drafts/most_trim"),
}

Detailed = Callable[[Clause, str], str | None]
DETAILS: dict[tuple[str, str], Detailed] = {
    ("", "flooding_angle"): lambda clause, key: clause.flooding(),
    ("", "angle_of_maximum"): lambda clause, key: clause.greatest(),
    ("", "draft_midship"): lambda clause, key: clause.sheet.metric("draft_midship"),
    ("", "trim"): lambda clause, key: clause.sheet.metric("trim"),
    ("", "water_density"): lambda clause, key: "water_density",
    **{
        (key, detail): each
        for key in (
            *("area_to_30", "area_to_40", "area_30_to_40"),
            *("greatest_lever_from_30", "greatest_lever", "total_area"),
        )
        for detail, each in (*containership.DETAILS.items(), ("form_factor", ship_types.form_factor))
    },
    ("area_to_least_angle", "end_of_area"): ship_types.end_of_area,
    ("", "deck_edge_angle"): lambda clause, key: openings.deck_edge(clause.a),
    **{
        (row, key): strength.detail
        for row in ("shear_force", "bending_moment")
        for key in ("x", "value", "sea", "harbour")
    },
    **{("between_stations", key): strength.detail_between for key in ("x", "value", "limit")},
    ("hidden_sea", "eye_height"): drafts.in_metric("drafts/eye_height"),
    ("hidden_sea", "length_overall"): drafts.length_overall,
    ("crowding_heel", "passengers"): operations.passengers,
    ("crowding_heel", "heeling_moment"): operations.crowding,
    ("crowding_heel", "heeling_lever"): operations.crowding_lever,
    ("turning_heel", "speed"): operations.speed,
    ("turning_heel", "turning_moment"): operations.turning_moment,
    ("turning_heel", "heeling_lever"): operations.turning_lever,
    ("", "midship_freeboard"): operations.midship,
    ("", "freeboard_least"): operations.least_upright,
    ("area_to_least_angle", "applies_from"): operations.applies_from,
    ("area_to_least_angle", "lift_moment"): operations.lift_moment,
    ("gm", "pull"): operations.pull,
    ("gm", "constant_k"): operations.constant_k,
    ("towing_residual_area", "angle_of_heel"): operations.tow_heel,
    ("towing_residual_area", "end_of_area"): operations.tow_end,
    **{("draft_midship", key): each for key, each in load_lines.DETAILS.items()},
    **{("draft_low_side", key): each for key, each in load_lines.DETAILS.items()},
    **{("steady_wind_angle", key): each for key, each in weather.DETAILS.items()},
    **{("weather_areas", key): each for key, each in weather.DETAILS.items()},
    **{("gm", key): each for key, each in beam_wind.DETAILS.items()},
    **{("grain_heel", key): each for key, each in grain.DETAILS.items()},
    **{("grain_residual_area", key): each for key, each in grain.DETAILS.items()},
}
