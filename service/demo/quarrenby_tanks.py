"""Tanks of the motor ship Quarrenby (our own invention).  Metres; frames 0.7 m apart, frame 0 at the aft
perpendicular."""

from .booklet import TankPlan
from .frame_plan import FramePlan
from .tank_shape import Block

FRAME = 0.7
PLAN = FramePlan(FRAME)
between = PLAN.between
TANK_TOP = 1.5
SIDE_TANK = 8.1
DECK = 10.8


def pair(
    id: str, name: str, contents: str, block: Block, step: float, pipe: float = 0.0
) -> tuple[TankPlan, TankPlan]:
    """A port tank and its mirror image to starboard."""
    return PLAN.pair(id, name, contents, block, step=step, unpumpable=0.3, pipe=pipe)


def single(id: str, name: str, contents: str, side: str, block: Block, step: float) -> TankPlan:
    """A tank without a transverse partner."""
    return PLAN.single(id, name, contents, side, block, step=step)


TANKS: tuple[TankPlan, ...] = (
    single("wb-fore-peak", "Fore peak", "ballast", "centre", between(166, 181, 0.0, 8.4), 0.6),
    *pair("wb-db-1", "No. 1 double bottom tank", "ballast", between(130, 156, 0.0, TANK_TOP), 0.15),
    *pair("wb-db-2", "No. 2 double bottom tank", "ballast", between(100, 130, 0.0, TANK_TOP), 0.15),
    *pair("wb-db-3", "No. 3 double bottom tank", "ballast", between(70, 100, 0.0, TANK_TOP), 0.15),
    *pair("wb-wing-2", "No. 2 wing tank", "ballast", between(100, 130, TANK_TOP, 8.0, SIDE_TANK), 0.5),
    *pair("wb-wing-3", "No. 3 heeling tank", "ballast", between(70, 100, TANK_TOP, 8.0, SIDE_TANK), 0.5),
    single("wb-aft-peak", "Aft peak", "ballast", "centre", between(-5, 8, 5.6, 9.2), 0.4),
    *pair("fo-db-4", "No. 4 fuel oil tank", "fuel_oil", between(44, 70, 0.0, TANK_TOP), 0.1),
    *pair("fo-deep", "Fuel oil deep tank", "fuel_oil", between(38, 44, TANK_TOP, 9.0, 0.0, 7.0), 0.5, 9.4),
    single("fo-service-p", "Fuel oil service tank", "fuel_oil", "port", between(30, 36, 6.0, 9.6, 4.0, 6.4), 0.4),
    single("do-storage-s", "Diesel oil storage tank", "diesel_oil", "starboard",
           between(28, 36, 5.0, 9.6, 4.0, 6.4), 0.4),
    single("lo-storage-s", "Lubricating oil storage tank", "lubricating_oil", "starboard",
           between(22, 27, 5.4, 9.0, 3.0, 5.0), 0.4),
    *pair("fw", "Fresh water tank", "fresh_water", between(2, 10, 9.2, DECK, 2.0, 6.0), 0.2),
)  # fmt: skip
