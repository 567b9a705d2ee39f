"""Tanks and holds of the motor ship Halvenmoor (our own invention).  Metres; frames 0.65 m apart, frame 0 at
the aft perpendicular."""

from .booklet import TankPlan
from .frame_plan import FramePlan
from .tank_shape import Block

FRAME = 0.65
PLAN = FramePlan(FRAME)
between, pair, single = PLAN.between, PLAN.pair, PLAN.single
TANK_TOP = 1.2
SIDE_TANK = 5.55
DECK = 8.0
HEELS = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0)


def _wing(number: int, after: float, forward: float) -> tuple[TankPlan, TankPlan]:
    block = between(after, forward, TANK_TOP, DECK, SIDE_TANK)
    return pair(f"wb-wing-{number}", f"No. {number} wing tank", "ballast", block, step=0.25, unpumpable=0.1)


def _bottom(number: int, after: float, forward: float, inner: float = 0.0) -> tuple[TankPlan, TankPlan]:
    block = between(after, forward, 0.0, TANK_TOP, inner)
    return pair(
        f"wb-db-{number}", f"No. {number} double bottom tank", "ballast", block, step=0.05, unpumpable=0.2
    )


TANKS: tuple[TankPlan, ...] = (
    single("wb-fore-peak", "Fore peak", "ballast", "centre", between(126, 142, 0.0, 8.2), step=0.25),
    *_bottom(1, 105, 117),
    *_wing(1, 105, 117),
    *_bottom(2, 86, 105),
    *_wing(2, 86, 105),
    single(
        "wb-db-3-c",
        "No. 3 double bottom tank centre",
        "ballast",
        "centre",
        between(67, 86, 0.0, TANK_TOP, 0.0, 4.4),
        step=0.05,
        heeled=HEELS,
    ),
    *_bottom(3, 67, 86, 4.4),
    *_wing(3, 67, 86),
    *_bottom(4, 48, 67),
    *_wing(4, 48, 67),
    *pair(
        "wb-wing-5",
        "No. 5 wing tank",
        "ballast",
        between(29, 48, 0.0, TANK_TOP, 5.0),
        between(29, 48, TANK_TOP, DECK, SIDE_TANK),
        step=0.25,
        unpumpable=0.1,
    ),
    single(
        "wb-aft-peak",
        "Aft peak",
        "ballast",
        "centre",
        between(-4, 8, 3.4, 5.2),
        between(-4, 8, 5.2, DECK, 0.0, 1.5),
        step=0.2,
    ),
    *pair(
        "fo-db-5",
        "No. 5 fuel oil tank",
        "fuel_oil",
        between(29, 48, 0.0, TANK_TOP, 0.0, 5.0),
        step=0.05,
        unpumpable=0.4,
        pipe=8.6,
    ),
    single(
        "fo-settling-s",
        "Fuel oil settling tank",
        "fuel_oil",
        "starboard",
        between(24, 29, 3.6, 7.2, 3.0, 5.6),
        step=0.2,
        pipe=6.4,
    ),
    single(
        "fo-service-p",
        "Fuel oil service tank",
        "fuel_oil",
        "port",
        between(24, 29, 3.6, 7.2, 3.0, 5.6),
        step=0.2,
        pipe=6.4,
    ),
    *pair(
        "do-db",
        "Diesel oil tank",
        "diesel_oil",
        between(17, 27, 0.0, TANK_TOP, 0.9),
        step=0.05,
        unpumpable=0.1,
    ),
    single(
        "do-service-p",
        "Diesel oil service tank",
        "diesel_oil",
        "port",
        between(20, 23, 4.6, 7.0, 4.0, 5.6),
        step=0.1,
    ),
    single(
        "lo-storage-s",
        "Lubricating oil storage tank",
        "lubricating_oil",
        "starboard",
        between(20, 23, 4.6, 7.0, 4.0, 5.6),
        step=0.1,
    ),
    single(
        "lo-sump",
        "Main engine sump tank",
        "lubricating_oil",
        "centre",
        between(14, 21, 0.25, 1.0, 0.0, 0.7),
        step=0.05,
    ),
    *pair("fw", "Fresh water tank", "fresh_water", between(-2, 8, 5.2, DECK, 1.5), step=0.1, pipe=5.2),
    single("cooling-water", "Cooling water tank", "other", "centre", between(8, 10, 0.4, 2.6), step=0.1),
    single(
        "bilge-water-p",
        "Bilge water holding tank",
        "waste",
        "port",
        between(11, 16, 0.1, TANK_TOP, 0.3),
        step=0.05,
    ),
    single("sludge-s", "Sludge tank", "waste", "starboard", between(11, 16, 0.1, TANK_TOP, 0.3), step=0.05),
    single("sewage-p", "Sewage holding tank", "waste", "port", between(24, 29, 4.0, 6.4, 5.8), step=0.1),
)

HOLDS: tuple[tuple[str, str, tuple[Block, Block]], ...] = (
    (
        "hold-1",
        "No. 1 hold",
        (
            between(74, 117, TANK_TOP, DECK, 0.0, SIDE_TANK),
            Block(50.05, 74.75, DECK, 9.7, 0.0, SIDE_TANK, inside_hull=False),
        ),
    ),
    (
        "hold-2",
        "No. 2 hold",
        (
            between(30, 74, TANK_TOP, DECK, 0.0, SIDE_TANK),
            Block(20.8, 46.8, DECK, 9.7, 0.0, SIDE_TANK, inside_hull=False),
        ),
    ),
)
