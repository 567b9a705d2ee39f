"""Tanks and holds, with their tables."""

from dataclasses import replace

from service.imports import words
from service.imports.entries import (
    CONTENTS,
    DENSITY_NAMES,
    ENDS,
    LCG_NAMES,
    MASS_LIMIT,
    OF_HOLD,
    OF_TANK,
    TANK_KEY,
    TCG_NAMES,
    VCG_NAMES,
    length,
    mass,
    of,
    text,
    volume,
    x_position,
    y_position,
)
from service.imports.layout import Entry, Matrix, Sheet

TANKS = Sheet(
    "Tanks",
    "list",
    (
        replace(TANK_KEY, path=("id",), also=(*TANK_KEY.also, "id", "no")),
        text("Name", "name", needed=True, also=("tank name", "description")),
        text("Frames", "frames", also=("frame", "frames nos", "fr")),
        Entry(
            "Side",
            ("side",),
            "choice",
            needed=True,
            choices=words.SIDES,
            synonyms=words.SIDE_SYNONYMS,
            also=("P/S",),
        ),
        CONTENTS,
        of("density", "Density", "density", also=DENSITY_NAMES),
        volume(
            "Capacity 100 %",
            "capacity",
            needed=True,
            also=("capacity", "volume 100 %", "volume", "capacity full"),
        ),
        x_position("LCG", "lcg", also=LCG_NAMES),
        length("VCG", "vcg", needed=True, also=VCG_NAMES),
        y_position("TCG", "tcg", also=TCG_NAMES),
        *ENDS,
        of("percent", "Normally full at", "normal_limit", also=("normal limit", "full at", "limit")),
        of("percent", "Normally full, give or take", "normal_limit_tolerance"),
        volume("Unpumpable", "unpumpable", also=("unpumpable volume",)),
        Entry("Pair", ("pair",), "id", also=("partner", "pair tank")),
        length("Surface length", "rectangular_surface", "length"),
        length("Surface breadth", "rectangular_surface", "breadth"),
        Entry("Surface compartments", ("rectangular_surface", "compartments"), "whole"),
        of("density", "Density of tabled moments", "table", "density"),
    ),
    ("tanks",),
    also=("capacity plan", "tank list", "tank capacities", "capacities"),
    needed=True,
    must_say=True,
)

TANK_TABLES = Sheet(
    "Tank tables",
    "child",
    (
        length("Sounding", "sounding", also=("sound", "depth of sounding", "level")),
        length("Ullage", "ullage"),
        volume("Volume", "volume", needed=True, also=("capacity", "vol")),
        x_position("LCG", "lcg", also=LCG_NAMES),
        length("VCG", "vcg", needed=True, also=VCG_NAMES),
        y_position("TCG", "tcg", needed=False, also=TCG_NAMES),
        of(
            "inertia",
            "Inertia of surface",
            "free_surface_inertia",
            also=("inertia", "free surface inertia", "i", "IT", "moment of inertia"),
        ),
        of("moment", "Free surface moment", "free_surface_moment", also=("FSM", "fs moment")),
    ),
    ("table", "rows"),
    also=("sounding tables", "sounding table", "tank table", "tank sounding tables", "calibration tables"),
    parent=OF_TANK,
    block=TANK_KEY,
)

PRINTED_FREE_SURFACE = Sheet(
    "Printed free surface",
    "child",
    (
        CONTENTS,
        of("density", "Density", "density", needed=True, also=DENSITY_NAMES),
        mass("Mass at limit", "limit_mass", needed=True, also=("limit mass",)),
        of("moment", "Moment when slack", "slack_moment", needed=True, also=("slack moment", "slack")),
        of("moment", "Moment at limit", "limit_moment", needed=True, also=("limit moment",)),
        mass("Mass at limit, give or take", "limit_tolerance", also=("limit tolerance",)),
    ),
    ("printed_free_surface", "columns"),
    also=("free surface", "free surface moments"),
    parent=OF_TANK,
    block=TANK_KEY,
)

HEELED_MOMENTS = Sheet(
    "Heeled moments",
    "matrix",
    target=("heeled_moments",),
    also=("moments of shift", "heeling moments of liquids"),
    parent=OF_TANK,
    block=TANK_KEY,
    matrix=Matrix(of("percent", "Filling", needed=True), "fillings", "heels", "moments", "inertia"),
)

HOLDS = Sheet(
    "Holds",
    "list",
    (
        replace(OF_HOLD.entry, path=("id",), also=(*OF_HOLD.entry.also, "id", "no")),
        text("Name", "name", needed=True),
        volume("Capacity", "capacity", needed=True, also=("volume", "grain capacity")),
        x_position("LCG", "lcg", also=LCG_NAMES),
        length("VCG", "vcg", needed=True, also=VCG_NAMES),
        y_position("TCG", "tcg", needed=False, also=TCG_NAMES),
        *ENDS,
        of("inertia", "Grain moment, filled trimmed", "grain", "filled_trimmed", also=("filled trimmed",)),
        of(
            "inertia",
            "Grain moment, filled untrimmed",
            "grain",
            "filled_untrimmed",
            also=("filled untrimmed",),
        ),
    ),
    ("holds",),
    also=("cargo holds", "cargo spaces"),
)

HOLD_GRAIN = Sheet(
    "Hold grain",
    "child",
    (
        volume("Volume", "volume", needed=True),
        of(
            "inertia",
            "Heeling moment",
            "heeling_moment",
            needed=True,
            also=("moment", "grain heeling moment"),
        ),
        length("VCG", "vcg", also=VCG_NAMES),
    ),
    ("grain", "partly_filled"),
    also=("grain heeling moments", "grain"),
    parent=OF_HOLD,
    block=OF_HOLD.entry,
)

HOLD_MASS_LIMITS = Sheet(
    "Hold mass limits",
    "child",
    MASS_LIMIT,
    ("mass_limits",),
    also=("hold masses",),
    parent=OF_HOLD,
    block=OF_HOLD.entry,
)
TANKS_IN_WAY = Sheet(
    "Tanks in way of holds",
    "child",
    (Entry("Tank", (), "id", needed=True, also=("tank id",)),),
    ("tanks_in_way",),
    parent=OF_HOLD,
    block=OF_HOLD.entry,
)
