"""Every sheet of a condition: what the mate fills in."""

from service.imports.entries import length, of, text
from service.imports.layout import FOR_READING, Entry, Sheet
from service.imports.printed_sheets import BASIS, FILLING, GRAIN, MARK, PHASE, WATER, WEIGHT, WIND
from service.imports.ship_sheets import SHIP

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
        length("Sag amidships", "deflection", also=("deflection", "sag")),
        Entry("List read, to port", ("observed", "list"), quantity="angle", also=("list read",)),
        of("time", "Roll period read", "observed", "roll_period"),
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
    Sheet("Grain", "list", GRAIN, ("grain",)),
    Sheet("Wind additions", "list", WIND, ("wind_additions",)),
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
