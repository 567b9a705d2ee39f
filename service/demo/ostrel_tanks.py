"""Tanks of the offshore supply vessel Ostrel (our own invention).

Feet from the aft perpendicular; frames are numbered from the forward perpendicular, 2 ft apart.  Her booklet
prints, per liquid, the moment of a slack surface and the moment at the normal limit of 95 or 98 percent.
"""

from math import inf

from .booklet import Column, TankPlan
from .ostrel_form import FORM
from .tank_shape import Block

FRAME = 2.0
FUEL = Column("fuel_oil", 0.86)
FRESH = Column("fresh_water", 1.0)
SALT = Column("ballast", 1.025)
WASTE = Column("waste", 0.95)
FLOOR = 4.0
DECK = 17.0


def frames(block: Block) -> str:
    """Frame numbers of the ends, counted from forward."""
    forward = max(0.0, FORM.length - block.x_to)
    return f"{forward / FRAME:.0f}-{(FORM.length - block.x_from) / FRAME:.0f}"


def pair(
    id: str, name: str, columns: tuple[Column, ...], block: Block, *, limit: float = 95.0, pipe: float = 0.0
) -> tuple[TankPlan, TankPlan]:
    """A port tank and its mirror image; the first column is the liquid she is meant for."""
    port, starboard = (
        TankPlan(
            f"{id}-{side[0]}",
            f"{name} {side}",
            columns[0].contents,
            side,
            (block,),
            step=0.5 if block.top - block.bottom > FLOOR else 0.25,
            frames=frames(block),
            pair=f"{id}-{other[0]}",
            normal_limit=limit,
            density=columns[0].density,
            pipe=pipe,
            columns=columns,
        )
        for side, other in (("port", "starboard"), ("starboard", "port"))
    )
    return port, starboard


def single(id: str, name: str, side: str, columns: tuple[Column, ...], block: Block) -> TankPlan:
    """A tank without a transverse partner."""
    return TankPlan(
        id,
        name,
        columns[0].contents,
        side,
        (block,),
        step=0.5,
        frames=frames(block),
        normal_limit=95.0,
        density=columns[0].density,
        columns=columns,
    )


def boxed(id: str, name: str, contents: str, side: str, density: float, block: Block) -> TankPlan:
    """A small plain tank away from the shell: no sounding table, a rectangular surface."""
    breadth = (block.outer - block.inner) * (2.0 if side == "centre" else 1.0)
    return TankPlan(
        id,
        name,
        contents,
        side,
        (block,),
        step=0.0,
        frames=frames(block),
        density=density,
        surface=(float(block.x_to - block.x_from), breadth, 1),
    )


TANKS: tuple[TankPlan, ...] = (
    single("1c-fore-peak", "No. 1 ballast (fore peak)", "centre", (SALT, FRESH), Block(172, 202, 1.0, DECK)),
    *pair("2-potable", "No. 2 potable water", (FRESH, SALT), Block(146, 160, FLOOR, 14.0, 3.0), limit=98.0),
    *pair("3-ballast", "No. 3 ballast", (SALT, FRESH), Block(146, 160, 0.0, FLOOR)),
    *pair("4-drill-water", "No. 4 drill water", (SALT, FRESH), Block(90, 110, 0.0, FLOOR)),
    *pair("5-drill-water", "No. 5 drill water", (SALT, FRESH), Block(70, 90, 0.0, FLOOR)),
    *pair("6-drill-water", "No. 6 drill water", (SALT, FRESH), Block(50, 70, 0.0, FLOOR)),
    *pair("7-fuel", "No. 7 fuel oil", (FUEL, SALT), Block(90, 110, FLOOR, 15.0, 14.0), pipe=14.0),
    *pair("8-fuel", "No. 8 fuel oil", (FUEL, SALT), Block(70, 90, FLOOR, 15.0, 14.0), pipe=14.0),
    *pair("9-ballast", "No. 9 ballast", (SALT, FUEL), Block(50, 70, FLOOR, 15.0, 14.0)),
    *pair("10-fuel", "No. 10 fuel oil", (FUEL, SALT), Block(34, 50, FLOOR, 14.0, 5.0, inf), pipe=13.0),
    *pair("11-ballast", "No. 11 ballast", (SALT, FRESH), Block(14, 34, 7.0, 15.0)),
    *pair("day-fuel", "Fuel oil day tank", (FUEL, SALT), Block(116, 122, 5.0, 13.0, 15.0), limit=98.0),
    single("bilge-water-c", "Bilge holding tank", "centre", (WASTE, SALT), Block(112, 120, 1.0, FLOOR, 0, 5)),
    boxed("lube-oil-p", "Lube oil", "lubricating_oil", "port", 0.9, Block(123, 129, 5.0, 13.0, 13.0, 18.0)),
    boxed(
        "hydraulic-oil-s", "Hydraulic oil", "other", "starboard", 0.88, Block(123, 129, 5.0, 13.0, 13.0, 18.0)
    ),
    boxed("waste-oil-c", "Waste oil", "waste", "centre", 0.92, Block(122, 128, 1.5, FLOOR, 0.0, 4.0)),
    boxed("sewage-c", "Sewage", "waste", "centre", 1.0, Block(134, 140, 5.0, 10.0, 0.0, 4.0)),
)
