"""Longitudinal strength: limits at her read-out points and between them, and what her forces use of them.

Forces themselves are integrals over her whole length; they stand as they were computed (see `NOT_DERIVED`)."""

from service.core.conventions import GRAVITY
from service.core.strength.limits import BENDING, HARBOUR, SEA, SHEAR
from service.core.strength.still_water import Extreme, StationForces, StillWater
from service.translation.working.clause import Clause
from service.translation.working.sheet import Path
from service.translation.working.sources import Sources
from service.wire.working import WorkingInput

DIMENSION = {SHEAR: "mass", BENDING: "moment"}
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
        _station(a, i, station)
    for name, extreme in found.extremes.items():
        quantity = SHEAR if name.startswith("shear") else BENDING
        _extreme(a, found, name, quantity, extreme, ("strength", "extremes", name, "percent"))


def _order(a: Sources) -> list[int]:
    """Her read-out points as typed, from aft to forward."""
    given, frame = a.vessel.document["strength"]["stations"], a.vessel.frame
    return sorted(range(len(given)), key=lambda k: frame.x(given[k]["x"]))


def _value(a: Sources, id: str, quantity: str, value: float, words: str) -> str:
    s, dimension = a.sheet, DIMENSION[quantity]
    given = s.constant(
        f"{quantity.replace('_', ' ')} {words}, integrated along her length",
        s.here(value, dimension),
        s.unit(dimension),
    )
    return s.copy(id, given, name=f"{quantity.replace('_', ' ')} {words}")


def _limit(a: Sources, i: int, which: str, quantity: str, negative: bool) -> "str | WorkingInput | None":
    """The limit of a sign at a read-out point: its own, or that of the other sign where it has none."""
    k = _order(a)[i]
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


def _station(a: Sources, i: int, station: StationForces) -> None:
    s, words = a.sheet, f"at {station.station.name or f'read-out point {i + 1}'}"
    path: Path = ("strength", "stations", i)
    x = a.vessel.number(("strength", "stations", _order(a)[i], "x"), "x", f"place {words}")
    s.copy(f"strength/{i}/x", x, path=(*path, "x"))
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
                f"strength/{i}/{which}/{short}_limit", given, name=f"limit of the {quantity.replace('_', ' ')} {words}",
                path=(*path, which, f"{short}_limit"), source=SOURCE,
            )  # fmt: skip
            if s.at((*path, which, f"percent_{short}")) is not None and used.limit:
                s.add(
                    f"strength/{i}/{which}/percent_{short}", "expression", PERCENT, {"v": node, "limit": limit},
                    name=f"percent of the limit of the {quantity.replace('_', ' ')} {words}", unit="%",
                    path=(*path, which, f"percent_{short}"), source=SOURCE,
                )  # fmt: skip


def _extreme(
    a: Sources, found: StillWater, name: str, quantity: str, extreme: Extreme, path: Path | None
) -> str | None:
    """Percent of an extreme between read-out points, of the limit that is linear there."""
    s, which, used = a.sheet, found.which, extreme.use
    id = f"strength/{name}"
    words = f"at the extreme {name.replace('_', ' ')}"
    value = _value(a, f"{id}/value", quantity, extreme.value, words)
    limit = _limit_at(a, id, which, quantity, extreme)
    if used.limit is None or not used.limit or used.percent is None or limit is None:
        return None
    return s.add(
        f"{id}/percent", "expression", PERCENT, {"v": value, "limit": limit}, name=f"percent of the limit {words}",
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
    row: dict[str, str | WorkingInput] = {"x": x}
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
