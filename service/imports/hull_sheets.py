"""Openings, wind, deck edge, marks, limits, propeller, bridge, strength and rule sets."""

from dataclasses import replace

from service.imports import words
from service.imports.entries import (
    DRAFT,
    IMMERSION,
    OF_OPENING,
    length,
    mass,
    of,
    text,
    trim,
    x_position,
    y_position,
)
from service.imports.layout import Entry, Grouped, Sheet

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
    lines=(length("Summer draft", "load_lines", "summer_draft", needed=True, also=("summer draught",)),),
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

STRENGTH_LIMITS = Sheet(
    "Strength limits",
    "list",
    (
        x_position("X", "x", also=("x from AP", "station", "position")),
        mass("Shear force, sea", "shear_force_sea"),
        mass("Shear force, harbour", "shear_force_harbour"),
        of("moment", "Bending moment, sea", "bending_moment_sea"),
        of("moment", "Bending moment, harbour", "bending_moment_harbour"),
    ),
    ("strength", "stations"),
    also=("permissible forces", "strength"),
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
