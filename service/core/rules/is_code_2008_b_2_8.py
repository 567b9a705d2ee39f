"""2008 IS Code (resolution MSC.267(85)), Part B, section 2.8 as amended by MSC.415(97): towing and escort.

Self-tripping: her own pull athwartships. Its heeling lever was read; that the righting area must not be less than the
heeling area is a value from memory. Tow-tripping could not be read: it is named and never judged. Escort: the areas and
the angle are values from memory; the greatest heeling moment comes with the condition, from tests or calculation.
"""

from typing import NamedTuple

from ..conventions import GRAVITY
from ..free_surface import IMO
from ..lever_measures import LeverMeasures
from ..righting_lever import RightingLever
from ..situation import Heeled, Situation
from ..towing import Towing, transverse_part
from .curve_rows import heel_under, missing, nothing_of_the_kind, under_24_m
from .limit import (
    AT_LEAST,
    AT_MOST,
    FAIL,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without_curve,
)
from .measured_lever import TOO_SHORT, flooding_detail, unknown

NAME = "is-code-2008-b-2.8"
_SOURCE = "2008 IS Code (MSC.267(85)), Part B 2.8 as amended by MSC.415(97)"
_ESCORT = "the criteria for escort are recalled, the text was not read"
FLOODS = Ruling(FAIL, "an opening floods before equilibrium is reached")
NO_REST = Ruling(FAIL, "no equilibrium: the heeling lever exceeds every righting lever")

SELF_TRIPPING = Limit(
    f"{NAME}-self-tripping",
    "B 2.8 (self-tripping)",
    "Righting area above the lever of her own pull against the heeling area below it",
    "area",
    AT_LEAST,
    None,
    "m·rad",
    f"{_SOURCE} (A >= B: value from memory)",
    "self_tripping_areas",
    "that the righting area A must not be less than the heeling area B is recalled; the lever was read",
)
TOW_TRIPPING = Limit(
    f"{NAME}-tow-tripping",
    "B 2.8 (tow-tripping)",
    "First intercept with the lever of the tow before down-flooding (no figure is worked out)",
    "angle",
    AT_MOST,
    None,
    "degree",
    f"{_SOURCE} (not read)",
    "tow_tripping_angle",
    "the factors of the tow-tripping lever could not be read",
    judges=False,
)
ESCORT = Limit(
    f"{NAME}-escort",
    "B 2.8 (escort)",
    "Righting area from equilibrium to 20 degrees against 1.25 times the heeling area",
    "area",
    AT_LEAST,
    None,
    "m·rad",
    f"{_SOURCE} (value from memory)",
    "escort_areas_to_20",
    _ESCORT,
)
ESCORT_WHOLE = Limit(
    f"{NAME}-escort-whole",
    "B 2.8 (escort)",
    "Righting area up to down-flooding, the second intercept or 40 degrees against 1.40 times the heeling area",
    "area",
    AT_LEAST,
    None,
    "m·rad",
    f"{_SOURCE} (value from memory)",
    "escort_areas",
    _ESCORT,
)
ESCORT_HEEL = Limit(
    f"{NAME}-escort-heel",
    "B 2.8 (escort)",
    "Heel under the greatest moment of the escorted ship",
    "angle",
    AT_MOST,
    15.0,
    "degree",
    f"{_SOURCE} (value from memory)",
    "escort_heel",
    _ESCORT,
)
ESCORTING = (ESCORT, ESCORT_WHOLE, ESCORT_HEEL)
LIMITS = (SELF_TRIPPING, TOW_TRIPPING, *ESCORTING)


class Pull(NamedTuple):
    """Her own pull athwartships: part CT, lever BP CT / (g x displacement) per metre of arm, height h of the point of
    tow above the propulsion and its distance r from the centreline on the side she heels to, m."""

    part: float
    per_metre: float
    height: float
    offset: float

    def net_of(self, curve: RightingLever) -> RightingLever:
        """GZ - per_metre (h cos(heel) - r sin(heel)). Source: 2008 IS Code Part B 2.8 (self-tripping lever)."""
        vcg, tcg = curve.vcg - self.per_metre * self.offset, curve.tcg + self.per_metre * self.height
        return RightingLever(curve.kn, vcg, tcg)


def pull_of(ship: Situation, towing: Towing, side: float) -> Pull | None:
    """Her pull to one side; None where her booklet does not say all of it. Source: 2008 IS Code Part B 2.8."""
    point, place, drive, bollard = towing.tow_point, towing.propulsion, towing.drive, towing.bollard_pull
    if point is None or place is None or drive is None or bollard is None:
        return None
    p = ship.vessel.particulars
    x, y, z = point
    part = transverse_part(drive, abs(x - place[0]), p.rule_length, x < 0.5 * p.length_bp)
    return Pull(part, bollard * part / (GRAVITY * ship.displacement.mass), z - place[1], y * side)


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The rows on one side; m.rad and degrees. Source: 2008 IS Code Part B 2.8."""
    small, levers = under_24_m(ship), heeled.levers
    none = small or nothing_of_the_kind(ship.condition.escort_moment is not None)
    if levers is None:
        return [*without_curve(LIMITS[:2], ship, small), *without_curve(ESCORTING, ship, none)]
    towing = ship.vessel.towing
    pull = None if towing is None else pull_of(ship, towing, heeled.side)
    return [
        _self_tripping(levers, pull, small),
        judge(TOW_TRIPPING, None, unless=small),
        *_escort(ship, levers, none),
    ]


def _self_tripping(levers: LeverMeasures, pull: Pull | None, small: Ruling | None) -> Criterion:
    if pull is None:
        words = "bollard_pull, tow_point, propulsion and drive of the vessel's towing"
        return judge(SELF_TRIPPING, None, unless=small or missing(words))
    net = pull.net_of(levers.curve)
    rest = net.rise(0.0)
    end = _end(net, levers, rest)
    a = b = None
    if rest is not None and end is not None:
        a, b = net.area(rest, max(rest, end)), -net.area_from_upright(rest)
    ruling = small or unknown(levers) or _at_rest(levers, rest)
    if ruling is None and a is not None and b is not None and a < b:
        ruling = _open_end(net, levers, rest)
    details = (
        Intermediate("transverse_part", "part of the pull athwartships CT", "", pull.part),
        Intermediate("heeling_lever", "heeling lever upright", "m", pull.per_metre * pull.height),
        Intermediate("angle_of_heel", "first intercept", "degree", rest),
        Intermediate("end_of_area", "end of area A", "degree", end),
        flooding_detail(levers, "angle of down-flooding"),
    )
    return judge(SELF_TRIPPING, a, b, unless=ruling, details=details)


def _end(net: RightingLever, levers: LeverMeasures, rest: float | None, most: float = 90.0) -> float | None:
    """Second intercept, down-flooding, the end of the cross curves or `most` degrees, the least."""
    if levers.usable is None:
        return None
    second = net.fall(0.0, beyond=rest or 0.0)
    return min(levers.usable, most, levers.usable if second is None else second)


def _at_rest(levers: LeverMeasures, rest: float | None) -> Ruling | None:
    if rest is None:
        return NO_REST
    return FLOODS if levers.flooding is not None and levers.flooding <= rest else None


def _open_end(net: RightingLever, levers: LeverMeasures, rest: float | None) -> Ruling | None:
    """Where an area that is too small ends only because the cross curves do."""
    vanishes = net.fall(0.0, beyond=rest or 0.0) is not None
    floods = levers.flooding is not None and levers.flooding <= levers.curve.last_heel
    return None if vanishes or floods else TOO_SHORT


def _escort(ship: Situation, levers: LeverMeasures, none: Ruling | None) -> list[Criterion]:
    """The lever is constant with heel."""
    moment, curve = ship.condition.escort_moment or 0.0, levers.curve
    lever = moment / ship.displacement.mass
    net = RightingLever(curve.kn.less(lever, 0.0), curve.vcg, curve.tcg)
    rest = net.rise(0.0)
    ruling = none or unknown(levers) or _at_rest(levers, rest)
    details = (Intermediate("heeling_lever", "heeling lever", "m", lever),)
    heel = heel_under(ESCORT_HEEL, levers, rest, none, details=details)
    if rest is None:
        return [judge(row, None, unless=ruling, details=details) for row in (ESCORT, ESCORT_WHOLE)] + [heel]
    rows = []
    for row, start, most, times in ((ESCORT, rest, 20.0, 1.25), (ESCORT_WHOLE, 0.0, 40.0, 1.40)):
        end = _end(net, levers, rest, most)
        righting = heeling = None
        if end is not None:
            end = max(end, start)
            righting = curve.area(start, end)
            heeling = righting - net.area(start, end)
        short = None
        if end is not None and end < most - 1e-9:
            short = _open_end(net, levers, rest)
        shown = (*details, Intermediate("end_of_area", "end of the areas", "degree", end))
        required = None if heeling is None else times * heeling
        rows.append(judge(row, righting, required, unless=ruling or short, details=shown))
    return [*rows, heel]


RULE_SET = RuleSet(
    NAME,
    "Towing and escort",
    "International Code on Intact Stability, 2008, Part B, 2.8",
    "MSC.267(85) as amended by MSC.415(97), in force 1 January 2020",
    LIMITS,
    evaluate,
    surfaces=IMO,
)
