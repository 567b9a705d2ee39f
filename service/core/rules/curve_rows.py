"""Rows of the righting lever curve that the documents for one type of ship share: areas, levers, angles, ranges.

No document: only how each is measured. A row whose unit ends in degree takes areas in m.degree, else in m.rad."""

from collections.abc import Sequence
from math import degrees, inf, isinf

from ..lever_measures import LeverMeasures
from ..situation import Situation
from .limit import (
    CONDITION,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    SHIP,
    Criterion,
    Intermediate,
    Limit,
    Ruling,
    judge,
)
from .measured_lever import (
    TOO_SHORT,
    area_effect,
    ends_rising,
    flooding_detail,
    floods_before,
    lever_effect,
    too_short,
    unknown,
)

NOTHING_OF_THE_KIND = "no such cargo or operation in this condition"


def nothing_of_the_kind(aboard: bool) -> Ruling | None:
    """Where the cargo or operation that a set is for is not in the condition. Source: definition."""
    return None if aboard else Ruling(NOT_APPLICABLE, NOTHING_OF_THE_KIND, CONDITION)


def under_24_m(ship: Situation) -> Ruling | None:
    """Where she is shorter than the Code applies to. Source: 2008 IS Code, Introduction 1.2."""
    if ship.vessel.particulars.rule_length >= 24.0:
        return None
    words = "the Code applies to ships of 24 m in length and above (Introduction 1.2)"
    return Ruling(NOT_APPLICABLE, words, SHIP)


def in_unit_of(row: Limit, area: float | None) -> float | None:
    """An area in m.rad in the unit of a row: m.degree for some. Source: definition."""
    return degrees(area) if area is not None and row.unit.endswith("degree") else area


def area_between(
    row: Limit,
    levers: LeverMeasures,
    ends: tuple[float, float],
    unless: Ruling | None,
    required: float | None = None,
    details: Sequence[Intermediate] = (),
) -> Criterion:
    """Area between two angles in degrees, or to the angle of down-flooding. Source: the document of the row."""
    first, last = ends
    area = levers.area_to(last)
    if first > 0.0 and area is not None and levers.usable is not None:
        before = levers.area_to(first) or 0.0
        area = area - before if levers.usable > first else 0.0
    ruling = unless or unknown(levers) or (floods_before(levers, first) if first > 0.0 else None)
    return judge(
        row,
        in_unit_of(row, area),
        required,
        unless=ruling or too_short(levers, last),
        details=(*details, flooding_detail(levers, "angle of down-flooding")),
        vcg_effect=in_unit_of(row, area_effect(levers, first, last)),
    )


def area_to_least(
    row: Limit,
    levers: LeverMeasures,
    most: float,
    unless: Ruling | None,
    required: float | None = None,
    details: Sequence[Intermediate] = (),
) -> Criterion:
    """Area from upright to the least of the angle of the greatest lever, that of down-flooding and `most` degrees
    (inf: only the first two). Source: the document of the row."""
    angle = levers.angle_of_greatest
    end = None if angle is None else min(angle, most)
    return judge(
        row,
        in_unit_of(row, levers.area_to_greatest(most)),
        required,
        unless=unless or unknown(levers) or ends_rising(levers, most),
        details=(
            *details,
            flooding_detail(levers, "angle of down-flooding"),
            Intermediate("angle_of_maximum", "angle of the maximum righting lever", "degree", angle),
            Intermediate("end_of_area", "end of the area", "degree", end),
        ),
    )


def greatest_lever(
    row: Limit,
    levers: LeverMeasures,
    angle: float,
    unless: Ruling | None,
    required: float | None = None,
    details: Sequence[Intermediate] = (),
) -> Criterion:
    """Greatest lever at `angle` degrees or more, m. Source: the document of the row."""
    lever, at = levers.greatest_from(angle) or (None, angle)
    ruling = unless or unknown(levers) or (floods_before(levers, angle) if angle > 0.0 else None)
    return judge(
        row,
        lever,
        required,
        unless=ruling or too_short(levers, angle),
        details=(*details, flooding_detail(levers, "angle of down-flooding")),
        vcg_effect=lever_effect(at) or None,
    )


def angle_of_greatest(
    row: Limit, levers: LeverMeasures, unless: Ruling | None, details: Sequence[Intermediate] = ()
) -> Criterion:
    """Angle of the greatest lever, degrees. Source: the document of the row."""
    return judge(
        row,
        levers.angle_of_greatest,
        unless=unless or unknown(levers) or ends_rising(levers, row.limit or 90.0),
        details=(*details, flooding_detail(levers, "angle of down-flooding")),
    )


def angle_of_flooding(row: Limit, levers: LeverMeasures, unless: Ruling | None) -> Criterion:
    """Angle of down-flooding, degrees; met where no opening floods her. Source: the document of the row."""
    return judge(row, levers.flooding, unless=unless or unknown(levers))


def end_of_positive_levers(levers: LeverMeasures) -> float | None:
    """Angle in degrees up to which levers are positive, an opening stays dry and the cross curves reach; 0 where there
    is no angle she rests at; None where that of down-flooding is unknown. Source: definition."""
    if levers.usable is None:
        return None
    rest = levers.curve.rise(0.0)
    if rest is None or rest >= levers.usable:
        return 0.0
    vanishing = levers.curve.vanishing_angle
    return levers.usable if vanishing is None else min(levers.usable, vanishing)


def positive_range(
    row: Limit,
    levers: LeverMeasures,
    unless: Ruling | None,
    required: float | None = None,
    from_rest: bool = False,
    details: Sequence[Intermediate] = (),
) -> Criterion:
    """How far levers are positive, in degrees of heel, or of heel beyond her rest. Source: the document of the row."""
    end, rest = end_of_positive_levers(levers), levers.curve.rise(0.0) or 0.0
    attained = end if end is None or not from_rest else max(end - rest, 0.0)
    limit = row.limit if required is None else required
    ruling = unless or unknown(levers)
    if ruling is None and end == 0.0:
        ruling = Ruling(FAIL, "no angle of equilibrium before an opening floods or the curve ends")
    reaches = limit is not None and attained is not None and attained >= limit
    floods = levers.flooding is not None and levers.flooding <= levers.curve.last_heel
    if ruling is None and not reaches and end == levers.curve.last_heel and not floods:
        ruling = TOO_SHORT
    return judge(
        row,
        attained,
        required,
        unless=ruling,
        details=(*details, flooding_detail(levers, "angle of down-flooding")),
    )


def heel_under(
    row: Limit,
    levers: LeverMeasures,
    heel: float | None,
    unless: Ruling | None,
    required: float | None = None,
    details: Sequence[Intermediate] = (),
) -> Criterion:
    """Heel in degrees at which she comes to rest under a heeling lever (None: at none) against a limit.

    Source: the document of the row."""
    flooding = levers.flooding
    ruling = unless or unknown(levers)
    if ruling is None and heel is None:
        ruling = NO_REST
    elif ruling is None and heel is not None and flooding is not None and flooding <= heel:
        ruling = Ruling(FAIL, "an opening floods before equilibrium is reached")
    return judge(row, heel, required, unless=ruling, details=details)


NO_REST = Ruling(FAIL, "no equilibrium: the heeling lever exceeds every righting lever")


def missing(what: str) -> Ruling:
    """Not computable because the booklet or the condition does not say something. Source: definition."""
    return Ruling(NOT_COMPUTABLE, f"not given: {what}")


def finite_or_none(angle: float | None) -> float | None:
    """An angle to be shown: None where there is none. Source: definition."""
    return None if angle is None or isinf(angle) else angle


ALL_THE_WAY = inf
"""No angle of its own ends an area."""
