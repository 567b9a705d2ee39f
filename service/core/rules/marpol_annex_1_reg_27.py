"""MARPOL 73/78, Annex I, regulation 27: intact stability of oil tankers of 5,000 t deadweight and above.

In port a metacentric height; at sea six requirements of the righting lever curve. Free surface at 0 degrees of
heel. The regulation itself was not read: its figures were, in the guidance for existing tankers. The regulation
asks for them in the worst possible conditions of cargo and ballast, which is design work: here the condition is
judged that is given.
"""

from ..free_surface import IMO
from ..situation import Heeled, Situation
from .curve_rows import angle_of_greatest, area_between, greatest_lever
from .limit import AT_LEAST, AT_SEA, IN_PORT, Criterion, Intermediate, Limit, RuleSet, judge_gm, without_curve

NAME = "marpol-annex-1-reg-27"
_MEMORY = "regulation 27 itself is recalled; the figures were read in the guidance for existing tankers"


def _row(
    slug: str, paragraph: str, title: str, quantity: str, limit: float, unit: str, key: str, applies: str
) -> Limit:
    clause, source = (
        f"regulation 27.1.{paragraph}",
        f"MARPOL Annex I, regulation 27.1.{paragraph} (value from memory)",
    )
    id = f"{NAME}-{slug}"
    return Limit(id, clause, title, quantity, AT_LEAST, limit, unit, source, key, _MEMORY, applies=applies)


IN_PORT_GM = _row(
    "in-port-gm", "1", "Metacentric height in port", "metacentric height", 0.15, "m", "gm", IN_PORT
)
AREA_TO_30 = _row("area-to-30", "2", "Area up to 30 degrees", "area", 0.055, "m·rad", "area_to_30", AT_SEA)
AREA_TO_40 = _row(
    "area-to-40",
    "2",
    "Area up to 40 degrees or the angle of down-flooding",
    "area",
    0.09,
    "m·rad",
    "area_to_40",
    AT_SEA,
)
AREA_30_TO_40 = _row(
    "area-30-to-40",
    "2",
    "Area between 30 degrees and 40 degrees or the angle of down-flooding",
    "area",
    0.03,
    "m·rad",
    "area_30_to_40",
    AT_SEA,
)
LEVER_AT_30 = _row(
    "lever-at-30",
    "2",
    "Greatest righting lever at 30 degrees of heel or more",
    "lever",
    0.20,
    "m",
    "greatest_lever_from_30",
    AT_SEA,
)
ANGLE_OF_MAXIMUM = _row(
    "angle-of-maximum",
    "2",
    "Angle of the maximum righting lever, preferably over 30 degrees",
    "angle",
    25.0,
    "degree",
    "angle_of_maximum",
    AT_SEA,
)
INITIAL_GM = _row(
    "initial-gm", "2", "Metacentric height at sea", "metacentric height", 0.15, "m", "gm", AT_SEA
)
LIMITS = (IN_PORT_GM, AREA_TO_30, AREA_TO_40, AREA_30_TO_40, LEVER_AT_30, ANGLE_OF_MAXIMUM, INITIAL_GM)


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The rows on one side; m, m.rad, degrees. Source: MARPOL Annex I, regulation 27 (values from memory)."""
    levers = heeled.levers
    in_port, at_sea = judge_gm(IN_PORT_GM, ship), judge_gm(INITIAL_GM, ship)
    if levers is None:
        return [in_port, *without_curve(LIMITS[1:-1], ship), at_sea]
    angle = levers.angle_of_greatest
    over = None if angle is None else "yes" if angle > 30.0 else "no"
    preferred = (Intermediate("over_30_degrees", "preferably over 30 degrees", "", over),)
    return [
        in_port,
        area_between(AREA_TO_30, levers, (0.0, 30.0), None),
        area_between(AREA_TO_40, levers, (0.0, 40.0), None),
        area_between(AREA_30_TO_40, levers, (30.0, 40.0), None),
        greatest_lever(LEVER_AT_30, levers, 30.0, None),
        angle_of_greatest(ANGLE_OF_MAXIMUM, levers, None, preferred),
        at_sea,
    ]


RULE_SET = RuleSet(
    NAME,
    "Oil tankers: intact stability in port and at sea",
    "MARPOL 73/78, Annex I, regulation 27",
    "as revised by MEPC.117(52)",
    LIMITS,
    evaluate,
    surfaces=IMO,
)
