"""Every sheet of a condition: what the mate fills in."""

import copy
from collections.abc import Collection
from typing import Any

from service.imports import words
from service.imports.entries import length, of, text, x_position
from service.imports.hull_sheets import LIMITS, SURFACE
from service.imports.layout import FOR_READING, Entry, Sheet
from service.imports.plan_sheets import CARGO_OBSTRUCTION, ICE, PLAN_SHEETS
from service.imports.printed_sheets import BASIS, FILLING, GRAIN, MARK, PHASE, WATER, WEIGHT, WIND
from service.imports.ship_sheets import SHIP
from service.imports.ship_type_sheets import OPERATION, PASSENGERS

TANK_READING = tuple(
    f"{words_} {FOR_READING}" for words_ in ("Name", "Capacity", "Normally full at %", "Usual contents")
)
_AXES = {entry.path: entry for entry in SHIP.entries}

CONDITION = Sheet(
    "Condition",
    "form",
    (
        text("Condition", "title", needed=True, also=("title", "name of condition")),
        _AXES["units",],
        *(entry for path, entry in _AXES.items() if path[:1] == ("axes",)),
        Entry("Id", ("id",), "id"),
        text("Reference", "reference", also=("sender's reference",)),
        text("Voyage", "voyage", "number", also=("voyage number",)),
        text("From", "voyage", "from", also=("port of departure",)),
        text("To", "voyage", "to", also=("bound for",)),
        Entry(
            "Departure or arrival",
            ("voyage", "phase"),
            "choice",
            choices=PHASE.choices,
            synonyms=PHASE.synonyms,
        ),
        Entry("Ballast condition", ("voyage", "ballast"), "flag"),
        WATER,
        Entry(
            BASIS.heading,
            ("free_surface", "basis"),
            "choice",
            needed=True,
            also=BASIS.also,
            choices=BASIS.choices,
            synonyms=BASIS.synonyms,
        ),
        MARK,
        Entry("Mark in dock water", ("dock_water",), "choice", choices=words.DOCK_WATER),
        Entry("On inland waters", ("inland",), "flag"),
        *ICE,
        length("Sag amidships", "deflection", also=("deflection", "sag")),
        Entry("List read, to port", ("observed", "list"), quantity="angle", also=("list read",)),
        of("time", "Roll period read", "observed", "roll_period"),
        *OPERATION,
        Entry("Mean of the drafts read", ("observed", "mean"), "choice", choices=words.SURVEY_MEANS),
        _AXES[()],
    ),
    needed=True,
    title="Loading condition",
)
CONDITION_SHEETS: tuple[Sheet, ...] = (
    CONDITION,
    Sheet(
        "Tanks",
        "list",
        (Entry("Tank", ("tank",), "id", needed=True, also=("tank id", "tank no")), *FILLING),
        ("tanks",),
        reading=TANK_READING,
        left_without=("mass", "volume", "fill", "sounding", "ullage"),
    ),
    Sheet(
        "Weights",
        "list",
        (text("Weight", "name", needed=True, also=("item", "name")), *WEIGHT),
        ("weights",),
    ),
    PASSENGERS,
    Sheet("Grain", "list", GRAIN, ("grain",)),
    Sheet("Wind additions", "list", WIND, ("wind_additions",)),
    Sheet("Ice on cargo", "list", SURFACE, ("icing", "surfaces")),
    Sheet(
        "Obstructions",
        "list",
        CARGO_OBSTRUCTION,
        ("obstructions",),
    ),
    LIMITS,
    Sheet(
        "Drafts read",
        "list",
        (
            text("Marks", needed=True, also=("mark",)),
            length("Draft read", also=("reading", "draft")),
            length("Port", "port", also=("draft read to port", "port side", "P")),
            length("Starboard", "starboard", also=("draft read to starboard", "starboard side", "stbd", "S")),
        ),
        ("observed", "drafts"),
        mapping=True,
    ),
    Sheet("Drafts wanted", "list", (x_position("Place", also=("x", "at")),), ("drafts_at",)),
    Sheet(
        "Rule sets",
        "list",
        (text("Rule set", needed=True, also=("rules",)),),
        ("rule_sets",),
    ),
    *PLAN_SHEETS,
)

CONDITION_NOT_IN_WORKBOOKS: dict[tuple[str, ...], str] = {}
"""Members of a condition that no sheet carries, each with the reason: none at present."""

LEFT_ALONE = {"plan": "Plan", "drafts_at": "Drafts wanted"}
"""Members that stay as they are stored where a file has not got their sheet at all, with the sheet. A blank sheet says
that there are none."""


def keep_what_the_file_leaves_out(
    document: dict[str, Any], stored: dict[str, Any], sheets: Collection[str]
) -> None:
    """Put into a document what the stored one has and no sheet of the file could say; `sheets`: those that it has."""
    members = {path[0]: "" for path in CONDITION_NOT_IN_WORKBOOKS} | LEFT_ALONE
    for member, sheet in members.items():
        if member in stored and sheet not in sheets:
            document[member] = copy.deepcopy(stored[member])
