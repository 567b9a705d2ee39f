"""What she carries or does: passengers who crowd to one side or stand in a turn, a lift, a tow."""

from dataclasses import replace
from itertools import pairwise
from math import radians

from service.core.conventions import GRAVITY
from service.core.passenger import PER_AREA, crowding_moment
from service.core.rules import cfr_46_173_095 as tow
from service.core.rules import is_code_2008_a_3_1 as ship
from service.core.rules.hull_figures import freeboards, least_freeboard, midship_freeboard
from service.translation.ship_type import HORSEPOWER, KILOGRAM, POUND
from service.translation.units import METRIC
from service.translation.working import added_weights
from service.translation.working.clause import Clause
from service.translation.working.drafts import TRIM, draft_at
from service.translation.working.given import Input, Inputs


def detail(clause: Clause, key: str) -> float:
    """The value of a detail of the clause, in the units of its document."""
    return next(
        float(d.value) for d in clause.criterion.details if d.key == key and isinstance(d.value, float)
    )


def _side(clause: Clause) -> str:
    return "port" if clause.heeled.side > 0.0 else "starboard"


def _heel(clause: Clause, id: str, degree: float, lever: str, name: str) -> str:
    """Where GZ is nothing with a lever more that falls with the cosine of the heel."""
    s, curve, side = clause.sheet, clause.curve, clause.heeled.side
    more = s.in_answer(lever)
    arm = s.add(
        f"{id}/arm", "expression", "TCG + l", {"TCG": curve.arm(side), "l": more}, name="arm with the heeling lever",
        unit=s.unit("length"), value=s.value(curve.arm(side)) + s.value(more),
    )  # fmt: skip
    u = "((abs(phi) - x) * rad)"
    text = f"c0 + c1 * {u} + c2 * {u}^2 + c3 * {u}^3 - KG * sin(abs(phi)) - TCG * cos(phi)"
    return s.add(
        id, "root", text, {**curve.at_root(degree), "TCG": arm}, name=name, unit="degree", value=degree,
        source="root of the righting lever curve", formula="the angle phi at which the expression is nothing",
    )  # fmt: skip


# --- passengers ------------------------------------------------------------------------------------------------


def passengers(clause: Clause, key: str) -> str | None:
    """How many are aboard."""
    a, lines = clause.a, clause.a.assessed.condition.passengers
    parts: list[Input] = [added_weights.number_of(a, i) for i in range(len(lines))]
    return a.sheet.total(
        "passengers/number",
        parts,
        name="passengers",
        unit="",
        value=float(sum(line.number for line in lines)),
    )


def crowding(clause: Clause, key: str) -> str | None:
    """Moment of all of them at one side: number x mass x where the middle of the strip they fill lies."""
    a, s = clause.a, clause.sheet
    lines, spaces = a.assessed.condition.passengers, a.assessed.situation.vessel.passenger_spaces
    each = KILOGRAM if a.condition.frame.scale is METRIC else POUND
    parts: list[Input] = []
    for i, line in enumerate(lines):
        place = ("passenger_spaces", line.space)
        inputs: Inputs = {
            "n": added_weights.number_of(a, i),
            "m": a.condition.number(
                ("passengers", i, "mass_each"), "mass", "mass of one", factor=each,
                absent=s.here(line.mass_each, "mass"),
            ),
            "b": a.vessel.number((*place, "half_breadth"), "length", "half-breadth of the space"),
            "l": a.vessel.number((*place, "length"), "length", "length of the space"),
            "k": clause.rule("passengers on a unit of area", PER_AREA * s.scale.area, ""),
        }  # fmt: skip
        parts.append(
            s.add(
                f"passengers/{i}/moment",
                "expression",
                "n * m * max(b - n / (k * l) / 2, 0)",
                inputs,
                name="moment of those in one space",
                unit=s.unit("moment"),
                value=s.here(crowding_moment([line], spaces), "moment"),
                source=clause.criterion.row.source,
            )
        )
    total = s.total(
        "passengers/moment", parts, name="moment of the crowd", unit=s.unit("moment"),
        value=s.here(crowding_moment(lines, spaces), "moment"),
    )  # fmt: skip
    return s.metric(total)


def crowding_lever(clause: Clause, key: str = "") -> str | None:
    """That moment over the displacement."""
    moment = crowding(clause, key)
    assert moment is not None
    inputs: Inputs = {"M": moment, "W": clause.sheet.metric("displacement")}
    return clause.node("crowding_lever", "M / W", inputs, detail(clause, "heeling_lever"), "m")


def crowding_heel(clause: Clause) -> str | None:
    """The heel under it."""
    lever, heel = crowding_lever(clause), clause.criterion.attained
    if lever is None or heel is None:
        return None
    return _heel(
        clause, f"passengers/heel/{_side(clause)}", heel, lever, "heel with all passengers at one side"
    )


def speed(clause: Clause, key: str = "") -> str | None:
    """Service speed in metres a second."""
    knots = clause.a.vessel.number(("particulars", "service_speed"), "", "service speed, knots")
    knot = clause.sheet.constant("metres a second in a knot", ship.KNOT, "m/s")
    return clause.node("speed", "v * k", {"v": knots, "k": knot}, detail(clause, "speed"), "m/s")


def turning_moment(clause: Clause, key: str = "") -> str | None:
    """0.200 v^2 / L W (KG - d / 2)."""
    s, v = clause.sheet, speed(clause)
    assert v is not None
    length = clause.a.vessel.number(("particulars", "length_waterline"), "length", "length on the waterline")
    inputs: Inputs = {
        "k": clause.rule("coefficient", ship.TURNING), "v": v,
        "L": s.metric(s.copy("turning/length", length)), "W": s.metric("displacement"),
        "KG": s.metric("vcg_corrected"), "d": s.metric("draft_midship"),
    }  # fmt: skip
    return clause.node(
        "turning_moment", "k * v^2 / L * W * (KG - d / 2)", inputs, detail(clause, "turning_moment"), "kN·m"
    )


def turning_lever(clause: Clause, key: str = "") -> str | None:
    """That moment over the weight."""
    moment = turning_moment(clause)
    assert moment is not None
    inputs: Inputs = {
        "M": moment, "g": clause.sheet.constant("gravity", GRAVITY, "m/s2"), "W": clause.sheet.metric("displacement"),
    }  # fmt: skip
    return clause.node("turning_lever", "M / (g * W)", inputs, detail(clause, "heeling_lever"), "m")


def turning_heel(clause: Clause) -> str | None:
    """Where the righting lever meets it."""
    lever, heel = turning_lever(clause), clause.criterion.attained
    if lever is None or heel is None:
        return None
    level = clause.sheet.in_answer(lever)
    return clause.curve.crossing(
        f"turning/heel/{_side(clause)}", heel, level, clause.heeled.side, "heel in the turn"
    )


# --- freeboards ------------------------------------------------------------------------------------------------


def _freeboard(clause: Clause, i: int) -> str:
    """Freeboard to a point of the deck edge, upright."""
    a, s = clause.a, clause.sheet
    place = ("deck_edge", "points", i)
    inputs = draft_at(a, (*place, "x"), "a point of the deck edge")
    inputs["z"] = a.vessel.number((*place, "z"), "length", "height of the deck edge")
    return s.add(
        f"freeboard/{i}", "expression", "z - (T_a - t * x / L)", inputs, name="freeboard at a point of the deck edge",
        unit=s.unit("length"), value=s.here(freeboards(a.assessed.situation)[i].height, "length"), source=TRIM,
    )  # fmt: skip


def least_upright(clause: Clause, key: str) -> str | None:
    """The least freeboard upright, m."""
    s, found = clause.sheet, freeboards(clause.a.assessed.situation)
    least = least_freeboard(clause.a.assessed.situation)
    if least is None:
        return None
    inputs: Inputs = {f"f{i + 1}": _freeboard(clause, i) for i in range(len(found))}
    node = s.add(
        "freeboard/least", "choice", f"min({', '.join(inputs)})", inputs, name="least freeboard, upright",
        unit=s.unit("length"), value=s.here(least, "length"),
    )  # fmt: skip
    return s.metric(node)


def midship(clause: Clause, key: str) -> str | None:
    """Freeboard amidships: between the points of the deck edge on either side, or to the moulded depth."""
    a, s, found = clause.a, clause.sheet, midship_freeboard(clause.a.assessed.situation)
    if found is None:
        return None
    length = a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars")
    half = s.add(
        "freeboard/amidships", "expression", "L / 2", {"L": length}, name="amidships", unit=s.unit("length"),
        value=length.value / 2.0,
    )  # fmt: skip
    points = freeboards(a.assessed.situation)
    order = sorted(range(len(points)), key=lambda i: points[i].x)
    for i, j in pairwise(order):
        if (
            s.here(points[i].x, "length") <= s.value(half) <= s.here(points[j].x, "length")
            and points[i].x < points[j].x
        ):
            row: Inputs = {"x": half, "y0": _freeboard(clause, i), "y1": _freeboard(clause, j)}
            for n, k in ((0, i), (1, j)):
                row[f"x{n}"] = a.vessel.number(("deck_edge", "points", k, "x"), "x", "place of the deck edge")
            node = s.linear(
                "freeboard/midship", row, name="freeboard amidships", unit=s.unit("length"),
                value=s.here(found, "length"), source="definition of freeboard",
            )  # fmt: skip
            return s.metric(node)
    depth = a.vessel.number(("particulars", "depth"), "length", "moulded depth")
    node = s.add(
        "freeboard/midship", "expression", "D - d", {"D": depth, "d": "draft_midship"}, name="freeboard amidships",
        unit=s.unit("length"), value=s.here(found, "length"),
    )  # fmt: skip
    return s.metric(node)


# --- a lift ----------------------------------------------------------------------------------------------------


def _breadth(clause: Clause) -> str:
    given = clause.a.vessel.number(("particulars", "breadth"), "length", "breadth")
    return clause.sheet.metric(clause.sheet.copy("breadth", given))


def applies_from(clause: Clause, key: str) -> str | None:
    """0.67 W GM F / B."""
    s, freeboard = clause.sheet, midship(clause, key)
    if freeboard is None or not s.has("gm_corrected"):
        return None
    inputs: Inputs = {
        "W": s.metric("displacement"), "GM": s.metric("gm_corrected"), "F": freeboard, "B": _breadth(clause),
    }  # fmt: skip
    return clause.node("applies_from", "0.67 * W * GM * F / B", inputs, detail(clause, key), "t·m")


def lift_moment(clause: Clause, key: str) -> str | None:
    """Load on the hook times the outreach of the crane's head."""
    s, place = clause.sheet, ("operation", "lift")
    inputs: Inputs = {
        "m": clause.a.condition.number((*place, "mass"), "mass", "load on the hook"),
        "y": clause.a.condition.number((*place, "y"), "y", "crane's head from the centreline"),
    }
    value = s.here(detail(clause, key), "moment")
    node = s.add(
        "lift/moment", "expression", "m * abs(y)", inputs, name="heeling moment of the lift", unit=s.unit("moment"),
        value=value,
    )  # fmt: skip
    return s.metric(node)


# --- a tow -----------------------------------------------------------------------------------------------------


def pull(clause: Clause, key: str = "") -> str | None:
    """N (P D)^(2/3) s h in metric units."""
    a, s = clause.a, clause.sheet
    kilowatt = 1.0 if a.vessel.frame.scale is METRIC else HORSEPOWER
    lengths = {
        symbol: s.metric(s.copy(f"towing/{member}", a.vessel.number(("towing", member), "length", words)))
        for symbol, member, words in (
            ("D", "propeller_diameter", "diameter of a propeller"),
            ("h", "bitts_height", "height of the bitts above the shaft"),
        )
    }
    power = a.vessel.number(("towing", "shaft_power"), "", "power of one shaft", factor=kilowatt)
    inputs: Inputs = {
        "n": a.vessel.number(("towing", "propellers"), "", "propellers"),
        "P": replace(power, unit="kW"),
        "s": a.vessel.number(("towing", "rudder_fraction"), "", "part of the propeller's circle"),
        **lengths,
    }
    value = tow.pull(a.assessed.situation.vessel.towing) if a.assessed.situation.vessel.towing else None
    if value is None:
        return None
    return clause.node("pull", "n * (P * D)^(2 / 3) * s * h", inputs, value, "", words="N (P D)^(2/3) s h")


def constant_k(clause: Clause, key: str = "") -> str | None:
    """13.93 in metres, tonnes and kilowatts."""
    return clause.sheet.copy("towing/k", clause.rule("constant K", tow.K))


def _tow_arm(clause: Clause) -> str | None:
    pulled, k = pull(clause), constant_k(clause)
    if pulled is None or k is None:
        return None
    mass = clause.a.assessed.displacement.mass
    inputs: Inputs = {"P": pulled, "K": k, "W": clause.sheet.metric("displacement")}
    return clause.node(
        "arm", "2 * P / (K * W)", inputs, 2.0 * clause.sheet.value(pulled) / (tow.K * mass), "m"
    )


def tow_heel(clause: Clause, key: str = "") -> str | None:
    """The heel under the tow."""
    arm = _tow_arm(clause)
    if arm is None:
        return None
    return _heel(
        clause, f"towing/heel/{_side(clause)}", detail(clause, "angle_of_heel"), arm, "heel of the tow"
    )


def tow_area(clause: Clause) -> str | None:
    """Area between the righting lever and the arm of the tow, from its heel to the end, m.degree."""
    heel, arm, end = tow_heel(clause), _tow_arm(clause), tow_end(clause)
    if heel is None or arm is None or end is None or clause.criterion.attained is None:
        return None
    s, side = clause.sheet, clause.heeled.side
    if s.value(end) <= s.value(heel):
        return None
    last = clause.curve.angle(s.value(end)) if s.value(end) == 40.0 else end
    inputs: Inputs = {
        "A": clause.curve.area_between(heel, last, side), "arm": s.in_answer(arm), "phi1": heel, "phi2": last,
        "rad": s.constant("radians a degree", radians(1.0), "rad"),
    }  # fmt: skip
    unit = str(s.at(("criteria", clause.k, "unit")))
    return s.add(
        f"{clause.id}/residual", "expression", "(A - arm * (sin(phi2) - sin(phi1))) / rad", inputs,
        name="area above the arm of the tow", unit=unit, value=s.at(("criteria", clause.k, "attained")),
        source=clause.criterion.row.source, memory=clause.criterion.row.from_memory,
    )  # fmt: skip


def tow_end(clause: Clause, key: str = "") -> str | None:
    """The least of the angle of the greatest lever, the end of the usable part and 40 degrees."""
    angle, end = clause.greatest(), detail(clause, "end_of_area")
    if angle is not None and clause.sheet.value(angle) == end:
        return angle
    return clause.end(40.0) if clause.measures.usable is not None else None
