"""Where points of the ship meet the water: down-flooding, the deck edge, half the freeboard, the lowest opening.

The level of the waterplane as she heels is taken as found (its derivation is in `service/core/waterplane.py`); that a
point meets it at the angle given is shown.
"""

from math import cos, isinf, radians, sin

from service.core.interpolation import interval
from service.core.opening import ImmersionTable, Opening, nearest_table
from service.core.situation import Heeled
from service.core.waterplane import SAME_TRIM, Waterplane
from service.translation.working.given import Input, Inputs
from service.translation.working.sources import Sources

LEVEL = "level of the waterplane: see the method, from her cross curves"
FLOODING = "2008 IS Code A 2.3.1"
HEIGHT = "z * cos(phi) - y * sin(phi) - T - (LCF - x) * t / L"


def _point(
    a: Sources, place: tuple[str | int, ...], what: str, side: float, core: tuple[float, float, float]
) -> Inputs:
    """x, y (to the low side) and z of a point."""
    s = a.sheet
    x, z = (
        a.vessel.number((*place, "x"), "x", f"x of {what}"),
        a.vessel.number((*place, "z"), "length", f"z of {what}"),
    )
    y: Input = a.vessel.number((*place, "y"), "y", f"y of {what}")
    if side < 0.0:
        y = s.constant(f"y of {what}, to starboard", s.here(core[1] * side, "length"), s.unit("length"))
    return {"x": x, "y": y, "z": z}


def _root(
    a: Sources,
    id: str,
    point: Inputs,
    waterplane: Waterplane,
    degree: float,
    name: str,
    source: str,
) -> str:
    """The angle at which a point meets the water; 0 where it is under water upright."""
    s = a.sheet
    if degree == 0.0:
        return s.copy(id, s.constant("under water when she is upright", 0.0, "degree"), name=name)
    inputs = {
        "phi": s.constant("angle found", degree, "degree"),
        **point,
        "T": s.constant(LEVEL, s.here(waterplane.level(degree), "length"), s.unit("length")),
        "LCF": s.constant("LCF", s.here(waterplane._lcf, "length"), s.unit("length"))
        if waterplane.trim != _trim(a)
        else "lcf",
        "t": s.constant("trim of the printed angle", s.here(waterplane.trim, "length"), s.unit("length"))
        if waterplane.trim != _trim(a)
        else "trim",
        "L": a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
    }
    return s.add(
        id,
        "root",
        HEIGHT,
        inputs,
        name=name,
        unit="degree",
        value=degree,
        source=source,
        formula="the angle phi at which the point stands at the level of the water",
    )


def _trim(a: Sources) -> float:
    flotation = a.assessed.situation.flotation
    assert flotation is not None
    return flotation.trim


def opening_angle(a: Sources, k: int, side: float) -> str | None:
    """The node of the angle at which an opening immerses to a side; None where it does not."""
    ship = a.assessed.situation
    opening = (ship.vessel.openings or ())[k]
    flotation, waterplane = ship.flotation, ship.waterplane
    if flotation is None:
        return None
    id = f"opening/{opening.id}/{'port' if side > 0.0 else 'starboard'}"
    if a.sheet.has(id):
        return id
    angle = opening.angle(flotation, waterplane, side)
    if angle is None or isinf(angle):
        return None
    name = f"angle at which {opening.name} comes under water"
    place: tuple[str | int, ...] = ("openings", k)
    if not opening.immersion:
        assert waterplane is not None
        point = _point(a, place, opening.name, side, (opening.x, opening.y, opening.z))
        return _root(a, id, point, waterplane, angle, name, FLOODING)
    return _printed(a, id, place, opening, side, angle, name)


def _printed(
    a: Sources, id: str, place: tuple[str | int, ...], opening: Opening, side: float, angle: float, name: str
) -> str:
    """A printed angle, for her trim."""
    s, ship = a.sheet, a.assessed.situation
    flotation, waterplane = ship.flotation, ship.waterplane
    assert flotation is not None
    table = nearest_table(opening.immersion, flotation.trim)
    rows = [
        i for i, row in enumerate(a.vessel.document["openings"][place[1]]["immersion_angles"])
        if abs((row.get("trim") or 0.0) * a.vessel.frame.scale.length - table.trim) < 1e-12
    ]  # fmt: skip
    if abs(flotation.trim - table.trim) <= SAME_TRIM or waterplane is None:
        return printed_angle(
            a, id, (*place, "immersion_angles"), rows, table, "draft_midship", flotation.draft_midship, name
        )
    there = waterplane.at_trim(table.trim)
    draft = s.copy(
        f"{id}/draft",
        s.constant(
            "draft amidships at the trim of the printed angles",
            s.here(there.draft_midship, "length"),
            s.unit("length"),
        ),
        name="draft amidships at the trim of the printed angles",
    )
    printed = printed_angle(
        a, f"{id}/printed", (*place, "immersion_angles"), rows, table, draft, there.draft_midship, name
    )
    toward = opening.y * side
    value = s.value(printed)
    hers = waterplane.immersion_angle(opening.x, toward, opening.z, value)
    its = there.immersion_angle(opening.x, toward, opening.z, value)
    return corrected(a, id, printed, hers, its, angle, name)


def corrected(a: Sources, id: str, printed: str, hers: float, its: float, angle: float, name: str) -> str:
    """A printed angle brought to her trim."""
    s = a.sheet
    if isinf(hers) or isinf(its):
        inputs: Inputs = {"printed": printed}
        if not isinf(hers):
            inputs["hers"] = s.constant("computed at her trim", hers, "degree")
        return s.add(id, "choice", f"min({', '.join(inputs)})", inputs, name=name, unit="degree", value=angle)
    return s.add(
        id, "expression", "max(printed + hers - its, 0)",
        {
            "printed": printed, "hers": s.constant("computed at her trim", hers, "degree"),
            "its": s.constant("computed at the trim of the printed angle", its, "degree"),
        },
        name=name, unit="degree", value=angle, source=FLOODING,
        formula="printed angle, corrected by the difference computed between the two trims",
    )  # fmt: skip


def printed_angle(
    a: Sources,
    id: str,
    place: tuple[str | int, ...],
    rows: list[int],
    table: ImmersionTable,
    x: str,
    draft: float,
    name: str,
) -> str:
    """A printed angle between two drafts."""
    s = a.sheet
    k, part = interval(table.draft, draft)
    at = {f"x{n}": a.vessel.number((*place, rows[k + n], "draft"), "length", "printed draft") for n in (0, 1)}
    to = {f"y{n}": a.vessel.number((*place, rows[k + n], "angle"), "angle", "printed angle") for n in (0, 1)}
    value = table.angle[k] + part * (table.angle[k + 1] - table.angle[k])
    return s.linear(
        id,
        {"x": x, **at, **to},
        name=name,
        unit="degree",
        value=max(value, 0.0),
        source="the vessel's booklet: immersion angles",
    )


def flooding(a: Sources, heeled: Heeled, automatic: bool) -> str | None:
    """The node of the angle of down-flooding to a side; None where there is none, or it is unknown."""
    s, vessel = a.sheet, a.assessed.situation.vessel
    found = heeled.flooding_automatic if automatic else heeled.flooding
    if found.angle is None or isinf(found.angle):
        return None
    side = "port" if heeled.side > 0.0 else "starboard"
    id = f"flooding/{'automatic/' if automatic else ''}{side}"
    if s.has(id):
        return id
    counted = vessel.flooding_automatic if automatic else vessel.flooding
    angles = {f"a{n}": node for n, k in enumerate(counted, 1) if (node := opening_angle(a, k, heeled.side))}
    return s.add(
        id,
        "choice",
        f"min({', '.join(angles)})",
        dict(angles),
        name=f"angle of down-flooding to {side}",
        unit="degree",
        value=found.angle,
        source=FLOODING,
        formula="the least of the angles of the openings that count",
    )


def deck_edge(a: Sources) -> str | None:
    """The node of the angle of deck edge immersion; None where there is none, or it is unknown."""
    s, ship = a.sheet, a.assessed.situation
    edge, angle, waterplane, flotation = (
        ship.vessel.deck_edge,
        ship.deck_edge,
        ship.waterplane,
        ship.flotation,
    )
    if edge is None or angle is None or isinf(angle) or flotation is None:
        return None
    if s.has("deck_edge"):
        return "deck_edge"
    name = "angle of deck edge immersion"
    if not edge.immersion:
        assert waterplane is not None
        return _lowest_point(a, "deck_edge", waterplane, angle, name, None)
    table = nearest_table(edge.immersion, flotation.trim)
    rows = [
        i for i, row in enumerate(a.vessel.document["deck_edge"]["immersion_angles"])
        if abs((row.get("trim") or 0.0) * a.vessel.frame.scale.length - table.trim) < 1e-12
    ]  # fmt: skip
    place = ("deck_edge", "immersion_angles")
    points = ship.vessel.deck_points
    if waterplane is None or points is None or abs(flotation.trim - table.trim) <= SAME_TRIM:
        return printed_angle(
            a, "deck_edge", place, rows, table, "draft_midship", flotation.draft_midship, name
        )
    there = waterplane.at_trim(table.trim)
    given = s.constant(
        "draft amidships at the trim of the printed angles",
        s.here(there.draft_midship, "length"),
        s.unit("length"),
    )
    draft = s.copy("deck_edge/draft", given)
    printed = printed_angle(a, "deck_edge/printed", place, rows, table, draft, there.draft_midship, name)
    return corrected(
        a,
        "deck_edge",
        printed,
        waterplane.first_immersion_angle(points),
        there.first_immersion_angle(points),
        angle,
        name,
    )


def _lowest_point(
    a: Sources, id: str, waterplane: Waterplane, angle: float, name: str, half: bool | None
) -> str:
    """The point of the deck edge (or half-way to it) that meets the water first."""
    s, edge = a.sheet, a.assessed.situation.vessel.deck_edge
    assert edge is not None
    flotation = a.assessed.situation.flotation
    assert flotation is not None

    def height(k: int) -> float:
        x, y, z = edge.points[k]
        if half:
            z = 0.5 * (flotation.draft_at(x) + z)
        return abs(waterplane.height(x, y, z, angle)) if angle else z - waterplane.level(0.0)

    k = min(range(len(edge.points)), key=height)
    point = _point(a, ("deck_edge", "points", k), "the deck edge", 1.0, edge.points[k])
    point["y"] = a.vessel.number(("deck_edge", "points", k, "y"), "length", "half-breadth of the deck edge")
    if half:
        x, _, z = edge.points[k]
        point["z"] = s.add(
            f"{id}/z",
            "expression",
            "(T + z) / 2",
            {
                "T": s.constant("draft there", s.here(flotation.draft_at(x), "length"), s.unit("length")),
                "z": point["z"],
            },
            name="half-way from the water to the deck edge",
            unit=s.unit("length"),
            value=s.here(0.5 * (flotation.draft_at(x) + z), "length"),
        )
    return _root(a, id, point, waterplane, angle, name, "definition")


def half_freeboard(a: Sources) -> str | None:
    """The node of the angle that immerses half the freeboard."""
    s, ship = a.sheet, a.assessed.situation
    angle = ship.half_freeboard
    if angle is None or isinf(angle):
        return None
    if s.has("half_freeboard"):
        return "half_freeboard"
    name = "angle that immerses half the freeboard"
    if ship.vessel.deck_points is not None and ship.waterplane is not None:
        return _lowest_point(a, "half_freeboard", ship.waterplane, angle, name, True)
    whole = deck_edge(a)
    given: Input = whole if whole is not None else s.constant("the deck edge stays dry", 90.0, "degree")
    return s.add(
        "half_freeboard", "expression", "atan(tan(min(phi, 90)) / 2)", {"phi": given}, name=name, unit="degree",
        value=angle, source="46 CFR 170.170(a)",
    )  # fmt: skip


def height_at_rest(a: Sources, opening: Opening, height: float, side: float, value_in_answer: float) -> str:
    """How far the lowest opening stands above the water as she rests, m."""
    s, ship = a.sheet, a.assessed.situation
    assert ship.vessel.openings is not None
    assert ship.flotation is not None
    k = ship.vessel.openings.index(opening)
    heel = abs(ship.rest.list_angle or 0.0)
    point = _point(a, ("openings", k), opening.name, side, (opening.x, opening.y, opening.z))
    if ship.waterplane is not None:
        level, lcf = ship.waterplane.level(heel), ship.waterplane._lcf
    else:
        level, lcf = ship.flotation.draft_at(opening.x), opening.x
    length = ship.vessel.particulars.length_bp
    check = opening.z * cos(radians(heel)) - opening.y * side * sin(radians(heel)) - level
    check -= (lcf - opening.x) * ship.flotation.trim / length
    assert abs(check - height) < 1e-9
    return s.add(
        "height_of_lowest_opening", "expression", HEIGHT,
        {
            "phi": s.constant("angle she rests at", heel, "degree"), **point,
            "T": s.constant(LEVEL, s.here(level, "length"), s.unit("length")),
            "LCF": s.constant("LCF", s.here(lcf, "length"), s.unit("length")), "t": "trim",
            "L": a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
        },
        name=f"height of {opening.name} above the water", unit=s.unit("length"), value=value_in_answer,
    )  # fmt: skip


def write(a: Sources) -> str | None:
    """Nodes of `down_flooding` and `deck_edge_angle`; gives that of the angle of down-flooding."""
    s = a.sheet
    row = s.at(("righting_lever",))
    found = flooding(a, a.assessed.heeled, False)
    if found is not None:
        found = s.copy("down_flooding", found, path=("righting_lever", "down_flooding", "angle"))
    edge = deck_edge(a)
    if edge is not None and row["deck_edge_angle"] is not None:
        s.copy("deck_edge_angle", edge, path=("righting_lever", "deck_edge_angle"))
    return found
