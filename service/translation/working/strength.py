"""Longitudinal strength: forces at her read-out points and between them, limits there, and what they use of them."""

from service.core.conventions import GRAVITY
from service.core.strength.limits import BENDING, HARBOUR, SEA, SHEAR
from service.core.strength.still_water import Extreme, StationForces, StillWater
from service.translation.working import strength_extremes as extremes
from service.translation.working.clause import Clause
from service.translation.working.given import Input, Inputs, Path
from service.translation.working.sources import Sources
from service.translation.working.strength_forces import Forces

DIMENSION = {SHEAR: "mass", BENDING: "moment"}
WORDS = {SHEAR: SHEAR.replace("_", " "), BENDING: BENDING.replace("_", " ")}
SHORT = {SHEAR: "shear", BENDING: "bending"}
OTHER = {SHEAR: "_negative", BENDING: "_sagging"}
SETS = (SEA, HARBOUR)
SOURCE = "the vessel's loading manual; IACS UR S1"
LINEAR = "limits between read-out points are linear (value from memory)"
PERCENT = "100 * abs(v) / limit"


def write(a: Sources) -> None:
    """Places, limits and percents of the block `strength`, at her read-out points and at the extremes."""
    found = a.assessed.situation.strength
    if found is None:
        return
    for i, station in enumerate(found.stations):
        x = a.vessel.number(
            ("strength", "stations", a.stations[i], "x"), "x", f"place at {_words(i, station)}"
        )
        a.sheet.copy(f"strength/{i}/x", x, path=("strength", "stations", i, "x"))
    forces = Forces(a, found)
    for i, station in enumerate(found.stations):
        if forces.is_written:
            _larger(a, i, station)
        _station(a, i, station)
    _sums(a, forces)
    for name, extreme in found.extremes.items():
        quantity, path = SHEAR if name.startswith("shear") else BENDING, ("strength", "extremes", name)
        if forces.is_written:
            extremes.write(a, forces, f"strength/{name}", quantity, extreme, path)
        _extreme(a, found, name, quantity, extreme, (*path, "percent"))
    for quantity, extreme in found.between.items() if forces.is_written else ():
        extremes.write(a, forces, f"strength/between/{quantity}", quantity, extreme, None)


def _larger(a: Sources, i: int, station: StationForces) -> None:
    """The larger shear force of both sides of a read-out point."""
    side = "aft" if abs(station.cut.shear_aft) >= abs(station.cut.shear_forward) else "forward"
    a.sheet.copy(
        f"strength/{i}/shear", f"strength/{i}/shear_{side}", name="the larger shear force of both sides"
    )


def _sums(a: Sources, forces: Forces) -> None:
    """What is left at her forward end, loads at a point, and her segments against her lightship."""
    if not forces.is_written:
        return
    s, path, last = a.sheet, ("strength",), list(forces.cuts.values())[-1]
    s.copy("strength/closure/shear", f"{last}/shear_forward", path=(*path, "closure", "shear_force"))
    s.copy("strength/closure/bending", f"{last}/bending", path=(*path, "closure", "bending_moment"))
    s.total(
        "strength/point_loads", [each.mass for each in forces.loads if each.load.aft == each.load.forward],
        name="masses at a point", unit=s.unit("mass"), value=s.at((*path, "point_loads_mass")),
        path=(*path, "point_loads_mass"),
    )  # fmt: skip
    segments = forces.loads[: forces.segments]
    mass = s.total(
        "strength/segments/mass", [each.mass for each in segments], name="mass of all segments", unit=s.unit("mass"),
        value=s.here(sum(each.load.mass for each in segments), "mass"),
    )  # fmt: skip
    moment = s.products(
        "strength/segments/moment", [(each.mass, each.lcg) for each in segments], name="moment of all segments",
        unit=s.unit("moment"), value=s.here(sum(each.load.moment for each in segments), "moment"),
    )  # fmt: skip
    difference = (*path, "lightship_difference")
    s.add(
        "strength/segments/difference", "expression", "m - W_ls", {"m": mass, "W_ls": "lightship/mass"},
        name="segments less the lightship", unit=s.unit("mass"), path=(*difference, "mass"),
    )  # fmt: skip
    s.add(
        "strength/segments/lcg", "expression", "M / m - LCG_ls", {"M": moment, "m": mass, "LCG_ls": "lightship/lcg"},
        name="LCG of the segments less that of the lightship", unit=s.unit("length"), path=(*difference, "lcg"),
    )  # fmt: skip


def _value(a: Sources, id: str, quantity: str, value: float, words: str) -> str:
    s, dimension = a.sheet, DIMENSION[quantity]
    if s.has(id):
        return id
    given = s.constant(
        f"{WORDS[quantity]} at {words}, integrated along her length", s.here(value, dimension), s.unit(dimension)
    )  # fmt: skip
    return s.copy(id, given, name=f"{WORDS[quantity]} at *", of=words)


def _limit(a: Sources, i: int, which: str, quantity: str, negative: bool) -> Input | None:
    """The limit of a sign at a read-out point: its own, or that of the other sign where it has none."""
    k = a.stations[i]
    place: Path = ("strength", "stations", k)
    names = [f"{quantity}_{which}{OTHER[quantity]}"] if negative else []
    kilo = (a.vessel.document["strength"].get("unit") or "t") == "kN"
    scale = a.vessel.frame.scale
    whole = scale.mass if quantity == SHEAR else scale.moment
    for name in (*names, f"{quantity}_{which}"):
        if a.vessel.has((*place, name)):
            factor = whole / GRAVITY if kilo else whole
            return a.vessel.number((*place, name), DIMENSION[quantity], name.replace("_", " "), factor=factor)
    return None


def _words(i: int, station: StationForces) -> str:
    return station.station.name or f"read-out point {i + 1}"


def _station(a: Sources, i: int, station: StationForces) -> None:
    s, words, path = a.sheet, _words(i, station), ("strength", "stations", i)
    for quantity in (SHEAR, BENDING):
        value = station.cut.shear if quantity == SHEAR else station.cut.bending
        node = _value(a, f"strength/{i}/{SHORT[quantity]}", quantity, value, words)
        for which in SETS:
            use = station.use(which)
            used = use.shear if quantity == SHEAR else use.bending
            given = _limit(a, i, which, quantity, value < 0.0)
            if used.limit is None or given is None:
                continue
            short = SHORT[quantity]
            limit = s.copy(
                f"strength/{i}/{which}/{short}_limit", given, name=f"limit of the {WORDS[quantity]} at *", of=words,
                path=(*path, which, f"{short}_limit"), source=SOURCE,
            )  # fmt: skip
            if s.at((*path, which, f"percent_{short}")) is not None and used.limit:
                s.add(
                    f"strength/{i}/{which}/percent_{short}", "expression", PERCENT, {"v": node, "limit": limit},
                    name=f"percent of the limit of the {WORDS[quantity]} at *", unit="%", of=words,
                    path=(*path, which, f"percent_{short}"), source=SOURCE,
                )  # fmt: skip


def _extreme(
    a: Sources, found: StillWater, name: str, quantity: str, extreme: Extreme, path: Path | None
) -> str | None:
    """Percent of an extreme between read-out points, of the limit that is linear there."""
    s, which, used = a.sheet, found.which, extreme.use
    id = f"strength/{name}"
    words = f"the extreme {name.replace('_', ' ')}"
    value = _value(a, f"{id}/value", quantity, extreme.value, words)
    limit = _limit_at(a, id, which, quantity, extreme)
    if used.limit is None or not used.limit or used.percent is None or limit is None:
        return None
    return s.add(
        f"{id}/percent", "expression", PERCENT, {"v": value, "limit": limit}, name=f"percent of the limit at {words}",
        unit="%", path=path, value=used.percent, source=SOURCE, memory=LINEAR,
    )  # fmt: skip


def _limit_at(a: Sources, id: str, which: str, quantity: str, extreme: Extreme) -> str | None:
    """The limit of an extreme's sign at its place, between the two read-out points around it."""
    s, limit, negative = a.sheet, extreme.use.limit, extreme.value < 0.0
    if limit is None:
        return None
    strength = a.assessed.situation.vessel.strength
    assert strength is not None
    places = [
        (station.x, i)
        for i, station in enumerate(strength.stations)
        if station.limits(which).of_sign(quantity, -1.0 if negative else 1.0) is not None
    ]
    unit = s.unit(DIMENSION[quantity])
    x = s.copy(
        f"{id}/x",
        s.constant(
            "place of the extreme, a root of its slope", s.here(extreme.x, "length"), s.unit("length")
        ),
    )
    at = [i for place, i in places if abs(place - extreme.x) <= 1e-9]
    if at:
        given = _limit(a, at[0], which, quantity, negative)
        return None if given is None else s.copy(f"{id}/limit", given, name="limit there", source=SOURCE)
    below, above = (
        max((each for each in places if each[0] < extreme.x), default=None),
        min((each for each in places if each[0] > extreme.x), default=None),
    )
    if below is None or above is None:
        return s.copy(f"{id}/limit", s.constant("limit there", s.here(limit, DIMENSION[quantity]), unit))
    row: Inputs = {"x": x}
    for n, (_, i) in enumerate((below, above)):
        given = _limit(a, i, which, quantity, negative)
        assert given is not None
        row |= {f"x{n}": f"strength/{i}/x", f"y{n}": given}
    return s.linear(
        f"{id}/limit", row, name="limit there", unit=unit, value=s.here(limit, DIMENSION[quantity]),
        source=f"{SOURCE}; {LINEAR}",
    )  # fmt: skip


# --- clauses ---------------------------------------------------------------------------------------------------


def _worst(clause: Clause) -> int | None:
    """The number of the read-out point that the clause names."""
    found = clause.a.assessed.situation.strength
    x = next((d.value for d in clause.criterion.details if d.key == "x"), None)
    if found is None or x is None:
        return None
    return next((i for i, each in enumerate(found.stations) if each.station.x == x), None)


def at_station(clause: Clause) -> str | None:
    """Percent of the limit at the read-out point that uses most of it."""
    found, i = clause.a.assessed.situation.strength, _worst(clause)
    if found is None or i is None:
        return None
    id = f"strength/{i}/{found.which}/percent_{SHORT[clause.criterion.row.key]}"
    return id if clause.sheet.has(id) else None


def detail(clause: Clause, key: str) -> str | None:
    """Place, force, limits and percents of that point, in metres and tonnes."""
    s, i = clause.sheet, _worst(clause)
    if i is None:
        return None
    short = SHORT[clause.criterion.row.key]
    which, _, part = key.partition("/")
    ids = {
        "x": f"strength/{i}/x",
        "value": f"strength/{i}/{short}",
        "limit": f"strength/{i}/{which}/{short}_limit",
        "percent": f"strength/{i}/{which}/percent_{short}",
    }
    id = ids[part or key]
    return s.metric(id) if s.has(id) else None


def _between(clause: Clause) -> tuple[str, Extreme] | None:
    """What is nearest to its limit between her read-out points."""
    found = clause.a.assessed.situation.strength
    value = next((d.value for d in clause.criterion.details if d.key == "value"), None)
    if found is None or value is None:
        return None
    return next(((q, each) for q, each in found.between.items() if each.value == value), None)


def between(clause: Clause) -> str | None:
    """Percent of the limit there."""
    found, nearest = clause.a.assessed.situation.strength, _between(clause)
    if found is None or nearest is None:
        return None
    return _extreme(clause.a, found, f"between/{nearest[0]}", *nearest, None)


def detail_between(clause: Clause, key: str) -> str | None:
    """Place, force and limit there, in metres and tonnes."""
    nearest = _between(clause)
    if nearest is None or between(clause) is None:
        return None
    id = f"strength/between/{nearest[0]}/{key}"
    return clause.sheet.metric(id) if clause.sheet.has(id) else None
