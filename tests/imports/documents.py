"""Vessel and condition documents that the tests of workbooks share: a box, whose figures are closed forms, and the
demonstration ships with their printed conditions."""

import hashlib
import json
from math import atan, cos, degrees, radians, sin, tan
from typing import Any

import rfc8785

from service.demo import read_printed_conditions, read_vessel

Document = dict[str, Any]
LENGTH, BREADTH, DEPTH, DENSITY = 60.0, 12.0, 6.0, 1.025
HEELS = [10.0, 20.0, 30.0, 40.0, 50.0, 60.0]


def digest(document: Any) -> str:
    """SHA-256 of the canonical text (RFC 8785): equal for equal documents."""
    return hashlib.sha256(rfc8785.dumps(document)).hexdigest()


def box_row(draft: float) -> Document:
    """Hydrostatics of a box: BM = B²/12d, KB = d/2 (closed form)."""
    mass = LENGTH * BREADTH * draft * DENSITY
    return {
        "draft": draft,
        "displacement": round(mass, 6),
        "lcb": 30.0,
        "lcf": 30.0,
        "km": round(draft / 2 + BREADTH**2 / 12 / draft, 6),
        "tpc": round(LENGTH * BREADTH * DENSITY / 100, 6),
        "mctc": round(DENSITY * BREADTH * LENGTH**3 / 12 / LENGTH / 100, 6),
    }


def box_kn(draft: float, heel: float) -> float:
    """KN of a wall-sided box while deck and bilge stay out: the wall-sided formula (closed form); beyond that angle
    the last value falls off with the cosine, which serves as a number and nothing more."""
    phi = radians(heel)
    limit = atan(2 * min(draft, DEPTH - draft) / BREADTH)
    bm, kb = BREADTH**2 / 12 / draft, draft / 2
    angle = min(phi, limit)
    kn = kb * sin(angle) + bm * sin(angle) * (1 + tan(angle) ** 2 / 2)
    return round(kn * cos((phi - angle) / 2), 6)


def box() -> Document:
    """A box of 60 m by 12 m by 6 m with one pair of tanks."""
    drafts = [1.0, 2.0, 3.0, 4.5]
    tank = {"contents": "ballast", "capacity": 300.0, "lcg": 30.0, "vcg": 1.25}
    surface = {"length": 20.0, "breadth": 6.0}
    return {
        "name": "Box barge",
        "source": {"booklet": "Closed form: a box 60 m by 12 m by 6 m"},
        "units": "metric",
        "particulars": {"length_bp": LENGTH, "breadth": BREADTH, "depth": DEPTH},
        "lightship": {"mass": 600.0, "lcg": 30.0, "vcg": 3.0},
        "hydrostatics": {"density": DENSITY, "rows": [box_row(draft) for draft in drafts]},
        "cross_curves": {
            "basis": "kn",
            "heels": HEELS,
            "displacements": [box_row(draft)["displacement"] for draft in drafts],
            "levers": [[box_kn(draft, heel) for heel in HEELS] for draft in drafts],
        },
        "tanks": [
            {
                **tank,
                "id": "1P",
                "name": "No. 1 tank port",
                "side": "port",
                "tcg": 3.0,
                "rectangular_surface": surface,
            },
            {
                **tank,
                "id": "1S",
                "name": "No. 1 tank starboard",
                "side": "starboard",
                "tcg": -3.0,
                "rectangular_surface": surface,
            },
        ],
        "openings": [],
        "rule_sets": ["is-code-2008-a-2.2"],
    }


def deck_edge_angle(draft: float) -> float:
    """Heel that immerses the deck edge of the box, degrees: tan φ = 2 (D − d) / B (closed form)."""
    return degrees(atan(2 * (DEPTH - draft) / BREADTH))


def demo_ship(id: str) -> Document:
    """A demonstration ship with the conditions her booklet prints."""
    ship: Document = json.loads(read_vessel(id))
    return {**ship, "printed_conditions": json.loads(read_printed_conditions(id))}
