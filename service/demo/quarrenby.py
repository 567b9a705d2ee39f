"""The vessel document of the motor ship Quarrenby, a small container feeder of our own invention.

Metres, tonnes; x from the aft perpendicular, forward positive; y to port.  No real ship is meant.
"""

from math import floor

import numpy as np

from service.core.hull.sections import Array

from . import booklet, strength
from .booklet import OpeningPlan
from .form_factor import FormFactor, greatest_vcg
from .load_line import marks
from .printed_conditions import Ship, printed_condition
from .printing import Printing, Row, rounded
from .quarrenby_form import FORM, HULL
from .quarrenby_tanks import FRAME, TANKS
from .strength import Fitting
from .wind_area import hull_outline, rectangle

PRINTING = Printing("metric", FORM.length, from_amidships=False)
SUMMER_DRAFT = FORM.draft
KEEL = 0.014
TRIMS = [0.0, -1.0, 1.0, 3.0]
"""Trims of all her tables by the stern, the main one first."""
HEELS = [5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0]
COARSE = np.round(np.arange(4.0, 8.0001, 0.5), 2)
"""Drafts of the tables of immersion angles and of the curve of greatest VCG."""
COAMINGS = {"length_sum": 54.6, "breadth": 16.4, "height": 1.9}
"""Hatch coamings within a quarter of her length of amidships."""

OPENINGS = (
    OpeningPlan("er-ventilator-p", "Engine room ventilator port", 10.4, 6.2, 17.2, "port", "unprotected"),
    OpeningPlan("er-ventilator-s", "Engine room ventilator stbd", 10.4, 6.2, 17.2, "starboard", "unprotected"),
    OpeningPlan("hold-vent-2-p", "No. 2 hold ventilator port", 70.0, 6.8, 16.0, "port", "unprotected"),
    OpeningPlan("hold-vent-2-s", "No. 2 hold ventilator stbd", 70.0, 6.8, 16.0, "starboard", "unprotected"),
    OpeningPlan("poop-door-p", "Poop front door port", 18.2, 6.4, 11.4, "port", "weathertight"),
    OpeningPlan("poop-door-s", "Poop front door starboard", 18.2, 6.4, 11.4, "starboard", "weathertight"),
)  # fmt: skip

FITTINGS = (
    Fitting("steering gear, rudder and propeller", -3.6, 5.6, 80.0),
    Fitting("main engine and machinery", 5.6, 26.6, 560.0),
    Fitting("accommodation, wheelhouse and funnel", 5.6, 17.5, 430.0),
    Fitting("coamings, hatch covers and cell guides", 30.8, 109.2, 780.0),
    Fitting("windlass, anchors and cables", 115.5, 124.6, 130.0),
)
SECTIONS = np.concatenate(
    ([-4.5], np.arange(-3.5, 30.0, 2.0), np.arange(30.0, 76.0, 5.0), np.arange(76.0, 124.1, 3.0),
     [125.0, 126.0, 128.0, 130.0])
)  # fmt: skip
"""Places of the sections whose areas are printed: closer where her form bends."""
SECTION_DRAFTS = np.arange(0.0, 11.01, 0.5)
STRENGTH_STATIONS = {f"Frame {frame}": frame * FRAME for frame in (8, 38, 44, 70, 100, 130, 156, 166)}
"""Read-out points: her transverse bulkheads."""

DECK_STATIONS = [-4.0, 6.0, 18.0, 32.0, 48.0, 63.0, 78.0, 90.0, 100.0, 108.0, 114.5]
HOLDS = (
    ("hold-1", "No. 1 hold", 130, 156),
    ("hold-2", "No. 2 hold", 100, 130),
    ("hold-3", "No. 3 hold", 44, 100),
)


def outlines() -> tuple[Array, ...]:
    """Side view: hull with poop and forecastle, house, funnel and coamings; containers come with a condition."""
    return (
        hull_outline(FORM),
        rectangle(FORM, 5.6, 17.5, 24.6),
        np.array([[7.0, 24.6], [16.8, 24.6], [16.8, 27.4], [7.0, 27.4]]),
        np.array([[2.8, 13.6], [5.4, 13.6], [5.4, 26.0], [2.8, 26.0]]),
        rectangle(FORM, 30.8, 109.2, 12.7),
    )


def document() -> Row:
    """The whole vessel document, computed afresh."""
    drafts = np.round(np.arange(3.6, 8.4001, 0.2), 2)
    return {
        "name": "Quarrenby",
        "source": {
            "booklet": "Demonstration booklet: invented ship, tables computed from an invented hull",
            "revision": "1",
            "date": "2026-02-20",
        },
        "units": PRINTING.units,
        "axes": PRINTING.axes,
        "particulars": {
            "length_bp": FORM.length,
            "length_waterline": 128.4,
            "length_load_line": 124.8,
            "length_overall": 134.6,
            "breadth": FORM.breadth,
            "depth": FORM.depth,
            "keel_thickness": KEEL,
            "block_coefficient": rounded(booklet.block_coefficient(FORM, HULL), 3),
            "bilge": "round",
            "bilge_keel_area": 38.0,
            "service_speed": 17.0,
            "service": "exposed",
        },
        "lightship": lightship(),
        "hydrostatics": {
            "density": PRINTING.water,
            "draft_reference": "midship",
            "rows": booklet.hydrostatic_rows(HULL, PRINTING, FORM.breadth, drafts, np.array(sorted(TRIMS))),
        },
        "cross_curves": booklet.cross_curves(
            HULL, PRINTING, [float(d) for d in range(5000, 16001, 1000)], HEELS, TRIMS
        ),
        "tanks": [booklet.tank(FORM, PRINTING, plan) for plan in TANKS],
        "openings": booklet.openings(HULL, PRINTING, OPENINGS, COARSE),
        "wind_profile": booklet.wind_profile(outlines(), np.round(np.arange(3.6, 8.4001, 0.4), 2)),
        "deck_edge": booklet.deck_edge(FORM, HULL, PRINTING, DECK_STATIONS, COARSE),
        "draft_marks": [
            {"name": "forward", "x": 121.8, "keel_offset": KEEL},
            {"name": "midship", "x": 63.0, "keel_offset": KEEL},
            {"name": "aft", "x": 2.4, "keel_offset": KEEL},
        ],
        "load_lines": {"summer_draft": SUMMER_DRAFT, "marks": load_line_marks()},
        "gm_limits": [greatest_vcg_curve()],
        "propeller": {"x": 3.4, "shaft_height": 2.7, "diameter": 4.6},
        "bridge": {
            "eye_x": 15.4,
            "eye_z": 27.0,
            "obstruction_x": 126.5,
            "obstruction_z": 16.2,
            "bow_x": 129.6,
        },
        "air_draft_points": [{"name": "Radar mast", "x": 11.2, "z": 36.4, "y": 0.0}],
        "strength": {
            "stations": strength.stations(
                FORM, PRINTING, STRENGTH_STATIONS, booklet.block_coefficient(FORM, HULL)
            ),
            "sections": strength.sections(FORM, PRINTING, SECTIONS, SECTION_DRAFTS),
        },
        "hatch_coamings": COAMINGS,
        "rule_sets": [
            "is-code-2008-b-2.3",
            "is-code-2008-a-2.3",
            "vessel-gm-limits",
            "load-lines",
            "vessel-strength",
            "solas-v-22",
        ],
    }


def load_line_marks() -> Row:
    """Marks of a ship longer than 100 m: no Winter North Atlantic mark."""
    found = marks(HULL, SUMMER_DRAFT, 0.0)
    return {name: draft for name, draft in found.items() if name != "WNA"}


def lightship() -> Row:
    """Mass and centre of the empty ship, and her mass along her length."""
    row: Row = {"mass": 4350.0, "lcg": 52.4, "vcg": 8.55, "tcg": 0.0}
    breaks = np.array([-4.5, 0.0, *np.arange(14.0, 119.0, 14.0), 124.0, 129.0])
    return {**row, "segments": strength.segments(FORM, PRINTING, row, FITTINGS, breaks)}


def greatest_vcg_curve() -> Row:
    """Greatest VCG (corrected for free surfaces) by draft, rounded down to the centimetre: the worst of her trims."""
    coamings = FormFactor(
        FORM.depth, FORM.breadth, COAMINGS["length_sum"], COAMINGS["breadth"], COAMINGS["height"]
    )
    limits = booklet.vcg_limits(
        HULL,
        OPENINGS,
        lambda draft, flooding, trim: greatest_vcg(HULL, coamings, draft, flooding, trim),
        COARSE,
        [-1.0, 1.0, 3.0],
    )
    rows = [{"draft": d, "value": floor(vcg * 100.0 + 1e-9) / 100.0} for d, vcg, _ in limits]
    return {"name": "Greatest VCG, IS Code B 2.3", "basis": "max_vcg", "rows": rows}


DENSITIES = {
    "ballast": 1.025,
    "fuel_oil": 0.95,
    "diesel_oil": 0.86,
    "lubricating_oil": 0.9,
    "fresh_water": 1.0,
}
"""Densities of the liquids in the conditions of her booklet, t/m3."""
PRINTED = {
    "departure-full": ("1 Departure, containers in every bay, full bunkers", "31"),
    "arrival-slack": ("2 Arrival, a fifth of the bunkers", "33"),
}
"""Conditions that her booklet prints: name and page, by condition document."""
IN_BALLAST = {
    "departure": ("3 Ballast, departure, half bunkers", "35", 50.0, 22.0),
    "arrival": ("4 Ballast, arrival, a tenth of the bunkers", "37", 10.0, 4.0),
}
"""Conditions in ballast that only the booklet has: by phase, name, page, percent of bunkers, provisions."""
IN_BALLAST_TANKS = {"wb-wing-3": 50.0, "wb-aft-pe": 0.0}
"""Fillings in ballast other than full: heeling tanks and aft peak."""


def printed(conditions: dict[str, Row]) -> list[Row]:
    """The conditions that her booklet prints, computed afresh."""
    ship = Ship(FORM, HULL, PRINTING, TANKS, OPENINGS, lightship())
    loaded = [printed_condition(ship, *words, conditions[name], DENSITIES) for name, words in PRINTED.items()]
    crew = conditions["departure-full"]["weights"][0]
    return loaded + [
        printed_condition(ship, name, page, in_ballast(phase, bunkers, stores, crew), DENSITIES)
        for phase, (name, page, bunkers, stores) in IN_BALLAST.items()
    ]


def in_ballast(phase: str, bunkers: float, stores: float, crew: Row) -> Row:
    """No cargo; ballast tanks full but for the heeling tanks and the aft peak."""
    fills = {
        plan.id: IN_BALLAST_TANKS.get(plan.id[:9], 100.0) if plan.contents == "ballast" else bunkers
        for plan in TANKS
    }
    provisions = {"name": "Provisions and stores", "category": "stores", "mass": stores}
    constant = {"name": "Constant and lashing gear", "category": "constant", "mass": 90.0}
    return {
        "voyage": {"phase": phase},
        "water_density": 1.025,
        "load_line_mark": "S",
        "tanks": [{"tank": id, "fill": fill} for id, fill in fills.items()],
        "weights": [
            crew,
            {**provisions, "lcg": 9.0, "vcg": 12.5, "tcg": 0.0},
            {**constant, "lcg": 58.0, "vcg": 11.5, "tcg": 0.0},
        ],
    }
