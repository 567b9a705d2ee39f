"""Vessel and condition documents for the tests: a small ship of closed forms (as tests/core/ship.py), and the same
documents in the other unit system and on other axes, converted here independently of the service.

Factors: 1 ft = 0.3048 m, 1 long ton = 1.0160469088 t, 1 in = 2.54 cm, exact.
"""

import copy
import json
from typing import Any

import numpy as np

Json = dict[str, Any]
FOOT, LONG_TON, INCH = 0.3048, 1.0160469088, 2.54
STANDARD_GRAVITY = 9.80665
HORSEPOWER = 550.0 * FOOT * 0.45359237 * STANDARD_GRAVITY / 1000.0
"""kW: 550 ft.lbf/s."""
LENGTH_BP, KM = 100.0, 7.5
DRAFTS = (2.0, 4.0, 6.0, 8.0)
HEELS = (0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0)
AP_FORWARD_PORT = {"x_origin": "aft_perpendicular", "x_positive": "forward", "y_positive": "port"}


def _hydrostatic_row(draft: float, trim: float) -> Json:
    return {
        "trim": trim,
        "draft": draft,
        "displacement": 1500.0 * draft,
        "lcb": 51.0 - 0.1 * draft - 1.5 * trim,
        "lcf": 49.0,
        "km": KM,
        "tpc": 15.0,
        "mctc": 22.5 * draft,
        "vcb": 0.5 * draft,
    }


def _levers() -> list[list[float]]:
    angles = np.radians(HEELS)
    return [[float(v) for v in KM * angles - 1.6 * angles**3] for d in DRAFTS]


def _box(id: str, contents: str, x: float, y: float, breadth: float) -> Json:
    soundings = [0.5 * i for i in range(11)]
    side = "centre" if y == 0.0 else "port" if y > 0.0 else "starboard"
    rows = [
        {
            "sounding": s,
            "ullage": 5.0 - s,
            "volume": 10.0 * breadth * s,
            "lcg": x,
            "vcg": 1.0 + 0.5 * s,
            "tcg": y,
            "free_surface_inertia": 10.0 * breadth**3 / 12.0,
        }
        for s in soundings
    ]
    return {
        "id": id,
        "name": f"Tank {id}",
        "side": side,
        "contents": contents,
        "capacity": 50.0 * breadth,
        "lcg": x,
        "vcg": 3.5,
        "tcg": y,
        "extent": {"x_from": x - 5.0, "x_to": x + 5.0},
        "table": {"rows": rows},
    }


def _plain(id: str, contents: str, **source: Any) -> Json:
    return {
        "id": id,
        "name": f"Tank {id}",
        "side": "centre",
        "contents": contents,
        "capacity": 100.0,
        "lcg": 40.0,
        "vcg": 2.0,
        "tcg": 0.0,
        **source,
    }


def vessel() -> Json:
    """The whole booklet in metres and tonnes, x from the aft perpendicular forward, y to port."""
    moments = copy.deepcopy(_box("MOM", "ballast", 70.0, 0.0, 4.0))
    moments["table"]["density"] = 1.025
    for row in moments["table"]["rows"]:
        row["free_surface_moment"] = 1.025 * row.pop("free_surface_inertia")
    heeled = copy.deepcopy(_box("WIDE", "ballast", 60.0, 0.0, 8.0))
    angles = np.radians(HEELS)
    shift = 10.0 * 8.0**3 / 12.0 * np.sin(angles) * (1.0 + 0.1 * np.tan(angles / 2.0) ** 2)
    heeled["heeled_moments"] = {
        "fillings": [20.0, 80.0],
        "heels": list(HEELS),
        "moments": [[float(v) for v in shift], [float(v) * 0.9 for v in shift]],
    }
    columns = [
        {
            "contents": "fuel_oil",
            "density": 0.95,
            "limit_mass": 92.5,
            "slack_moment": 150.0,
            "limit_moment": 40.0,
        },
        {
            "contents": "ballast",
            "density": 1.025,
            "limit_mass": 99.8,
            "slack_moment": 162.0,
            "limit_moment": 43.0,
        },
    ]
    return {
        "name": "Closed form",
        "source": {"booklet": "Stability booklet of a test", "revision": "A", "date": "2020"},
        "units": "metric",
        "axes": dict(AP_FORWARD_PORT),
        "particulars": {
            "length_bp": LENGTH_BP,
            "breadth": 16.0,
            "length_waterline": 102.0,
            "length_load_line": 99.0,
            "length_overall": 106.0,
            "depth": 9.0,
            "block_coefficient": 0.7,
            "bilge": "round",
            "bilge_keel_area": 30.0,
            "minimum_service_displacement": 4000.0,
            "service": "exposed",
        },
        "lightship": {"mass": 3600.0, "lcg": 47.0, "vcg": 7.0, "tcg": 0.0},
        "hydrostatics": {
            "density": 1.025,
            "rows": [_hydrostatic_row(d, t) for t in (-3.0, 0.0, 3.0) for d in DRAFTS],
        },
        "cross_curves": {
            "basis": "kn",
            "heels": list(HEELS),
            "displacements": [1500.0 * d for d in DRAFTS],
            "levers": _levers(),
        },
        "tanks": [
            _box("BP", "ballast", 50.0, 4.0, 6.0),
            _box("BS", "ballast", 50.0, -4.0, 6.0),
            _box("FP", "fuel_oil", 30.0, 5.0, 3.0),
            _box("FS", "fuel_oil", 30.0, -5.0, 3.0),
            moments,
            heeled,
            _plain("PRN", "fuel_oil", printed_free_surface={"columns": columns}),
            _plain(
                "REC", "fresh_water", rectangular_surface={"length": 9.0, "breadth": 6.0, "compartments": 2}
            ),
        ],
        "openings": [
            {"id": "VP", "name": "Vent, port", "x": 20.0, "y": 6.0, "z": 11.0, "protection": "unprotected"},
            {
                "id": "VS",
                "name": "Vent, starboard",
                "x": 20.0,
                "y": -6.0,
                "z": 10.5,
                "protection": "unprotected",
            },
            {
                "id": "DP",
                "name": "Door, port",
                "x": 30.0,
                "y": 5.0,
                "z": 12.0,
                "protection": "unprotected",
                "immersion_angles": [{"draft": 2.0, "angle": 60.0}, {"draft": 8.0, "angle": 40.0}],
            },
        ],
        "wind_profile": [
            {"draft": 2.0, "area": 900.0, "centroid_height": 7.0},
            {"draft": 8.0, "area": 500.0, "centroid_height": 10.0},
        ],
        "deck_edge": {"points": [{"x": 10.0, "y": 7.0, "z": 9.0}, {"x": 50.0, "y": 8.0, "z": 9.0}]},
        "draft_marks": [
            {"name": "aft", "x": 2.0, "keel_offset": 0.01},
            {"name": "fore", "x": 97.0, "keel_offset": 0.01},
        ],
        "load_lines": {"summer_draft": 6.5, "marks": {"S": 6.5, "T": 6.63}},
        "gm_limits": [
            {
                "name": "Own",
                "basis": "min_gm",
                "rows": [{"draft": 2.0, "value": 0.4}, {"draft": 8.0, "value": 0.2}],
            }
        ],
        "propeller": {"x": 1.0, "shaft_height": 1.8, "diameter": 3.0},
        "bridge": {
            "eye_x": 12.0,
            "eye_z": 18.0,
            "obstruction_x": 80.0,
            "obstruction_z": 12.0,
            "bow_x": 104.0,
        },
        "rule_sets": [
            "is-code-2008-a-2.2",
            "is-code-2008-a-2.3",
            "46-cfr-170.170",
            "46-cfr-170.173-b",
            "vessel-gm-limits",
            "load-lines",
        ],
    }


def condition() -> Json:
    """A condition with one line of every kind of quantity."""
    return {
        "units": "metric",
        "title": "Departure",
        "voyage": {"number": "7", "from": "Farhaven", "to": "Estmouth", "phase": "departure"},
        "water_density": 1.025,
        "free_surface": {"basis": "as_filled"},
        "tanks": [
            {"tank": "BP", "fill": 40.0},
            {"tank": "BS", "volume": 130.0},
            {"tank": "FP", "mass": 90.0, "density": 0.95},
            {"tank": "FS", "ullage": 2.0},
            {"tank": "MOM", "sounding": 1.75},
            {"tank": "WIDE", "fill": 50.0},
            {"tank": "PRN", "mass": 61.5},
            {"tank": "REC", "fill": 30.0},
        ],
        "weights": [
            {"name": "Coils", "category": "cargo", "mass": 3600.0, "lcg": 52.0, "vcg": 5.6, "tcg": 0.0},
            {
                "name": "Stores",
                "category": "stores",
                "mass": 12.5,
                "lcg": 80.0,
                "vcg": 9.0,
                "tcg": -3.0,
                "extent": {"x_from": 75.0, "x_to": 85.0},
            },
            {"name": "Anchor ashore", "category": "removal", "mass": -3.5, "lcg": 95.0, "vcg": 8.0},
        ],
        "wind_additions": [{"name": "Containers", "area": 60.0, "centroid_height": 11.0}],
        "load_line_mark": "S",
        "observed": {"drafts": {"aft": 5.5, "fore": 5.2}, "list": 0.4, "roll_period": 13.0},
    }


def request(vessel_document: Json | None = None, condition_document: Json | None = None) -> Json:
    return {"vessel": vessel_document or vessel(), "condition": condition_document or condition()}


def line_of(document: Json) -> bytes:
    return json.dumps(document).encode()


def changed(document: Json, path: str, value: Any) -> Json:
    """A copy with the member at a slash-separated path set; value `...` deletes it."""
    copied: Any = copy.deepcopy(document)
    *steps, last = [int(step) if step.isdigit() else step for step in path.split("/")]
    place = copied
    for step in steps:
        place = place[step]
    if value is ...:
        del place[last]
    elif isinstance(place, list) and last == len(place):
        place.append(value)
    else:
        place[last] = value
    return copied  # type: ignore[no-any-return]


# --- other units, other axes -----------------------------------------------------------------------------------

_NAMES = (
    "length_bp breadth length_waterline length_load_line length_overall depth keel_thickness lcg vcg tcg "
    "draft lcb lcf km vcb tcb kml trim x y z x_from x_to sounding ullage levers value centroid_height "
    "keel_offset summer_draft shaft_height diameter eye_x eye_z obstruction_x obstruction_z bow_x length "
    "trim_from trim_to deck_z half_breadth length_sum height propeller_diameter bitts_height "
    "superstructure_length freeboard_least breadth_half_draft "
)
_LENGTHS = set(_NAMES.split())
_MASSES = {
    "mass",
    "displacement",
    "displacements",
    "limit_mass",
    "limit_tolerance",
    "minimum_service_displacement",
}
_US: dict[str, float] = {
    **dict.fromkeys(_LENGTHS, FOOT),
    **dict.fromkeys(_MASSES, LONG_TON),
    **dict.fromkeys(("capacity", "volume", "unpumpable"), FOOT**3),
    **dict.fromkeys(("area", "bilge_keel_area", "waterplane_area"), FOOT**2),
    **dict.fromkeys(("free_surface_inertia", "moments"), FOOT**4),
    **dict.fromkeys(("filled_trimmed", "filled_untrimmed", "heeling_moment"), FOOT**4),
    "stowage_factor": FOOT**3 / LONG_TON,
    **dict.fromkeys(("free_surface_moment", "slack_moment", "limit_moment"), FOOT * LONG_TON),
    "shaft_power": HORSEPOWER,
    "bollard_pull": LONG_TON * STANDARD_GRAVITY,
    "mass_each": 0.45359237,
    "tpc": LONG_TON / INCH,
    "mctc": FOOT * LONG_TON / INCH,
}


def in_us(document: Any, key: str = "") -> Any:
    """The same document in feet and long tons."""
    if isinstance(document, dict):
        if key in ("marks", "drafts"):
            return {name: value / FOOT for name, value in document.items()}
        converted = {name: in_us(value, name) for name, value in document.items()}
        return {**converted, "units": "us"} if "units" in document else converted
    if isinstance(document, list):
        return [in_us(value, key) for value in document]
    return document / _US[key] if key in _US and isinstance(document, float) else document


_X = {"lcg", "lcb", "lcf", "x", "x_from", "x_to", "eye_x", "obstruction_x", "bow_x"}
_Y = {"tcg", "tcb", "y"}


def on_axes(
    document: Any, x_origin: str, x_positive: str, y_positive: str, key: str = "", edge: bool = False
) -> Any:
    """The same document with x from elsewhere, positive the other way; metric documents only."""
    if isinstance(document, dict):
        turned = {
            name: on_axes(value, x_origin, x_positive, y_positive, name, edge or key == "deck_edge")
            for name, value in document.items()
        }
        if "units" in document:
            turned["axes"] = {"x_origin": x_origin, "x_positive": x_positive, "y_positive": y_positive}
        return turned
    if isinstance(document, list):
        return [on_axes(value, x_origin, x_positive, y_positive, key, edge) for value in document]
    if not isinstance(document, float):
        return document
    if key in _X:
        origin = {"aft_perpendicular": 0.0, "midship": LENGTH_BP / 2.0, "forward_perpendicular": LENGTH_BP}[
            x_origin
        ]
        return (document - origin) * (1.0 if x_positive == "forward" else -1.0)
    if key in _Y and not edge:  # deck edge points are half-breadths
        return document * (1.0 if y_positive == "port" else -1.0)
    return document
