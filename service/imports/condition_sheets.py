"""Every sheet of a condition: what the mate fills in."""

import copy
from typing import Any

from service.imports import words
from service.imports.entries import length, of, text
from service.imports.hull_sheets import LIMITS, OBSTRUCTION, SURFACE
from service.imports.layout import FOR_READING, Entry, Sheet
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
        of("factor", "Part of the full ice allowance", "icing", "factor"),
        length("Freeboard, for ice on timber", "icing", "timber_formula", "freeboard"),
        length("Bow flare, for ice on timber", "icing", "timber_formula", "bow_flare_length"),
        length("Sag amidships", "deflection", also=("deflection", "sag")),
        Entry("List read, to port", ("observed", "list"), quantity="angle", also=("list read",)),
        of("time", "Roll period read", "observed", "roll_period"),
        *OPERATION,
        Entry("Mean of the drafts read", ("observed", "mean"), "choice", choices=words.SURVEY_MEANS),
        _AXES[()],
    ),
    needed=True,
    title="Condition",
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
        (*OBSTRUCTION, text("Top of the weight", "of", also=("of",))),
        ("obstructions",),
    ),
    LIMITS,
    Sheet(
        "Drafts read",
        "list",
        (text("Marks", needed=True, also=("mark",)), length("Draft read", needed=True, also=("reading",))),
        ("observed", "drafts"),
        mapping=True,
    ),
    Sheet(
        "Rule sets",
        "list",
        (text("Rule set", needed=True, also=("rules",)),),
        ("rule_sets",),
    ),
)

CONDITION_NOT_IN_WORKBOOKS: dict[tuple[str, ...], str] = {
    ("drafts_at",): "a question to the service rather than something aboard; sent as JSON",
    ("plan",): "stages with lists of their own: a sheet a stage; plans are sent as JSON",
    ("observed", "drafts", "value", "port"): "the sheet has one reading for each set of marks",
    ("observed", "drafts", "value", "starboard"): "the sheet has one reading for each set of marks",
}
"""Members of a condition that no sheet carries, each with the reason."""


def keep_what_no_sheet_carries(document: dict[str, Any], stored: dict[str, Any]) -> None:
    """Put the plan of a stored condition, and its marks read on both sides, into the document that replaces it.

    Where the sheet has a reading for such a mark, that one counts."""
    for member in (path[0] for path in CONDITION_NOT_IN_WORKBOOKS if len(path) == 1):
        if member in stored:
            document[member] = copy.deepcopy(stored[member])
    for mark, reading in ((stored.get("observed") or {}).get("drafts") or {}).items():
        if isinstance(reading, dict):
            document.setdefault("observed", {}).setdefault("drafts", {}).setdefault(mark, dict(reading))
