"""A box barge as documents: 100 m by 20 m by 10 m, lightship 2050 t evenly spread, every figure a closed form.

displacement = 2050 d t, KM = d / 2 + 400 / (12 d), KN = KM sin near upright (unused here), 20.5 t a centimetre.
"""

import copy
from typing import Any

Json = dict[str, Any]
SALT = 1.025
FOOT, LONG_TON = 0.3048, 1.0160469088


def _row(draft: float) -> Json:
    return {
        "draft": draft,
        "displacement": 2050.0 * draft,
        "lcb": 50.0,
        "lcf": 50.0,
        "km": 0.5 * draft + 400.0 / (12.0 * draft),
        "tpc": 20.5,
        "mctc": SALT * 20.0 * 100.0**2 / 12.0 / 100.0,
        "vcb": 0.5 * draft,
    }


def _peak(id: str, x: float) -> Json:
    rows = [
        {
            "sounding": s,
            "volume": 200.0 * s,
            "lcg": x,
            "vcg": 0.5 * s,
            "tcg": 0.0,
            "free_surface_inertia": 20000.0 / 3.0,
        }
        for s in (0.0, 2.0, 4.0)
    ]
    return {
        "id": id,
        "name": id,
        "side": "centre",
        "contents": "ballast",
        "capacity": 800.0,
        "lcg": x,
        "vcg": 2.0,
        "tcg": 0.0,
        "extent": {"x_from": x - 5.0, "x_to": x + 5.0},
        "table": {"rows": rows},
    }


def _station(x: float) -> Json:
    return {
        "name": f"x{x:g}",
        "x": x,
        "shear_force_sea": 800.0,
        "shear_force_sea_negative": 900.0,
        "shear_force_harbour": 1000.0,
        "bending_moment_sea": 22000.0,
        "bending_moment_sea_sagging": 20000.0,
        "bending_moment_harbour": 30000.0,
        "bending_moment_harbour_sagging": 28000.0,
    }


def vessel(**changes: Any) -> Json:
    """The booklet, in metres and tonnes."""
    document = {
        "name": "Box",
        "source": {"booklet": "Closed form of a box"},
        "units": "metric",
        "particulars": {
            "length_bp": 100.0,
            "length_waterline": 100.0,
            "length_load_line": 100.0,
            "length_overall": 100.0,
            "breadth": 20.0,
            "depth": 10.0,
            "keel_thickness": 0.02,
        },
        "lightship": {
            "mass": 2050.0,
            "lcg": 50.0,
            "vcg": 6.0,
            "segments": [{"x_from": 0.0, "x_to": 100.0, "mass": 2050.0}],
        },
        "hydrostatics": {"density": SALT, "rows": [_row(0.05 * k) for k in range(10, 191)]},
        "tanks": [_peak("APT", 5.0), _peak("FPT", 95.0)],
        "openings": [],
        "strength": {
            "stations": [_station(x) for x in (10.0, 30.0, 50.0, 70.0, 90.0)],
            "sections": {"x": [0.0, 100.0], "drafts": [0.0, 10.0], "areas": [[0.0, 200.0], [0.0, 200.0]]},
        },
        "rule_sets": ["vessel-strength"],
    }
    return {**copy.deepcopy(document), **changes}


def weight(name: str, mass: float, lcg: float, vcg: float = 5.0, **more: Any) -> Json:
    return {"name": name, "category": "cargo", "mass": mass, "lcg": lcg, "vcg": vcg, **more}


def condition(*weights: Json, **changes: Any) -> Json:
    document = {
        "units": "metric",
        "title": "Box",
        "water_density": SALT,
        "free_surface": {"basis": "as_filled"},
        "tanks": [],
        "weights": list(weights),
    }
    return {**document, **changes}
