"""When the righting lever curve decides a clause by itself, in the words that several documents share, and how what is
measured on it moves with the centre of gravity."""

from math import cos, isinf, radians, sin

from ..lever_measures import LeverMeasures
from .limit import FAIL, NOT_COMPUTABLE, Intermediate, Ruling

UNKNOWN_FLOODING = Ruling(
    NOT_COMPUTABLE,
    "the angle of down-flooding is unknown: the booklet gives no openings, or none at this draft",
)
TOO_SHORT = Ruling(NOT_COMPUTABLE, "the cross curves end before the angle this clause needs")
ENDS_RISING = Ruling(
    NOT_COMPUTABLE, "the cross curves end while the lever still rises: its maximum is unknown"
)
FLOODS_BEFORE = Ruling(
    FAIL, "an opening floods before the range of heel this clause measures: no lever is left to count"
)


def unknown(levers: LeverMeasures) -> Ruling | None:
    """Where the end of the usable part is unknown. Source: 2008 IS Code Part A 2.3.1."""
    return UNKNOWN_FLOODING if levers.flooding is None else None


def too_short(levers: LeverMeasures, angle: float) -> Ruling | None:
    """Where the cross curves end before `angle` degrees and before any flooding. Source: definition."""
    return TOO_SHORT if levers.is_shorter_than(angle) else None


def ends_rising(levers: LeverMeasures, angle: float) -> Ruling | None:
    """Where the cross curves end before `angle` degrees while the lever still rises. Source: definition."""
    return ENDS_RISING if levers.ends_rising and levers.curve.last_heel < angle - 1e-9 else None


def floods_before(levers: LeverMeasures, angle: float) -> Ruling | None:
    """Where an opening floods at or before `angle` degrees. Source: 2008 IS Code Part A 2.2."""
    return FLOODS_BEFORE if levers.flooding is not None and levers.flooding <= angle else None


def flooding_detail(levers: LeverMeasures, name: str) -> Intermediate:
    """The angle of down-flooding as an intermediate value under the document's own name. Source: definition."""
    angle = levers.flooding
    return Intermediate("flooding_angle", name, "degree", None if angle is None or isinf(angle) else angle)


def area_effect(levers: LeverMeasures, first: float, last: float) -> float | None:
    """What an area from `first` to `last` degrees, or to the end of the usable part, loses for each metre that the
    centre of gravity rises, m.rad; None where there is no area. Source: closed form, the integral of sin."""
    if levers.usable is None:
        return None
    end = min(levers.usable, last)
    return cos(radians(first)) - cos(radians(end)) if end > first else None


def lever_effect(angle: float) -> float:
    """What a lever at `angle` degrees loses for each metre that the centre of gravity rises, m.

    Source: definition of GZ."""
    return sin(radians(angle))
