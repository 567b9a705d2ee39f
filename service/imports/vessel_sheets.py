"""Every sheet of a booklet, in its order: the one list that template, writer, reader and paste box are made from.

A test holds it against the published models: every member has a column or stands in `NOT_IN_WORKBOOKS` with the reason,
every unit is the published one."""

from service.imports import hull_sheets as hull
from service.imports import printed_sheets as printed
from service.imports import ship_sheets as ship
from service.imports import ship_type_sheets as types
from service.imports import tank_sheets as tank
from service.imports.layout import Sheet, plain

VESSEL_SHEETS: tuple[Sheet, ...] = (
    ship.SHIP,
    ship.PARTICULARS,
    ship.LIGHTSHIP,
    ship.LIGHTSHIP_CURVE,
    ship.HYDROSTATICS,
    ship.CROSS_CURVES,
    ship.CROSS_CURVES_TIMBER,
    tank.TANKS,
    tank.TANK_TABLES,
    tank.PRINTED_FREE_SURFACE,
    tank.HEELED_MOMENTS,
    tank.HOLDS,
    tank.HOLD_GRAIN,
    tank.HOLD_MASS_LIMITS,
    tank.TANKS_IN_WAY,
    hull.OPENINGS,
    hull.OPENING_ANGLES,
    hull.WIND_PROFILE,
    hull.DECK_EDGE_POINTS,
    hull.DECK_EDGE_ANGLES,
    hull.DRAFT_MARKS,
    hull.LOAD_LINES,
    hull.GM_LIMITS,
    hull.PROPELLER_AND_BRIDGE,
    hull.OBSTRUCTIONS,
    hull.AIR_DRAFT_POINTS,
    hull.ICING_SURFACES,
    hull.LIMITS,
    hull.STRENGTH_LIMITS,
    hull.SECTIONS,
    hull.ADJACENT_HOLDS,
    types.SHIP_TYPE,
    types.PASSENGER_SPACES,
    hull.RULE_SETS,
    printed.PRINTED_CONDITIONS,
    printed.CONDITION_TANKS,
    printed.CONDITION_WEIGHTS,
    printed.CONDITION_LEVERS,
    printed.CONDITION_GRAIN,
    printed.CONDITION_WIND,
)

NOT_IN_WORKBOOKS: dict[tuple[str, ...], str] = {}
"""Members of a vessel document that no sheet carries, each with the reason: none at present. A whole workbook laid over
a stored vessel leaves them as they are."""

LEFT_ALONE: dict[tuple[str, ...], str] = {
    ("strength", "sections"): "Sections",
    ("strength", "adjacent_holds"): "Adjacent holds",
}
"""Members that a whole workbook laid over a stored vessel leaves as they are where it has not got their sheet at all:
workbooks of before edition 4 have none. A blank sheet says that there are none."""

LAYOUT_EDITION = "4"
"""Changes whenever a workbook of the same document would have other bytes; part of the tag of every workbook."""


def sheet_named(name: str, sheets: tuple[Sheet, ...]) -> Sheet | None:
    """The sheet of this name, or of another name it goes by."""
    wanted = plain(name)
    return next((sheet for sheet in sheets if wanted in sheet.names), None)
