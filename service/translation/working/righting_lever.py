"""The righting lever of the answer: levers, maximum, range, areas, list and loll."""

from service.translation.working.levers import Levers, heeling_arm
from service.translation.working.sources import Sources


def write(a: Sources, levers: Levers, flooding: str | None) -> None:
    """Nodes of `righting_lever`. flooding: the node of the angle of down-flooding, where there is one."""
    s, side = a.sheet, levers.side
    row = s.at(("righting_lever",))
    levers.printed_levers()
    _rest_of(a, levers)
    end, reason = row["range_end"]["angle"], row["range_end"]["reason"]
    beyond = row["beyond"]
    vanishing = levers.curve.vanishing_angle
    if vanishing is not None:
        levers.crossing("vanishing_angle", vanishing, None, side, "angle of vanishing stability")
    if reason == "down_flooding" and flooding is not None:
        s.copy("range_end", flooding, name="end of the range", path=("righting_lever", "range_end", "angle"))
    elif reason == "vanishing":
        s.copy(
            "range_end",
            "vanishing_angle",
            name="end of the range",
            path=("righting_lever", "range_end", "angle"),
        )
        s.copy(
            "righting_lever/vanishing_angle", "vanishing_angle", path=("righting_lever", "vanishing_angle")
        )
    else:
        given = s.constant("last heel of the cross curves", end, "degree")
        s.copy("range_end", given, name="end of the range", path=("righting_lever", "range_end", "angle"))
    _greatest(a, levers, "angle_of_maximum", ("righting_lever",), row)
    if beyond is not None:
        _greatest(a, levers, "beyond/angle_of_maximum", ("righting_lever", "beyond"), beyond)
        if beyond["vanishing_angle"] is not None:
            path = ("righting_lever", "beyond", "vanishing_angle")
            s.copy("beyond/vanishing_angle", "vanishing_angle", path=path)
    for i, area in enumerate(row["areas"]):
        _shown_area(a, levers, i, area)


def _greatest(
    a: Sources, levers: Levers, id: str, path: tuple[str | int, ...], row: dict[str, float]
) -> None:
    s, side = a.sheet, levers.side
    angle = levers.greatest(f"{id}/found", row["angle_of_maximum"], side, "angle of the greatest lever")
    s.copy(id, angle, name="angle of the greatest lever", path=(*path, "angle_of_maximum"))
    lever = levers.lever(angle, side)
    s.copy(id.replace("angle_of_", ""), lever, name="greatest lever", path=(*path, "maximum"))


def _shown_area(a: Sources, levers: Levers, i: int, area: dict[str, float | None]) -> None:
    s, path = a.sheet, ("righting_lever", "areas", i)
    ends = []
    for which in ("start", "end"):
        value = area[which]
        assert value is not None
        node = levers.angle(value) if value in (0.0, 30.0, 40.0) else _end_angle(a, value)
        s.copy(f"area/{i}/{which}", node, name=f"{which} of the area", path=(*path, which))
        ends.append(node)
    if area["area"] is None:
        return
    if s.value(ends[1]) <= s.value(ends[0]):
        s.copy(
            f"area/{i}", s.constant("the range ends before", 0.0, s.unit("lever_area")), path=(*path, "area")
        )
        return
    s.copy(f"area/{i}", levers.area_between(ends[0], ends[1], levers.side), path=(*path, "area"))


def _end_angle(a: Sources, value: float) -> str:
    """The end of the usable part, or what the end of the cross curves is."""
    s = a.sheet
    if s.has("down_flooding") and s.value("down_flooding") == value:
        return "down_flooding"
    given = s.constant("last heel of the cross curves", value, "degree")
    return s.copy(f"angle/{value:g}", given, name=f"{value:.4g}°")


def _rest_of(a: Sources, levers: Levers) -> None:
    """List and loll: from GM for a small angle, else roots of the curve."""
    list_of(a, levers)
    loll = a.assessed.situation.rest.loll
    if loll is not None:
        s = a.sheet
        id = "loll/found"
        if not levers.curve.tcg:
            levers.crossing(id, loll, None, levers.side, "angle of loll")
        else:
            _loll_without_list(levers, id, loll)
        s.copy("angle_of_loll", id, name="angle of loll", path=("stability", "angle_of_loll"))


def _loll_without_list(levers: Levers, id: str, degree: float) -> None:
    """Where she would lie without her list: the crossing of the curve without TCG."""
    u = "((phi - x) * rad)"
    levers.sheet.add(
        id, "root", f"c0 + c1 * {u} + c2 * {u}^2 + c3 * {u}^3 - KG * sin(phi)", levers.at_root(degree),
        name="angle of loll",
        unit="degree", value=degree, source="root of the righting lever curve without TCG",
    )  # fmt: skip


def list_of(a: Sources, levers: Levers | None) -> None:
    """The angle she rests at."""
    s, ship = a.sheet, a.assessed.situation
    rest = ship.rest
    if rest.list_angle is None:
        return
    path = ("flotation", "list", "angle")
    if not rest.sought:
        s.add(
            "list", "expression", "atan(arm / GM)", {"arm": heeling_arm(a), "GM": "gm_corrected"},
            name="list, positive to port", unit="degree", path=path,
            source="Derrett and Barrass, Ship Stability: tan(list) = GG1 / GM",
        )  # fmt: skip
        return
    assert levers is not None
    side = -1.0 if ship.heeling_arm < 0.0 else 1.0
    found = levers.crossing("list/found", abs(rest.list_angle), None, side, "angle she rests at")
    s.add(
        "list", "expression", "phi" if rest.list_angle >= 0.0 else "-phi", {"phi": found},
        name="list, positive to port", unit="degree", path=path,
    )  # fmt: skip
