"""What the rules for one type of ship read: passenger spaces, hatches, towing gear, a trunk; and what she does."""

from service.imports import words
from service.imports.entries import length, mass, of, text, x_position, y_position
from service.imports.layout import Entry, Sheet

SHIP_TYPE = Sheet(
    "Ship type",
    "form",
    (
        length("Hatch coamings, sum of lengths", "hatch_coamings", "length_sum"),
        length("Hatch coamings, mean breadth", "hatch_coamings", "breadth"),
        length("Hatch coamings, mean height", "hatch_coamings", "height"),
        Entry(
            "Hatches qualify for a range of 50 degrees",
            ("hatches_secured",),
            "flag",
            also=("hatches secured",),
        ),
        length("Trunk, length", "barge_trunk", "length"),
        length("Trunk, breadth", "barge_trunk", "breadth"),
        length("Trunk, height", "barge_trunk", "height"),
        Entry("Propellers", ("towing", "propellers"), "whole", also=("number of propellers",)),
        of("power", "Power of one shaft", "towing", "shaft_power", also=("shaft power",)),
        length("Diameter of a propeller", "towing", "propeller_diameter"),
        of("factor", "Part of the propeller's circle behind the rudder", "towing", "rudder_fraction"),
        length("Towing bitts above the shaft", "towing", "bitts_height"),
        of("force", "Bollard pull", "towing", "bollard_pull"),
        x_position("Tow point, longitudinal position", "towing", "tow_point", "x", needed=False),
        y_position("Tow point, transverse position", "towing", "tow_point", "y", needed=False),
        length("Tow point above baseline", "towing", "tow_point", "z"),
        x_position("Propulsion, longitudinal position", "towing", "propulsion", "x", needed=False),
        length("Propulsion above baseline", "towing", "propulsion", "z"),
        Entry("Drive", ("towing", "drive"), "choice", choices=words.DRIVES),
    ),
    also=("type of ship", "towing gear", "hatch coamings"),
)

PASSENGER_SPACES = Sheet(
    "Passenger spaces",
    "list",
    (
        Entry("Space", ("id",), "id", needed=True, also=("space id", "deck")),
        x_position("Centre, longitudinal position", "x", also=("x", "LCG")),
        length("Height of deck", "deck_z", needed=True, also=("deck above baseline",)),
        length("Length", "length", needed=True),
        length("Half breadth", "half_breadth", needed=True),
        of("area", "Area", "area"),
    ),
    ("passenger_spaces",),
)

PASSENGERS = Sheet(
    "Passengers",
    "list",
    (
        Entry("Space", ("space",), "id", needed=True, also=("passenger space", "deck")),
        Entry("Number", ("number",), "whole", needed=True, also=("passengers", "persons")),
        of("mass_of_person", "Mass of each", "mass_each", also=("mass each",)),
    ),
    ("passengers",),
)

OPERATION = (
    text("Load on the hook", "operation", "lift", "name"),
    mass("Load on the hook, mass", "operation", "lift", "mass"),
    x_position("Head of the crane, longitudinal position", "operation", "lift", "x", needed=False),
    y_position("Head of the crane, transverse position", "operation", "lift", "y", needed=False),
    length("Head of the crane above baseline", "operation", "lift", "z"),
    of("moment", "Escort, heeling moment", "operation", "escort", "heeling_moment"),
)
"""Lines of the form of a condition."""
