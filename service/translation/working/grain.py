"""Grain: the heeling moment of its shift, the heel and the residual area (International Grain Code, A 7.1)."""

from dataclasses import replace
from math import cos, radians, sin

from service.core.grain import FILLED_TRIMMED, FILLED_UNTRIMMED, GrainLine
from service.core.interpolation import interval
from service.core.rules import grain_code_1991 as code
from service.translation.working import openings
from service.translation.working.clause import Clause
from service.translation.working.given import Given, Inputs
from service.translation.working.sheet import factor_of
from service.translation.working.sources import Sources

SOURCE = "International Grain Code (MSC.23(59)), A 7.1"


def _line(a: Sources, hold: str) -> tuple[int, GrainLine] | None:
    holds = a.assessed.situation.vessel.holds
    for i, each in enumerate(a.condition.document.get("grain") or ()):
        if each["hold"] == hold:
            index = next(k for k, found in enumerate(holds) if found.id == hold)
            return i, next(line for line in a.assessed.condition.grain if line.hold == index)
    return None


def _metric(given: Given, dimension: str, a: Sources, unit: str) -> Given:
    """An input of the answer's units in metres."""
    factor = factor_of(a.sheet.scale, dimension)
    if factor == 1.0:
        return given
    times, offset = given.factor * factor, given.offset * factor
    return replace(given, value=given.original * times + offset, unit=unit, factor=times, offset=offset)


def _volumetric(clause: Clause, hold: str) -> str | None:
    """Volumetric heeling moment of a hold, m4."""
    a, s = clause.a, clause.sheet
    found = _line(a, hold)
    shift = next((each for each in code.shifts_of(a.assessed.situation) if each.hold == hold), None)
    if found is None or shift is None or shift.volumetric is None:
        return None
    i, line = found
    id, name = f"grain/{hold}/volumetric", f"volumetric heeling moment of hold {hold}"
    if line.heeling_moment is not None:
        given = a.condition.number(("grain", i, "heeling_moment"), "inertia", "heeling moment typed")
        return s.copy(id, _metric(given, "inertia", a, "m4"), name=name)
    k = next(n for n, each in enumerate(a.assessed.situation.vessel.holds) if each.id == hold)
    printed = a.assessed.situation.vessel.holds[k]
    moments = a.vessel.document["holds"][k].get("grain_heeling_moments") or {}
    if line.filling in (FILLED_TRIMMED, FILLED_UNTRIMMED):
        place = ("holds", k, "grain_heeling_moments", line.filling)
        if line.filling in moments and isinstance(moments[line.filling], int | float):
            given = a.vessel.number(place, "inertia", "heeling moment of the filled hold")
            return s.copy(id, _metric(given, "inertia", a, "m4"), name=name)
    elif line.volume is not None and printed.volume:
        row, part = interval(printed.volume, line.volume)
        value = printed.partly_filled[row] + part * (
            printed.partly_filled[row + 1] - printed.partly_filled[row]
        )
        x = _metric(a.condition.number(("grain", i, "volume"), "volume", "volume typed"), "volume", a, "m3")
        ends: Inputs = {"x": x}
        for n in (0, 1):
            ends[f"x{n}"] = s.constant(
                f"volume of row {row + n + 1} of the hold", printed.volume[row + n], "m3"
            )
            ends[f"y{n}"] = s.constant(
                f"moment of row {row + n + 1} of the hold", printed.partly_filled[row + n], "m4"
            )
        return s.linear(
            id, ends, name=name, unit="m4", value=value, source="the vessel's booklet: grain heeling moments"
        )
    return s.copy(
        id, s.constant("heeling moment of the filled hold, of the booklet", shift.volumetric, "m4"), name=name
    )


def _factor(clause: Clause, hold: str) -> str | None:
    found = _line(clause.a, hold)
    if found is None:
        return None
    given = clause.rule("factor for the vertical shift", code.vertical_factor(found[1]))
    return clause.sheet.copy(
        f"grain/{hold}/factor", given, name=f"factor for the vertical shift in hold {hold}", source=SOURCE
    )


def _stowage(clause: Clause, hold: str) -> str | None:
    found = _line(clause.a, hold)
    if found is None:
        return None
    i, line = found
    a, s = clause.a, clause.sheet
    document = a.condition.document["grain"][i]
    typed = a.condition.number(("grain", i, "stowage_factor"), "", "stowage factor typed")
    if document.get("stowage_factor") == line.stowage_factor:
        return s.copy(
            f"grain/{hold}/stowage", replace(typed, unit="m3/t"), name=f"stowage factor in hold {hold}"
        )
    given = replace(
        typed, value=line.stowage_factor, unit="m3/t", factor=line.stowage_factor / typed.value, offset=0.0
    )
    return s.copy(f"grain/{hold}/stowage", given, name=f"stowage factor in hold {hold}")


def _moment_of(clause: Clause, hold: str) -> str | None:
    volumetric, factor, stowage = _volumetric(clause, hold), _factor(clause, hold), _stowage(clause, hold)
    shift = next((each for each in code.shifts_of(clause.a.assessed.situation) if each.hold == hold), None)
    if volumetric is None or factor is None or stowage is None or shift is None or shift.moment is None:
        return None
    return clause.node(
        f"grain/{hold}/moment", "M_v * f / SF", {"M_v": volumetric, "f": factor, "SF": stowage}, shift.moment, "t·m",
        words=f"heeling moment of hold {hold}", source=SOURCE,
    )  # fmt: skip


def _total(clause: Clause) -> str | None:
    shifts = code.shifts_of(clause.a.assessed.situation)
    total = code.total_moment(shifts)
    parts = [_moment_of(clause, shift.hold) for shift in shifts]
    if total is None or None in parts:
        return None
    return clause.sheet.total(
        "grain/moment", [part for part in parts if part], name="heeling moment of all holds", unit="t·m", value=total,
        source=SOURCE,
    )  # fmt: skip


def _hold_detail(clause: Clause, key: str) -> str | None:
    _, hold, which = key.split("/", 2)
    find = {
        "volumetric_moment": _volumetric, "vertical_factor": _factor, "stowage_factor": _stowage,
        "heeling_moment": _moment_of,
    }[which]  # fmt: skip
    return find(clause, hold)


def _lever(clause: Clause) -> code.HeelingLever | None:
    total = code.total_moment(code.shifts_of(clause.a.assessed.situation))
    if total is None:
        return None
    return code.HeelingLever.of(clause.measures.curve, total / clause.a.assessed.displacement.mass)


def _at_0(clause: Clause) -> str | None:
    total, lever, s = _total(clause), _lever(clause), clause.sheet
    if total is None or lever is None:
        return None
    inputs: Inputs = {"M": total, "W": s.metric("displacement")}
    return clause.node(
        "grain/lambda_0", "M / W", inputs, lever.at_0, "m", words="heeling lever lambda_0", source=SOURCE
    )


def _at_40(clause: Clause) -> str | None:
    at_0, lever = _at_0(clause), _lever(clause)
    if at_0 is None or lever is None:
        return None
    inputs: Inputs = {"part": clause.rule("lambda_40 over lambda_0", code.AT_40), "l_0": at_0}
    return clause.node(
        "grain/lambda_40",
        "part * l_0",
        inputs,
        lever.at_40,
        "m",
        words="heeling lever lambda_40",
        source=SOURCE,
    )


LINE = "l_0 * (1 - 0.2 * phi / 40)"


def _inputs(clause: Clause, degree: float, at_0: str) -> Inputs:
    arm, lever = clause.curve.arm(clause.heeled.side), clause.sheet.in_answer(at_0)
    return {**clause.curve.at_root(degree), "TCG": arm, "l_0": lever}


def heel(clause: Clause) -> str | None:
    """Where the righting lever rises through the heeling lever."""
    at_0, lever = _at_0(clause), _lever(clause)
    if at_0 is None or lever is None or lever.heel is None:
        return None
    side, name = (
        "port" if clause.heeled.side > 0.0 else "starboard",
        "angle of heel due to the shift of grain",
    )
    u = "((phi - x) * rad)"
    text = f"c0 + c1 * {u} + c2 * {u}^2 + c3 * {u}^3 - KG * sin(phi) - TCG * cos(phi) - {LINE}"
    if abs(lever.residual.lever(lever.heel)) > 1e-9:
        given = clause.sheet.constant(
            "the righting lever is greater already when she is upright", lever.heel, "degree"
        )
        return clause.sheet.copy(f"grain/heel/{side}", given, name=name)
    return clause.sheet.add(
        f"grain/heel/{side}",
        "root",
        text,
        _inputs(clause, lever.heel, at_0),
        name=name,
        unit="degree",
        value=lever.heel,
        source=SOURCE,
        formula="the angle phi at which righting and heeling lever are equal",
    )


def heel_limit(clause: Clause) -> str | None:
    """12 degrees, or the angle of deck edge immersion."""
    required, deck = clause.criterion.required, openings.deck_edge(clause.a)
    if required is None:
        return None
    if required == 12.0 or deck is None:
        return clause.sheet.copy("grain/heel_limit", clause.rule("greatest angle", required, "degree"))
    inputs: Inputs = {"most": clause.rule("greatest angle", 12.0, "degree"), "deck": deck}
    return clause.sheet.add(
        "grain/heel_limit",
        "choice",
        "min(most, deck)",
        inputs,
        name="12 degrees or deck edge immersion",
        unit="degree",
        value=required,
        source=SOURCE,
    )


def _greatest_difference(clause: Clause) -> str | None:
    at_0, lever = _at_0(clause), _lever(clause)
    if at_0 is None or lever is None:
        return None
    s, side = clause.sheet, "port" if clause.heeled.side > 0.0 else "starboard"
    degree, name = lever.greatest_difference, "angle of maximum difference"
    id = f"grain/greatest_difference/{side}"
    size, k = radians(degree), clause.curve.interval(degree)
    c1, c2, c3, _, _ = clause.curve.curve.kn.slope_pieces[k]
    t, curve = size - clause.curve.knots[k], clause.measures.curve
    slope = (
        c1
        + t * (c2 + t * c3)
        - curve.vcg * cos(size)
        + curve.tcg * sin(size)
        + 0.2 * lever.at_0 / radians(40.0)
    )
    if abs(slope) > 1e-9:
        return s.copy(id, s.constant("end of the cross curves", degree, "degree"), name=name)
    u = "((phi - x) * rad)"
    inputs = {key: each for key, each in _inputs(clause, degree, at_0).items() if key != "c0"}
    text = f"c1 + 2 * c2 * {u} + 3 * c3 * {u}^2 - KG * cos(phi) + TCG * sin(phi) + 0.2 * l_0 / (40 * rad)"
    return s.add(id, "root", text, inputs, name=name, unit="degree", value=degree, source=SOURCE)


def _end(clause: Clause) -> str | None:
    lever, greatest = _lever(clause), _greatest_difference(clause)
    flooding = clause.measures.flooding
    if lever is None or greatest is None or flooding is None:
        return None
    s, side = clause.sheet, "port" if clause.heeled.side > 0.0 else "starboard"
    inputs: Inputs = {"greatest": greatest, "most": clause.rule("greatest angle", code.END, "degree")}
    node = clause.flooding()
    inputs |= {} if node is None else {"phi_f": node}
    return s.add(
        f"grain/end/{side}", "choice", f"min({', '.join(inputs)})", inputs, name="end of the area", unit="degree",
        value=min(lever.greatest_difference, code.END, flooding), source=SOURCE,
    )  # fmt: skip


def residual_area(clause: Clause) -> str | None:
    """Between righting and heeling lever, from the angle of heel to the end."""
    start, end, at_0, lever = heel(clause), _end(clause), _at_0(clause), _lever(clause)
    attained = clause.criterion.attained
    if start is None or end is None or at_0 is None or lever is None or attained is None:
        return None
    s, side = clause.sheet, clause.heeled.side
    if s.value(end) < s.value(start):
        end = start
    inputs: Inputs = {
        "A_2": clause.curve.area(end, side), "A_1": clause.curve.area(start, side), "l_0": s.in_answer(at_0),
        "b": end, "a": start, "rad": s.constant("radians a degree", radians(1.0), "rad"),
    }  # fmt: skip
    return s.add(
        f"grain/area/{'port' if side > 0.0 else 'starboard'}", "expression",
        "A_2 - A_1 - l_0 * ((b - a) - 0.2 / 40 * (b^2 - a^2) / 2) * rad", inputs, name="residual area",
        unit=s.unit("lever_area"), value=s.here(attained, "lever_area"), source=SOURCE,
    )  # fmt: skip


DETAILS = {
    "hold": _hold_detail,
    "heeling_moment": lambda clause, key: _total(clause),
    "displacement": lambda clause, key: clause.sheet.metric("displacement"),
    "heeling_lever_0": lambda clause, key: _at_0(clause),
    "heeling_lever_40": lambda clause, key: _at_40(clause),
    "angle_of_heel": lambda clause, key: heel(clause),
    "angle_of_greatest_difference": lambda clause, key: _greatest_difference(clause),
    "end_of_area": lambda clause, key: _end(clause),
}
