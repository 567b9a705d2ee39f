"""The weather criterion of the 2008 IS Code (A 2.3), figure by figure."""

from math import radians

from service.core.conventions import GRAVITY
from service.core.rules import is_code_2008_a_2_3 as code
from service.translation.working import openings, roll, wind_profile
from service.translation.working.clause import Clause
from service.translation.working.given import Inputs
from service.translation.working.sources import as_she_is

# --- wind ------------------------------------------------------------------------------------------------------


def has_wind(clause: Clause) -> bool:
    """Whether she has a lateral area at her drafts; then its nodes are written."""
    ship = clause.a.assessed.situation
    if ship.wind is None or ship.flotation is None:
        return False
    wind_profile.write(clause.a, as_she_is(clause.a))
    return True


def _area(clause: Clause) -> str | None:
    return clause.sheet.metric("wind/area") if has_wind(clause) else None


def _arm(clause: Clause) -> str | None:
    """Z, from the centroid of the area to half the draft, m."""
    if not has_wind(clause):
        return None
    s, ship = clause.sheet, clause.a.assessed.situation
    assert ship.wind is not None
    assert ship.flotation is not None
    return s.add(
        "wind/arm", "expression", "h - d / 2", {"h": s.metric("wind/height"), "d": s.metric("draft_midship")},
        name="arm of the wind Z", unit="m", value=ship.wind.height - 0.5 * ship.flotation.draft_midship,
        source="2008 IS Code A 2.3.2",
    )  # fmt: skip


def _lw1(clause: Clause) -> str | None:
    area, arm = _area(clause), _arm(clause)
    wind = clause.wind
    if area is None or arm is None or wind is None:
        return None
    s = clause.sheet
    inputs: Inputs = {
        "P": clause.rule("wind pressure P", code.PRESSURE, "Pa"), "A": area, "Z": arm,
        "g": s.constant("gravity", GRAVITY, "m/s2"), "W": s.metric("displacement"),
    }  # fmt: skip
    return clause.node(
        "lw1", "P * A * Z / (1000 * g * W)", inputs, wind.lw1, "m", words="steady wind lever lw1"
    )


def _lw2(clause: Clause) -> str | None:
    lw1, wind = _lw1(clause), clause.wind
    if lw1 is None or wind is None:
        return None
    return clause.node(
        "lw2", "gust * lw1", {"gust": clause.rule("gust over steady wind", code.GUST), "lw1": lw1}, wind.lw2, "m",
        words="gust wind lever lw2",
    )  # fmt: skip


def _side(clause: Clause) -> str:
    return "port" if clause.heeled.side > 0.0 else "starboard"


def _crossing(clause: Clause, which: str, degree: float | None, level: str | None, name: str) -> str | None:
    if degree is None or level is None:
        return None
    s = clause.sheet
    return clause.curve.crossing(
        f"wind/{which}/{_side(clause)}", degree, s.in_answer(level), clause.heeled.side, name
    )


def steady_angle(clause: Clause) -> str | None:
    """phi0, where the righting lever meets lw1."""
    wind = clause.wind
    return (
        None
        if wind is None
        else _crossing(clause, "phi0", wind.phi0, _lw1(clause), "angle under steady wind phi0")
    )


def steady_limit(clause: Clause) -> str | None:
    """16 degrees, or 80 % of the angle of deck edge immersion."""
    required, deck = clause.criterion.required, openings.deck_edge(clause.a)
    limit = clause.rule("greatest angle", 16.0, "degree")
    if required is None:
        return None
    if required == 16.0 or deck is None:
        return clause.sheet.copy("wind/steady_limit", clause.rule("greatest angle", required, "degree"))
    return clause.sheet.add(
        "wind/steady_limit", "choice", "min(most, 0.8 * deck)", {"most": limit, "deck": deck},
        name="16 degrees or 80 % of deck edge immersion", unit="degree", value=required,
        source=clause.criterion.row.source,
    )  # fmt: skip


def _part_of_deck(clause: Clause) -> str | None:
    deck = openings.deck_edge(clause.a)
    if deck is None:
        return None
    return clause.node(
        "part_of_deck_edge", "0.8 * deck", {"deck": deck}, 0.8 * clause.sheet.value(deck), "degree",
        words="80 % of the angle of deck edge immersion",
    )  # fmt: skip


# --- areas a and b ---------------------------------------------------------------------------------------------


def _windward(clause: Clause) -> str | None:
    found, phi0, phi1 = clause.wind_areas, steady_angle(clause), roll.phi1(clause)
    if found is None or found.start is None or phi0 is None or phi1 is None:
        return None
    inputs: Inputs = {"phi0": phi0, "phi1": phi1}
    return clause.node(
        f"wind/windward/{_side(clause)}",
        "phi0 - phi1",
        inputs,
        found.start,
        "degree",
        words="angle to windward phi0 - phi1",
    )


def _first_intercept(clause: Clause) -> str | None:
    wind = clause.wind
    return (
        None
        if wind is None
        else _crossing(clause, "phi_e", wind.phi_e, _lw2(clause), "first intercept of lw2")
    )


def _second_intercept(clause: Clause) -> str | None:
    wind = clause.wind
    return (
        None
        if wind is None
        else _crossing(clause, "phi_c", wind.phi_c, _lw2(clause), "second intercept of lw2, phi_c")
    )


def _end_of_b(clause: Clause) -> str | None:
    s, found = clause.sheet, clause.wind_areas
    end = found.end if found is not None else None
    if found is None and clause.measures.flooding is not None:
        end = min(clause.measures.flooding, 50.0)
    if end is None:
        return None
    inputs: Inputs = {"most": clause.rule("greatest angle", 50.0, "degree")}
    flooding, phi_c = clause.flooding(), _second_intercept(clause)
    inputs |= {} if flooding is None else {"phi_f": flooding}
    inputs |= {} if phi_c is None else {"phi_c": phi_c}
    return s.add(
        f"wind/phi2/{_side(clause)}", "choice", f"min({', '.join(inputs)})", inputs, name="end of area b, phi2",
        unit="degree", value=end, source="2008 IS Code A 2.3.1",
    )  # fmt: skip


def _within(clause: Clause, angle: str) -> str:
    """An angle, or the last heel of the cross curves where it lies beyond."""
    last, value = clause.measures.curve.last_heel, clause.sheet.value(angle)
    return angle if abs(value) <= last else clause.curve.angle(last if value > 0.0 else -last)


def area_a(clause: Clause) -> str | None:
    """Between lw2 and the righting lever, from the angle to windward to the first intercept."""
    found, start, middle, lw2 = clause.wind_areas, _windward(clause), _first_intercept(clause), _lw2(clause)
    if found is None or found.a is None or start is None or middle is None or lw2 is None:
        return None
    s, side = clause.sheet, clause.heeled.side
    middle, start = _within(clause, middle), _within(clause, start)
    if s.value(start) > s.value(middle):
        start = middle
    inputs: Inputs = {
        "lw2": s.in_answer(lw2),
        "phi_e": middle,
        "phi_r": start,
        "rad": s.constant("radians a degree", radians(1.0), "rad"),
        "A_e": clause.curve.area(middle, side),
        "A_r": clause.curve.area(start, side),
    }
    return s.add(
        f"wind/area_a/{_side(clause)}",
        "expression",
        "lw2 * (phi_e - phi_r) * rad - (A_e - A_r)",
        inputs,
        name="area a",
        unit=s.unit("lever_area"),
        value=s.here(found.a, "lever_area"),
        source="2008 IS Code A 2.3.1",
    )


def area_b(clause: Clause) -> str | None:
    """Between the righting lever and lw2, from the first intercept to phi2."""
    found, middle, end, lw2 = clause.wind_areas, _first_intercept(clause), _end_of_b(clause), _lw2(clause)
    if found is None or found.b is None or middle is None or end is None or lw2 is None:
        return None
    s, side = clause.sheet, clause.heeled.side
    middle, end = _within(clause, middle), _within(clause, end)
    if s.value(end) < s.value(middle):
        end = middle
    inputs: Inputs = {
        "lw2": s.in_answer(lw2),
        "phi_e": middle,
        "phi_2": end,
        "rad": s.constant("radians a degree", radians(1.0), "rad"),
        "A_2": clause.curve.area(end, side),
        "A_e": clause.curve.area(middle, side),
    }
    return s.add(
        f"wind/area_b/{_side(clause)}", "expression", "A_2 - A_e - lw2 * (phi_2 - phi_e) * rad", inputs, name="area b",
        unit=s.unit("lever_area"), value=s.here(found.b, "lever_area"), source="2008 IS Code A 2.3.1",
    )  # fmt: skip


def _in_metres(node: str | None, clause: Clause) -> str | None:
    return None if node is None else clause.sheet.metric(node)


DETAILS = {
    "wind_pressure": lambda clause, key: clause.sheet.copy(
        "wind/pressure", clause.rule("wind pressure P", code.PRESSURE, "Pa"), name="wind pressure P"
    ),
    "lateral_area": lambda clause, key: _area(clause),
    "wind_arm": lambda clause, key: _arm(clause),
    "steady_wind_lever": lambda clause, key: _lw1(clause),
    "gust_wind_lever": lambda clause, key: _lw2(clause),
    "steady_wind_angle": lambda clause, key: steady_angle(clause),
    "part_of_deck_edge_angle": lambda clause, key: _part_of_deck(clause),
    **roll.DETAILS,
    "windward_angle": lambda clause, key: _windward(clause),
    "first_intercept": lambda clause, key: _first_intercept(clause),
    "second_intercept": lambda clause, key: _second_intercept(clause),
    "end_of_area_b": lambda clause, key: _end_of_b(clause),
    "area_a": lambda clause, key: _in_metres(area_a(clause), clause),
    "area_b": lambda clause, key: _in_metres(area_b(clause), clause),
}
