"""Openings, wind, deck edge, marks, limits, propeller, bridge, strength and rule sets."""

from dataclasses import replace

from service.imports import words
from service.imports.entries import (
    DRAFT,
    IMMERSION,
    MASS_LIMIT,
    OF_OPENING,
    length,
    mass,
    of,
    text,
    trim,
    x_position,
    y_position,
)
from service.imports.layout import Entry, Grouped, Matrix, Sheet

OPENINGS = Sheet(
    "Openings",
    "list",
    (
        replace(OF_OPENING.entry, path=("id",), also=(*OF_OPENING.entry.also, "id", "no")),
        text("Name", "name", needed=True, also=("description",)),
        x_position("X", "x", also=("x from AP", "longitudinal", "LCG")),
        y_position("Y", "y", also=("transverse", "y from CL", "TCG")),
        length("Z", "z", needed=True, also=("height", "z above BL", "VCG", "height above baseline")),
        Entry(
            "Protection",
            ("protection",),
            "choice",
            needed=True,
            also=("type", "closing"),
            choices=words.PROTECTION,
            synonyms=words.PROTECTION_SYNONYMS,
        ),
        Entry("Closes by itself", ("closes_automatically",), "flag", also=("self closing", "automatic")),
    ),
    ("openings",),
    also=("down-flooding points", "downflooding points", "flooding points"),
)

OPENING_ANGLES = Sheet(
    "Opening angles",
    "child",
    IMMERSION,
    ("immersion_angles",),
    also=("down-flooding angles", "downflooding angles", "flooding angles"),
    parent=OF_OPENING,
    block=OF_OPENING.entry,
)

WIND_PROFILE = Sheet(
    "Wind profile",
    "list",
    (
        DRAFT,
        of("area", "Lateral area", "area", needed=True, also=("area", "windage area", "wind area")),
        length(
            "Height of centroid", "centroid_height", needed=True, also=("centroid", "centroid above baseline")
        ),
    ),
    ("wind_profile",),
    also=("windage", "wind areas", "lateral areas"),
)

DECK_EDGE_POINTS = Sheet(
    "Deck edge points",
    "list",
    (
        x_position("X", "x", also=("x from AP",)),
        length("Half-breadth", "y", needed=True, also=("Y",)),
        length("Z", "z", needed=True, also=("height",)),
    ),
    ("deck_edge", "points"),
    also=("deck edge",),
)

DECK_EDGE_ANGLES = Sheet(
    "Deck edge angles",
    "list",
    IMMERSION,
    ("deck_edge", "immersion_angles"),
    also=("deck edge immersion", "deck immersion angles"),
)

DRAFT_MARKS = Sheet(
    "Draft marks",
    "list",
    (
        text("Marks", "name", needed=True, also=("mark", "name")),
        x_position("X", "x", also=("x from AP", "position")),
        length(
            "Reading less moulded draft",
            "keel_offset",
            needed=True,
            also=("keel offset", "offset", "correction"),
        ),
    ),
    ("draft_marks",),
    also=("draught marks",),
)

LOAD_LINES = Sheet(
    "Load lines",
    "list",
    (
        Entry(
            "Mark",
            (),
            "choice",
            needed=True,
            also=("load line",),
            choices=words.MARKS,
            synonyms=words.MARK_SYNONYMS,
        ),
        length("Moulded draft", needed=True, also=("draft", "draught", "moulded draught")),
    ),
    ("load_lines", "marks"),
    lines=(
        length("Summer draft", "load_lines", "summer_draft", needed=True, also=("summer draught",)),
        length("Fresh water allowance", "load_lines", "fresh_water_allowance", also=("FWA",)),
        Entry(
            "Drafts are from",
            ("load_lines", "reference"),
            "choice",
            choices=words.DRAFTS_FROM,
            synonyms=words.DRAFTS_FROM_SYNONYMS,
        ),
    ),
    mapping=True,
    also=("load line marks", "loadlines"),
)

GM_LIMITS = Sheet(
    "GM limits",
    "list",
    (
        DRAFT,
        length("Value", "value", needed=True, also=("GM", "VCG", "KG", "limit")),
        trim("Trim from", "trim_from"),
        trim("Trim to", "trim_to"),
    ),
    ("gm_limits",),
    grouped=Grouped(
        Entry("No.", (), "whole", also=("number", "curve no")),
        (
            text("Curve", "name", needed=True, also=("name", "title")),
            Entry(
                "Values are",
                ("basis",),
                "choice",
                needed=True,
                also=("basis",),
                choices=words.LIMITS,
                synonyms=words.LIMIT_SYNONYMS,
            ),
        ),
        "rows",
    ),
    also=("limit curves", "GM and VCG limits", "KG limits", "VCG limits"),
)

PROPELLER_AND_BRIDGE = Sheet(
    "Propeller and bridge",
    "form",
    (
        x_position("Propeller, longitudinal position", "propeller", "x", needed=False),
        length("Shaft above baseline", "propeller", "shaft_height"),
        length("Propeller diameter", "propeller", "diameter"),
        x_position("Conning position", "bridge", "eye_x", needed=False),
        length("Height of eye", "bridge", "eye_z"),
        x_position("Highest obstruction ahead, position", "bridge", "obstruction_x", needed=False),
        length("Highest obstruction ahead, height", "bridge", "obstruction_z"),
        x_position("Foremost point", "bridge", "bow_x", needed=False),
    ),
    also=("propeller", "bridge"),
)

_FORCES = (
    mass("Shear force, sea", "shear_force_sea"),
    mass("Shear force, harbour", "shear_force_harbour"),
    of("moment", "Bending moment, sea", "bending_moment_sea", also=("bending moment, sea, hogging",)),
    of(
        "moment",
        "Bending moment, harbour",
        "bending_moment_harbour",
        also=("bending moment, harbour, hogging",),
    ),
    mass("Shear force, sea, negative", "shear_force_sea_negative"),
    mass("Shear force, harbour, negative", "shear_force_harbour_negative"),
    of("moment", "Bending moment, sea, sagging", "bending_moment_sea_sagging"),
    of("moment", "Bending moment, harbour, sagging", "bending_moment_harbour_sagging"),
)
STRENGTH_LIMITS = Sheet(
    "Strength limits",
    "list",
    (
        text("Name", "name", also=("frame",)),
        x_position("X", "x", also=("x from AP", "station", "position")),
        *(replace(entry, unit_elsewhere=True) for entry in _FORCES),
    ),
    ("strength", "stations"),
    lines=(
        Entry(
            "Forces are in",
            ("strength", "unit"),
            "choice",
            choices=words.FORCES_IN,
            synonyms=words.FORCES_IN_SYNONYMS,
        ),
        Entry("Manual corrects shear forces", ("strength", "shear_correction_required"), "flag"),
    ),
    also=("permissible forces", "strength"),
    must_say_beside=("strength",),
)
SECTIONS = Sheet(
    "Sections",
    "matrix",
    target=("strength", "sections"),
    lines=(
        of(
            "factor",
            "Every area times",
            "strength",
            "sections",
            "factor",
            also=("factor", "factor for shell and appendages", "shell and appendages"),
        ),
    ),
    title="Sections: area of each section to each draft",
    also=("Bonjean", "Bonjean curves", "Bonjean table", "section areas", "areas of sections"),
    matrix=Matrix(
        x_position("X", also=("x from AP", "position", "place", "longitudinal position")),
        "x",
        "drafts",
        "areas",
        "area",
        column=replace(DRAFT, path=(), also=("drafts", "draught", "draughts", "moulded draft")),
    ),
)
ADJACENT_HOLDS = Sheet(
    "Adjacent holds",
    "list",
    MASS_LIMIT,
    ("strength", "adjacent_holds"),
    grouped=Grouped(
        Entry("No.", (), "whole", also=("number", "pair no")),
        (
            Entry("First hold", ("holds", 0), "id", needed=True, also=("hold 1", "hold", "aft hold")),
            Entry(
                "Second hold",
                ("holds", 1),
                "id",
                needed=True,
                also=("hold 2", "and hold", "other hold", "fore hold"),
            ),
        ),
        "mass_limits",
    ),
    also=("pairs of holds", "adjacent hold limits", "two adjacent holds"),
)

AIR_DRAFT_POINTS = Sheet(
    "Air draft points",
    "list",
    (
        text("Name", "name", needed=True),
        x_position("X", "x", also=("x from AP",)),
        y_position("Y", "y", needed=False),
        length("Z", "z", needed=True, also=("height",)),
    ),
    ("air_draft_points",),
    also=("highest points",),
)
OBSTRUCTION = (
    text("Name", "name", needed=True),
    x_position("X", "x", also=("x from AP",)),
    length("Z", "z", needed=True, also=("height",)),
    y_position("Y from", "y_from", needed=False),
    y_position("Y to", "y_to", needed=False),
)
OBSTRUCTIONS = Sheet(
    "Obstructions", "list", OBSTRUCTION, ("bridge", "obstructions"), also=("obstructions of the view",)
)
SURFACE = (
    text("Name", "name", needed=True, also=("surface",)),
    Entry("Kind", ("kind",), "choice", needed=True, choices=words.SURFACES),
    of("area", "Area", "area", needed=True),
    x_position("X", "x", also=("x from AP",)),
    y_position("Y", "y", needed=False),
    length("Z", "z", needed=True, also=("height",)),
)
ICING_SURFACES = Sheet("Icing surfaces", "list", SURFACE, ("icing_surfaces",), also=("ice surfaces",))
LIMITS = Sheet(
    "Limits",
    "list",
    (
        Entry("Figure", ("quantity",), "choice", needed=True, also=("quantity",), choices=words.LIMITED),
        of("own_limit", "At least", "at_least"),
        of("own_limit", "At most", "at_most"),
        Entry("Holds", ("when",), "choice", also=("when",), choices=words.WHEN),
        text("Clause", "clause"),
        text("Source", "source"),
    ),
    ("limits",),
    also=("own limits",),
)

RULE_SETS = Sheet(
    "Rule sets",
    "list",
    (text("Rule set", needed=True, also=("rules", "rule sets", "criteria")),),
    ("rule_sets",),
    also=("rules", "criteria"),
    needed=True,
    must_say=True,
)
