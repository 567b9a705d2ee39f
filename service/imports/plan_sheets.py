"""The plan of a condition: what holds for all of it, a line a stage, and what each stage uses and changes."""

from dataclasses import replace

from service.imports import words
from service.imports.entries import length, of, text
from service.imports.hull_sheets import OBSTRUCTION, SURFACE
from service.imports.layout import FOR_READING, Entry, Parent, Sheet
from service.imports.printed_sheets import FILLING, GRAIN, MARK, PHASE, WATER, WEIGHT, WIND

OF_STAGE = Parent(
    ("plan", "stages"),
    "name",
    Entry("Stage", (), "text", needed=True, also=("stage no", "stage number", "name of stage", "in stage")),
    "unknown_stage",
    "Plan",
    by_number=True,
)
FROM_STAGE = replace(
    OF_STAGE,
    entry=replace(OF_STAGE.entry, heading="From stage", also=(*OF_STAGE.entry.also, "stage")),
    itself="start",
)
SUMS = frozenset(("total", "totals", "sum", "totaldays", "daysintotal", "voyagetotal"))
STAGE_READING = (f"Name of the stage {FOR_READING}",)
CARGO_OBSTRUCTION = (*OBSTRUCTION, text("Top of the weight", "of", also=("of",)))
ICE = (
    of("factor", "Part of the full ice allowance", "icing", "factor"),
    length("Freeboard, for ice on timber", "icing", "timber_formula", "freeboard"),
    length("Bow flare, for ice on timber", "icing", "timber_formula", "bow_flare_length"),
)

PLAN = Sheet(
    "Plan",
    "list",
    (
        text("Stage", "name", needed=True, also=("name", "name of stage")),
        of("days", "Days", "days", also=("duration", "time")),
        PHASE,
        MARK,
        Entry("Season from", ("season", "from"), "day_of_year", also=("from",)),
        Entry("Season to", ("season", "to"), "day_of_year", also=("to",)),
        replace(MARK, heading="Mark in the season", path=("season", "mark")),
        replace(MARK, heading="Mark otherwise", path=("season", "otherwise"), also=("otherwise",)),
        replace(WATER, needed=False),
        Entry("On inland waters", ("inland",), "flag", also=("inland",)),
        length("Sag amidships", "deflection", also=("deflection", "sag")),
        Entry("Checked", ("transition",), "choice", also=("transition",), choices=words.TRANSITIONS),
        Entry(
            "Weights put ashore", ("removed_weights",), "names", also=("removed weights", "weights ashore")
        ),
        *ICE,
    ),
    ("plan", "stages"),
    lines=(
        Entry(
            "Plan is of",
            ("plan", "kind"),
            "choice",
            needed=True,
            also=("kind", "kind of plan"),
            choices=words.PLANS,
        ),
        Entry(
            "Departs, UTC",
            ("plan", "departs"),
            "moment",
            also=("departs", "departure", "ETD", "departs (UTC)"),
        ),
        of("days", "Points at most apart", "plan", "every_days", also=("every", "every days")),
    ),
    title="Plan: a line a stage, in order; names of weights put ashore parted by semicolons",
    sums=SUMS,
    number=Entry("No.", (), "whole", also=("number", "stage no", "stage number")),
    also=("stages", "voyage plan", "loading plan", "loading sequence"),
)


def _child(name: str, entries: tuple[Entry, ...], *target: str, also: tuple[str, ...] = ()) -> Sheet:
    return Sheet(
        name,
        "child",
        entries,
        target,
        parent=OF_STAGE,
        block=OF_STAGE.entry,
        title=f"{name}: number the stages as on sheet Plan",
        reading=STAGE_READING,
        sums=SUMS,
        also=also,
    )


PLAN_SHEETS = (
    PLAN,
    replace(
        _child(
            "Plan consumption",
            (
                replace(FILLING[0], also=(*FILLING[0].also, "liquid used")),
                text("Weight", "weight", also=("weight used", "item")),
                of(
                    "mass_per_day",
                    "Mass per day",
                    "mass_per_day",
                    needed=True,
                    also=("per day", "daily", "a day"),
                ),
                Entry("Tanks in order", ("order",), "groups", also=("tanks", "order", "order of tanks")),
                of("percent", "Left in each tank", "leave", also=("leave", "left")),
            ),
            "consumption",
            also=("consumption",),
        ),
        parent=FROM_STAGE,
        block=FROM_STAGE.entry,
        title="Plan consumption: from “start” or from a stage on; tanks of a group joined by +, groups in order parted "
        "by semicolons: 1P + 1S; 2P + 2S",
    ),
    _child(
        "Plan tanks",
        (Entry("Tank", ("tank",), "id", needed=True, also=("tank id", "tank no")), *FILLING),
        "tanks",
    ),
    _child("Plan weights", (text("Weight", "name", needed=True, also=("item", "name")), *WEIGHT), "weights"),
    _child("Plan grain", GRAIN, "grain"),
    _child("Plan wind additions", WIND, "wind_additions", also=("plan wind",)),
    _child("Plan ice on cargo", SURFACE, "icing", "surfaces"),
    _child("Plan obstructions", CARGO_OBSTRUCTION, "obstructions"),
)
