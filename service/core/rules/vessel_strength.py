"""The ship's own limits of still-water shear force and bending moment, and of masses in her holds.

Her loading manual gives permissible values at read-out points, at sea and in harbour (IACS UR S1); each value is
judged in percent of the limit of its own sign. Bulk carriers have mass curves for each hold and for two adjacent
ones (UR S1A).
"""

from collections.abc import Sequence

from ..situation import Situation
from ..strength.hold_mass import HoldMass, HoldStrength, least_room
from ..strength.limits import BENDING, SHEAR
from ..strength.still_water import Forces, StationForces
from .limit import (
    ALWAYS,
    AT_LEAST,
    AT_MOST,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    SHIP,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
)

_SOURCE = "the vessel's loading manual; IACS UR S1, UR S11.2.1"
_MASSES = "the vessel's loading manual; IACS UR S1A (mass curves of holds)"
_IN_WAY = "what lies in the double bottom in way of a hold counts as its mass"
_RECALLED = f"that {_IN_WAY} is recalled, not read"

STATION_SHEAR = Limit(
    "vessel-strength-shear",
    "her loading manual",
    "Shear force at the read-out points",
    "shear force in percent of its limit",
    AT_MOST,
    100.0,
    "%",
    _SOURCE,
    "shear_force",
)
STATION_BENDING = Limit(
    "vessel-strength-bending",
    "her loading manual",
    "Bending moment at the read-out points",
    "bending moment in percent of its limit",
    AT_MOST,
    100.0,
    "%",
    _SOURCE,
    "bending_moment",
)
BETWEEN = Limit(
    "vessel-strength-between-stations",
    "her loading manual",
    "Shear force and bending moment between the read-out points",
    "value in percent of its limit",
    AT_MOST,
    100.0,
    "%",
    f"{_SOURCE}; limits between read-out points are linear (value from memory)",
    "between_stations",
    from_memory="that limits between read-out points are linear is recalled, not read",
)
_HOLD = ("her loading manual", "mass in a hold")
HOLD_MOST = Limit(
    "vessel-strength-hold-mass",
    _HOLD[0],
    "Mass in a hold against the greatest at her draft",
    _HOLD[1],
    AT_MOST,
    None,
    "t",
    f"{_MASSES}; {_IN_WAY}: value from memory",
    "hold_mass",
    from_memory=_RECALLED,
)
HOLD_LEAST = Limit(
    "vessel-strength-hold-mass-least",
    _HOLD[0],
    "Mass in a hold against the least at her draft",
    _HOLD[1],
    AT_LEAST,
    None,
    "t",
    f"{_MASSES}; {_IN_WAY}: value from memory",
    "hold_mass",
    from_memory=_RECALLED,
)
PAIR_MOST = Limit(
    "vessel-strength-adjacent-holds",
    _HOLD[0],
    "Mass in two adjacent holds against the greatest at her draft",
    _HOLD[1],
    AT_MOST,
    None,
    "t",
    f"{_MASSES}; {_IN_WAY}: value from memory",
    "hold_mass",
    from_memory=_RECALLED,
)
PAIR_LEAST = Limit(
    "vessel-strength-adjacent-holds-least",
    _HOLD[0],
    "Mass in two adjacent holds against the least at her draft",
    _HOLD[1],
    AT_LEAST,
    None,
    "t",
    f"{_MASSES}; {_IN_WAY}: value from memory",
    "hold_mass",
    from_memory=_RECALLED,
)

NO_DATA = Ruling(NOT_COMPUTABLE, "the booklet has no limits of shear force and bending moment")
CORRECTION = Ruling(NOT_COMPUTABLE, "her manual asks for a correction of shear forces that is not made here")
NO_LIMIT = Ruling(NOT_COMPUTABLE, "the booklet has no limit of this kind in the set in force")
BEYOND = Ruling(
    NOT_COMPUTABLE, "an extreme lies where her booklet gives no limit: beyond her read-out points"
)
NO_MASS_LIMIT = Ruling(NOT_APPLICABLE, "the booklet has no such limits of mass", SHIP)
OFF_DRAFT = Ruling(NOT_COMPUTABLE, "the limits of mass do not reach this draft")
NOTHING = 1e-6
"""Part of the displacement, and of its product with the length, below which a force is rounding."""


def evaluate(ship: Situation) -> list[Criterion]:
    """Every limit of her manual. Source: IACS UR S1, UR S1A."""
    return [*_forces(ship), *_masses(ship)]


def _forces(ship: Situation) -> list[Criterion]:
    rows, booklet, found = (STATION_SHEAR, STATION_BENDING, BETWEEN), ship.vessel.strength, ship.forces
    if booklet is None or found is None:
        unless = NO_DATA
        if booklet is not None and booklet.missing is not None:
            unless = Ruling(NOT_COMPUTABLE, booklet.missing)
        elif booklet is not None and booklet.shear_correction_required:
            unless = CORRECTION
        return [judge(row, None, unless=without(ship, "strength") or unless) for row in rows]
    return [
        _at_stations(STATION_SHEAR, SHEAR, found),
        _at_stations(STATION_BENDING, BENDING, found),
        _between(ship, found),
    ]


def _at_stations(row: Limit, quantity: str, found: Forces) -> Criterion:
    """The station that uses most of its limit in the set in force."""
    stations = [(_percent(station, quantity, found.which), station) for station in found.stations]
    judged = [(percent, station) for percent, station in stations if percent is not None]
    if not judged:
        return judge(row, None, unless=NO_LIMIT)
    percent, worst = max(judged, key=lambda each: each[0])
    return judge(row, percent, details=lambda: _station_details(worst, quantity, found.which))


def _percent(station: StationForces, quantity: str, which: str) -> float | None:
    use = station.use(which)
    return (use.shear if quantity == SHEAR else use.bending).percent


def _station_details(station: StationForces, quantity: str, which: str) -> list[Intermediate]:
    """The place, the value with its sign, and the limits and percent of both sets."""
    unit = "t" if quantity == SHEAR else "t·m"
    value = station.cut.shear if quantity == SHEAR else station.cut.bending
    details = [
        Intermediate("station", "read-out point", "", station.station.name),
        Intermediate("x", "distance from the aft perpendicular", "m", station.station.x),
        Intermediate("value", quantity.replace("_", " "), unit, value),
        Intermediate("set", "set in force", "", which),
    ]
    for name, use in (("sea", station.sea), ("harbour", station.harbour)):
        used = use.shear if quantity == SHEAR else use.bending
        details.append(Intermediate(f"{name}/limit", f"limit, {name}", unit, used.limit))
        details.append(Intermediate(f"{name}/percent", f"percent of the limit, {name}", "%", used.percent))
    return details


def _between(ship: Situation, found: Forces) -> Criterion:
    """The local extreme that uses most of the limit interpolated there."""
    judged = [
        (extreme.use.percent, quantity, extreme)
        for quantity, extreme in found.between.items()
        if extreme.use.percent is not None
    ]
    if not judged:
        return judge(BETWEEN, None, unless=NO_LIMIT)
    percent, quantity, worst = max(judged, key=lambda each: each[0])
    unit = "t" if quantity == SHEAR else "t·m"

    def details() -> tuple[Intermediate, ...]:
        return (
            Intermediate("quantity", "what is nearest to its limit", "", quantity.replace("_", " ")),
            Intermediate("x", "distance from the aft perpendicular", "m", worst.x),
            Intermediate("value", "value there", unit, worst.value),
            Intermediate("limit", "limit there", unit, worst.use.limit),
            Intermediate("set", "set in force", "", found.which),
        )

    row = judge(BETWEEN, percent, details=details)
    if row.verdict == FAIL or not _any_unlimited(ship, found):
        return row
    return judge(BETWEEN, percent, unless=BEYOND, details=details)


def _any_unlimited(ship: Situation, found: Forces) -> bool:
    """Whether an extreme of all her length lies where no limit is."""
    shear = NOTHING * ship.displacement.mass
    bending = shear * ship.vessel.particulars.length_bp
    return any(
        abs(extreme.value) > (shear if name.startswith("shear") else bending)
        for name, extreme in found.extremes.items()
        if extreme.use.percent is None
    )


def _masses(ship: Situation) -> list[Criterion]:
    booklet = ship.vessel.strength
    holds, pairs = ((), ()) if booklet is None else (booklet.holds, booklet.pairs)
    return [
        *_masses_of(ship, holds, ship.hold_masses, HOLD_MOST, HOLD_LEAST),
        *_masses_of(ship, pairs, ship.adjacent_hold_masses, PAIR_MOST, PAIR_LEAST),
    ]


def _masses_of(
    ship: Situation, printed: Sequence[HoldStrength], masses: Sequence[HoldMass], most: Limit, least: Limit
) -> list[Criterion]:
    """Holds alone, or in pairs, against what her booklet prints of either kind."""
    limits = [limit for each in printed for limit in each.limits]
    return [
        _mass(row, kind, ship, masses)
        if any(getattr(limit, kind) is not None for limit in limits)
        else judge(row, None, unless=NO_MASS_LIMIT)
        for row, kind in ((most, "most"), (least, "least"))
    ]


def _mass(row: Limit, kind: str, ship: Situation, masses: Sequence[HoldMass]) -> Criterion:
    """The holds nearest to their limit; what cannot be looked up keeps the row from passing."""
    off = [mass for mass in masses if mass.off]
    nearest = least_room(masses, kind)
    if nearest is None:
        unless = without(ship, "flotation") or (OFF_DRAFT if off else NO_LIMIT)
        return judge(row, None, unless=unless)
    limit = nearest.most if kind == "most" else nearest.least

    def details() -> tuple[Intermediate, ...]:
        holds = ", ".join(ship.vessel.holds[i].id for i in nearest.holds)
        return (
            Intermediate("holds", "hold", "", holds),
            Intermediate("draft", "draft at the middle", "m", nearest.draft),
        )

    judged = judge(row, nearest.mass, limit, details=details)
    if judged.verdict == FAIL or not off:
        return judged
    return judge(row, nearest.mass, limit, unless=OFF_DRAFT, details=details)


RULE_SET = RuleSet(
    "vessel-strength",
    "The ship's own limits of longitudinal strength",
    "the vessel's loading manual",
    "as entered with the vessel",
    (STATION_SHEAR, STATION_BENDING, BETWEEN, HOLD_MOST, HOLD_LEAST, PAIR_MOST, PAIR_LEAST),
    evaluate_upright=evaluate,
    judges_stability=False,
    applies=ALWAYS,
    reads_strength=True,
)
