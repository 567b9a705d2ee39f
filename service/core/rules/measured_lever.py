"""When the righting lever curve decides a clause by itself, in the words that several documents share."""

from math import isinf

from ..lever_measures import LeverMeasures
from .limit import FAIL, NOT_COMPUTABLE, Detail, Ruling

UNKNOWN_FLOODING = Ruling(
    NOT_COMPUTABLE,
    "the angle of down-flooding is unknown: her booklet gives no openings, or none at this draft",
)
TOO_SHORT = Ruling(NOT_COMPUTABLE, "her cross curves end before the angle this clause needs")
FLOODS_BEFORE = Ruling(
    FAIL, "an opening floods before the range of heel this clause measures: no lever is left to count"
)


def unknown(levers: LeverMeasures) -> Ruling | None:
    """Where the end of the usable part is unknown. Source: 2008 IS Code Part A 2.3.1."""
    return UNKNOWN_FLOODING if levers.flooding is None else None


def too_short(levers: LeverMeasures, angle: float) -> Ruling | None:
    """Where the cross curves end before `angle` degrees and before any flooding. Source: definition."""
    return TOO_SHORT if levers.is_shorter_than(angle) else None


def floods_before(levers: LeverMeasures, angle: float) -> Ruling | None:
    """Where an opening floods at or before `angle` degrees. Source: 2008 IS Code Part A 2.2."""
    return FLOODS_BEFORE if levers.flooding is not None and levers.flooding <= angle else None


def flooding_detail(levers: LeverMeasures, name: str) -> Detail:
    """The angle of down-flooding as an intermediate value under the document's own name. Source: definition."""
    angle = levers.flooding
    return Detail("flooding_angle", name, "degree", None if angle is None or isinf(angle) else angle)
