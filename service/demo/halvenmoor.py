"""The vessel document of the motor ship Halvenmoor, a small general cargo ship of our own invention.

Metres, tonnes; x from the aft perpendicular, forward positive; y to port.  No real ship is meant.
"""

from math import ceil

import numpy as np

from service.core.hull.sections import Array

from . import booklet, strength
from .booklet import OpeningPlan
from .deck_area import deck, flat
from .gm_limit import IS_CODE_METRES, greatest_vcg
from .grain import grain
from .halvenmoor_form import FORM, HULL
from .halvenmoor_tanks import FRAME, HEELS, HOLDS, TANKS
from .load_line import marks
from .printing import Printing, Row, rounded
from .strength import Fitting
from .wind_area import hull_outline, rectangle

PRINTING = Printing("metric", FORM.length, from_amidships=False)
SUMMER_DRAFT = FORM.draft
KEEL = 0.012
TRIMS = [0.0, -1.0, 1.0, 2.0, 3.0]
"""Trims of all her tables by the stern, the main one first; at her lightship she trims 2.2 m."""
COARSE = np.round(np.arange(1.5, 7.0001, 0.5), 2)
"""Drafts of the tables of immersion angles and of the curve of least GM."""

OPENINGS = (
    # id, name, x, y, z, side, protection, whether it closes automatically
    OpeningPlan("er-ventilator-p", "Engine room ventilator port", 8.6, 4.3, 12.4, "port", "unprotected"),
    OpeningPlan("er-ventilator-s", "Engine room ventilator stbd", 8.6, 4.3, 12.4, "starboard", "unprotected"),
    OpeningPlan("generator-s", "Emergency generator louvre", 4.2, 3.6, 13.6, "starboard", "unprotected"),
    OpeningPlan("poop-door-p", "Poop front door port", 18.85, 4.6, 8.6, "port", "weathertight"),
    OpeningPlan("poop-door-s", "Poop front door starboard", 18.85, 4.6, 8.6, "starboard", "weathertight"),
    OpeningPlan("hold-vent-1", "No. 1 hold ventilator", 77.6, 3.2, 10.1, "port", "weathertight"),
    OpeningPlan("hold-vent-2", "No. 2 hold ventilator", 48.6, 3.2, 10.1, "starboard", "weathertight"),
    OpeningPlan(
        "air-pipe-wing-3-p", "Air pipe, No. 3 wing tank port", 50.0, 6.9, 8.76, "port", "weathertight", True
    ),
    OpeningPlan(
        "air-pipe-wing-3-s",
        "Air pipe, No. 3 wing tank stbd",
        50.0,
        6.9,
        8.76,
        "starboard",
        "weathertight",
        True,
    ),
)

FITTINGS = (
    Fitting("steering gear, rudder and propeller", -2.6, 4.55, 30.0),
    Fitting("main engine and machinery", 5.2, 18.85, 150.0),
    Fitting("accommodation, wheelhouse and funnel", 4.2, 17.6, 140.0),
    Fitting("coaming and hatch covers 2", 20.8, 46.8, 96.0),
    Fitting("coaming and hatch covers 1", 50.05, 74.75, 92.0),
    Fitting("bulkhead at frame 74", 47.45, 48.75, 26.0),
    Fitting("windlass, anchors and cables", 80.6, 89.2, 64.0),
)
SECTIONS = np.concatenate(
    (
        [-3.2],
        np.arange(-2.5, 20.0, 1.5),
        np.arange(20.0, 56.0, 4.0),
        np.arange(56.0, 88.1, 2.0),
        [88.6, 89.2, 89.8, 90.4, 91.0, 91.6, 92.2],
    )
)
"""Places of the sections whose areas are printed: closer where her form bends."""
SECTION_DRAFTS = np.arange(0.0, 9.51, 0.5)
STRENGTH_STATIONS = {f"Frame {frame}": frame * FRAME for frame in (8, 29, 48, 67, 74, 86, 105, 117, 126)}
"""Read-out points: her transverse bulkheads and the ends of double bottom tanks."""

DECK_STATIONS = [-2.6, 3.0, 9.0, 15.0, 18.85, 28.0, 36.0, 44.5, 52.0, 60.0, 66.0, 72.0, 78.0, 84.0]


def outlines() -> tuple[Array, ...]:
    """Side view: hull with poop and forecastle, accommodation, wheelhouse, funnel, hatch coamings, masts."""
    return (
        hull_outline(FORM),
        rectangle(FORM, 4.2, 17.6, 15.6),
        np.array([[8.6, 15.6], [17.2, 15.6], [17.2, 18.2], [8.6, 18.2]]),
        np.array([[4.6, 15.6], [7.4, 15.6], [7.4, 19.0], [4.6, 19.0]]),
        np.array([[12.0, 18.2], [12.6, 18.2], [12.6, 25.0], [12.0, 25.0]]),
        rectangle(FORM, 20.8, 46.8, 9.7),
        rectangle(FORM, 50.05, 74.75, 9.7),
        rectangle(FORM, 82.6, 83.2, 19.7),
    )


def document() -> Row:
    """The whole vessel document, computed afresh."""
    drafts = np.round(np.arange(1.5, 7.0001, 0.1), 2)
    displacements = [float(d) for d in range(1400, 7001, 200)]
    return {
        "name": "Halvenmoor",
        "source": {
            "booklet": "Demonstration booklet: invented ship, tables computed from an invented hull",
            "revision": "1",
            "date": "2026-01-15",
        },
        "units": PRINTING.units,
        "axes": PRINTING.axes,
        "particulars": {
            "length_bp": FORM.length,
            "length_waterline": 90.6,
            "length_load_line": 88.1,
            "length_overall": 95.2,
            "breadth": FORM.breadth,
            "depth": FORM.depth,
            "keel_thickness": KEEL,
            "block_coefficient": rounded(booklet.block_coefficient(FORM, HULL), 3),
            "bilge": "round",
            "bilge_keel_area": 22.4,
            "service_speed": 12.5,
            "minimum_service_displacement": 2900.0,
            "service": "exposed",
        },
        "lightship": lightship(),
        "hydrostatics": {
            "density": PRINTING.water,
            "draft_reference": "midship",
            "rows": booklet.hydrostatic_rows(HULL, PRINTING, FORM.breadth, drafts, np.array(sorted(TRIMS))),
        },
        "cross_curves": booklet.cross_curves(HULL, PRINTING, displacements, list(HEELS), TRIMS),
        "tanks": [booklet.tank(FORM, PRINTING, plan) for plan in TANKS],
        "holds": holds(),
        "openings": booklet.openings(HULL, PRINTING, OPENINGS, COARSE),
        "wind_profile": booklet.wind_profile(outlines(), np.round(np.arange(1.5, 7.0001, 0.25), 2)),
        "deck_edge": booklet.deck_edge(FORM, HULL, PRINTING, DECK_STATIONS, COARSE),
        "draft_marks": [
            {"name": "forward", "x": 86.2, "keel_offset": KEEL},
            {"name": "midship", "x": 44.5, "keel_offset": KEEL},
            {"name": "aft", "x": 1.9, "keel_offset": KEEL},
        ],
        "load_lines": {"summer_draft": SUMMER_DRAFT, "marks": marks(HULL, SUMMER_DRAFT, 0.05)},
        "gm_limits": [least_gm()],
        "propeller": {"x": 2.3, "shaft_height": 1.75, "diameter": 3.0},
        "bridge": {
            "eye_x": 14.6,
            "eye_z": 17.5,
            "obstruction_x": 91.4,
            "obstruction_z": 12.1,
            "bow_x": 92.0,
            "obstructions": [
                {"name": "Hatch covers 1", "x": 74.75, "z": 9.7, "y_from": -5.55, "y_to": 5.55},
                {"name": "Windlass", "x": 84.2, "z": 12.4, "y_from": -2.1, "y_to": 2.1},
            ],
        },
        "air_draft_points": [
            {"name": "Mast on the wheelhouse", "x": 12.3, "z": 25.0, "y": 0.0},
            {"name": "Foremast", "x": 82.9, "z": 19.7, "y": 0.0},
            {"name": "Funnel", "x": 6.0, "z": 19.0, "y": 1.2},
        ],
        "icing_surfaces": icing_surfaces(),
        "strength": {
            "stations": strength.stations(
                FORM, PRINTING, STRENGTH_STATIONS, booklet.block_coefficient(FORM, HULL)
            ),
            "sections": strength.sections(FORM, PRINTING, SECTIONS, SECTION_DRAFTS),
        },
        "rule_sets": [
            "is-code-2008-a-2.2",
            "is-code-2008-a-2.3",
            "vessel-gm-limits",
            "load-lines",
            "vessel-strength",
            "solas-v-22",
        ],
    }


def lightship() -> Row:
    """Mass and centre of the empty ship, and her mass along her length."""
    row: Row = {"mass": 1720.0, "lcg": 40.2, "vcg": 6.15, "tcg": 0.0}
    breaks = np.array([-3.2, 0.0, *np.arange(5.0, 86.0, 5.0), 89.0, 91.0])
    return {**row, "segments": strength.segments(FORM, PRINTING, row, FITTINGS, breaks)}


def icing_surfaces() -> list[Row]:
    """Her weather decks; the wind profile stands for her sides."""
    return [
        deck(FORM, PRINTING, "Forecastle deck", FORM.forecastle[0], FORM.foremost() - 0.01),
        deck(FORM, PRINTING, "Main deck beside hatch 1", 48.4, 79.99, 11.1),
        deck(FORM, PRINTING, "Main deck beside hatch 2", FORM.poop[0] + 0.01, 48.4, 11.1),
        flat(PRINTING, "Hatch covers 1", 50.05, 74.75, 11.1, 9.7),
        flat(PRINTING, "Hatch covers 2", 20.8, 46.8, 11.1, 9.7),
        deck(FORM, PRINTING, "Poop deck beside the house", FORM.transom + 0.01, FORM.poop[0] - 0.01, 10.4),
        flat(PRINTING, "Top of the house", 4.2, 8.6, 10.4, 15.6),
        flat(PRINTING, "Top of the wheelhouse", 8.6, 17.2, 10.4, 18.2),
    ]


def holds() -> list[Row]:
    """The holds with the heeling moments of grain in them."""
    rows = [booklet.hold(FORM, PRINTING, *plan) for plan in HOLDS]
    return [
        {**row, "grain": grain(FORM, blocks, row["capacity"])}
        for row, (_, _, blocks) in zip(rows, HOLDS, strict=True)
    ]


def least_gm() -> Row:
    """Least GM (corrected for free surfaces) by draft, rounded up to the centimetre.

    Two sets of rows, each the worst of the trims in its range: up to 2 m by the stern, and beyond.
    """
    rows = []
    for trims in ([-1.0, 0.0, 1.0, 2.0], [2.0, 3.0]):
        limits = booklet.vcg_limits(
            HULL,
            OPENINGS,
            lambda draft, flooding, trim: greatest_vcg(HULL, draft, flooding, IS_CODE_METRES, trim),
            COARSE,
            trims,
        )
        rows += [
            {
                "draft": d,
                "value": ceil(gm * 100.0 - 1e-9) / 100.0,
                "trim_from": min(trims),
                "trim_to": max(trims),
            }
            for d, _, gm in limits
        ]
    return {"name": "Least GM, IS Code A 2.2", "basis": "min_gm", "rows": rows}
