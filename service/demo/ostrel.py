"""The vessel document of the offshore supply vessel Ostrel, a ship of our own invention.

Feet and long tons; her booklet prints x from amidships, positive aft, and y positive to starboard.  In this
module positions are from the aft perpendicular, positive forward.  No real ship is meant.
"""

from math import floor

import numpy as np

from service.core.hull.hydrostatics import upright
from service.core.hull.sections import Array

from . import booklet
from .booklet import OpeningPlan
from .gm_limit import SUBCHAPTER_S_FEET, greatest_vcg_of_either_paragraph
from .load_line import marks
from .ostrel_form import FORM, HULL
from .ostrel_tanks import TANKS
from .printing import Printing, Row, rounded
from .wind_area import hull_outline, rectangle

PRINTING = Printing("us", FORM.length, from_amidships=True)
SUMMER_DRAFT = 12.5
KEEL = 0.05
TRIMS = [0.0, -2.0, 2.0, 4.0]
"""Trims of all her tables by the stern, the main one first."""

OPENINGS = (
    # id, name, x, y, z, side, protection, whether it closes automatically
    OpeningPlan("er-intake-p", "Engine room intake port", 130.0, 14.5, 31.0, "port", "unprotected"),
    OpeningPlan("er-intake-s", "Engine room intake stbd", 130.0, 14.5, 31.0, "starboard", "unprotected"),
    OpeningPlan("stack-p", "Exhaust trunk port", 40.0, 17.0, 31.0, "port", "unprotected"),
    OpeningPlan("stack-s", "Exhaust trunk stbd", 40.0, 17.0, 31.0, "starboard", "unprotected"),
    OpeningPlan("deck-door", "Forecastle door to cargo deck", 126.0, 5.0, 19.5, "starboard", "weathertight"),
    OpeningPlan("vent-7-p", "Tank vent, No. 7 fuel oil port", 100.0, 20.0, 20.0, "port", "watertight", True),
    OpeningPlan(
        "vent-7-s", "Tank vent, No. 7 fuel oil stbd", 100.0, 20.0, 20.0, "starboard", "watertight", True
    ),
)

DECK_STATIONS = [-4.0, 6.0, 20.0, 40.0, 60.0, 80.0, 95.0, 110.0, 120.0, 130.0, 145.0, 160.0, 175.0]


LIMITS: list[Row] = [
    {
        "quantity": "trim",
        "at_most": 4.0,
        "when": "at_sea",
        "clause": "1.4",
        "source": "Her booklet: sight of the deck from the aft bridge",
    },
    {"quantity": "list", "at_most": 8.0, "clause": "1.5", "source": "Her booklet: deck crane at work"},
]
PASSENGER_SPACES: list[Row] = [
    {
        "id": "mess-deck",
        "x": PRINTING.x(146.0),
        "deck_z": 27.0,
        "length": 28.0,
        "half_breadth": 15.0,
        "area": 560.0,
    },
    {"id": "boat-deck", "x": PRINTING.x(140.0), "deck_z": 35.0, "length": 20.0, "half_breadth": 17.0},
]


def towing() -> Row:
    """Her towing gear: two shafts, fixed rudders, the winch on the after deck."""
    return {
        "propellers": 2,
        "shaft_power": 1950.0,
        "propeller_diameter": 7.0,
        "rudder_fraction": 0.6,
        "bitts_height": 17.0,
        "bollard_pull": 38.0,
        "tow_point": {"x": PRINTING.x(70.0), "y": 0.0, "z": 19.5},
        "propulsion": {"x": PRINTING.x(12.0), "z": 4.2},
        "drive": "conventional",
    }


def outlines() -> tuple[Array, ...]:
    """Side view: hull with forecastle, deckhouse, wheelhouse, mast, exhaust trunks, cargo rail."""
    return (
        hull_outline(FORM),
        rectangle(FORM, 128.0, 164.0, 35.0),
        np.array([[133.0, 35.0], [158.0, 35.0], [156.0, 44.0], [134.0, 44.0]]),
        np.array([[143.0, 44.0], [145.0, 44.0], [145.0, 60.0], [143.0, 60.0]]),
        rectangle(FORM, 36.0, 44.0, 31.5),
        rectangle(FORM, 46.0, 124.0, 20.0),
    )


def document() -> Row:
    """The whole vessel document, computed afresh."""
    drafts = np.round(np.arange(4.5, 15.001, 0.25), 2)
    coarse = np.round(np.arange(4.5, 15.001, 0.75), 2)
    displacements = [float(d) for d in range(600, 2401, 100)]
    heels = [2.5, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0]
    box = FORM.length * FORM.breadth * SUMMER_DRAFT
    return {
        "name": "Ostrel",
        "source": {
            "booklet": "Demonstration booklet: invented ship, tables computed from an invented hull",
            "revision": "A",
            "date": "2026-01-15",
        },
        "units": PRINTING.units,
        "axes": PRINTING.axes,
        "particulars": {
            "length_bp": FORM.length,
            "length_waterline": 193.5,
            "length_load_line": 188.0,
            "length_overall": 204.7,
            "breadth": FORM.breadth,
            "depth": FORM.depth,
            "keel_thickness": KEEL,
            "block_coefficient": rounded(upright(HULL, SUMMER_DRAFT).volume / box, 3),
            "bilge": "round",
            "bilge_keel_area": 190.0,
            "service_speed": 12.0,
            "service": "exposed",
        },
        "lightship": {"mass": 800.0, "lcg": PRINTING.x(97.6), "vcg": 15.9, "tcg": PRINTING.y(0.05)},
        "hydrostatics": {
            "density": PRINTING.water,
            "draft_reference": "midship",
            "rows": booklet.hydrostatic_rows(HULL, PRINTING, FORM.breadth, drafts, np.array(sorted(TRIMS))),
        },
        "cross_curves": booklet.cross_curves(HULL, PRINTING, displacements, heels, TRIMS),
        "tanks": [booklet.tank(FORM, PRINTING, plan) for plan in TANKS],
        "openings": booklet.openings(HULL, PRINTING, OPENINGS, coarse),
        "wind_profile": booklet.wind_profile(outlines(), np.round(np.arange(4.5, 15.001, 0.5), 2)),
        "deck_edge": booklet.deck_edge(FORM, HULL, PRINTING, DECK_STATIONS, coarse),
        "draft_marks": [
            {"name": "forward", "x": PRINTING.x(183.0), "keel_offset": KEEL},
            {"name": "midship", "x": PRINTING.x(95.0), "keel_offset": KEEL},
            {"name": "aft", "x": PRINTING.x(6.0), "keel_offset": KEEL},
        ],
        "load_lines": {"summer_draft": SUMMER_DRAFT, "marks": marks(HULL, SUMMER_DRAFT, 2.0 / 12.0)},
        "gm_limits": [most_vcg()],
        "propeller": {"x": PRINTING.x(12.0), "shaft_height": 4.2, "diameter": 7.0},
        "bridge": {
            "eye_x": PRINTING.x(152.0),
            "eye_z": 41.5,
            "obstruction_x": PRINTING.x(199.0),
            "obstruction_z": 32.0,
            "bow_x": PRINTING.x(200.7),
        },
        "air_draft_points": [{"name": "Mast", "x": PRINTING.x(144.0), "z": 60.0, "y": 0.0}],
        "limits": LIMITS,
        "passenger_spaces": PASSENGER_SPACES,
        "towing": towing(),
        "rule_sets": ["46-cfr-170.170", "46-cfr-170.173", "vessel-gm-limits", "load-lines"],
    }


def most_vcg() -> Row:
    """Greatest VCG (corrected for free surfaces) by draft, rounded down to a hundredth of a foot."""
    limits = booklet.vcg_limits(
        HULL,
        OPENINGS,
        lambda draft, flooding, trim: greatest_vcg_of_either_paragraph(
            HULL, draft, flooding, SUBCHAPTER_S_FEET, trim
        ),
        np.array([4.5, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 12.5, 13.0, 13.5, 14.0, 14.5, 15.0]),
        TRIMS,
    )
    return {
        "name": "Greatest VCG, 46 CFR 170.173",
        "basis": "max_vcg",
        "rows": [
            {"draft": d, "value": floor(vcg * 100.0) / 100.0, "trim_from": min(TRIMS), "trim_to": max(TRIMS)}
            for d, vcg, _ in limits
        ],
    }
