"""A box of 100 m by 20 m by 10 m as a vessel document: every table is a closed form, KN cut exactly from the section.

displacement = 1.025 L B d,  KM = d/2 + B^2/(12 d),  LCB = LCF = L/2,  TPC = 1.025 L B/100,  MCTC = 1.025 B L^2/1200.
"""

from functools import cache
from typing import Any

from service.core.hull.cross_curves import kn
from tests.published.hulls import box

LENGTH, BREADTH, DEPTH, SALT = 100.0, 20.0, 10.0, 1.025
DRAFTS = [1.0 + 0.05 * step for step in range(171)]
HEELS = [5.0 * step for step in range(1, 13)]


def km(draft: float) -> float:
    return draft / 2.0 + BREADTH**2 / (12.0 * draft)


@cache
def _levers() -> tuple[list[float], list[list[float]]]:
    drafts = [1.0 + 0.5 * step for step in range(17)]
    hull = box(LENGTH, BREADTH, DEPTH)
    levers = [[kn(hull, LENGTH * BREADTH * draft, heel) for heel in HEELS] for draft in drafts]
    return [SALT * LENGTH * BREADTH * draft for draft in drafts], levers


def _row(draft: float) -> dict[str, float]:
    return {
        "draft": draft,
        "displacement": SALT * LENGTH * BREADTH * draft,
        "lcb": LENGTH / 2,
        "lcf": LENGTH / 2,
        "km": km(draft),
        "tpc": SALT * LENGTH * BREADTH / 100.0,
        "mctc": SALT * BREADTH * LENGTH**2 / 1200.0,
        "vcb": draft / 2.0,
    }


def tank(id: str, contents: str, x: float, y: float, length: float, breadth: float, depth: float) -> Any:
    """A box-shaped tank on the keel: linear centre, constant surface."""
    area = length * breadth
    rows = [
        {
            "sounding": z,
            "volume": area * z,
            "lcg": x,
            "vcg": z / 2.0,
            "tcg": y,
            "free_surface_inertia": length * breadth**3 / 12.0,
        }
        for z in (0.0, depth / 2.0, depth)
    ]
    return {
        "id": id,
        "name": id,
        "side": "centre" if y == 0.0 else "port" if y > 0.0 else "starboard",
        "contents": contents,
        "capacity": area * depth,
        "lcg": x,
        "vcg": depth / 2.0,
        "tcg": y,
        "table": {"rows": rows},
    }


def vessel(rule_sets: tuple[str, ...] = ("load-lines",), **more: Any) -> dict[str, Any]:
    """Lightship 2050 t at half length, KG 6 m; two pairs of fuel tanks, two peaks; marks at 6.0, 5.875, 6.125 m."""
    displacements, levers = _levers()
    pairs = [
        tank(f"DB{n}{side}", "fuel_oil", x, y, 20.0, 10.0, 1.5)
        for n, x in ((1, 40.0), (2, 60.0))
        for side, y in (("P", 5.0), ("S", -5.0))
    ]
    return {
        "name": "Box 100",
        "source": {"booklet": "Closed form: a box of 100 m by 20 m by 10 m"},
        "units": "metric",
        "particulars": {
            "length_bp": LENGTH,
            "length_waterline": LENGTH,
            "length_load_line": LENGTH,
            "breadth": BREADTH,
            "depth": DEPTH,
        },
        "lightship": {"mass": 2050.0, "lcg": 50.0, "vcg": 6.0},
        "hydrostatics": {"density": SALT, "rows": [_row(draft) for draft in DRAFTS]},
        "cross_curves": {"basis": "kn", "heels": HEELS, "displacements": displacements, "levers": levers},
        "tanks": [
            tank("APT", "ballast", 5.0, 0.0, 10.0, 20.0, 4.0),
            tank("FPT", "ballast", 95.0, 0.0, 10.0, 20.0, 4.0),
            *pairs,
        ],
        "openings": [],
        "load_lines": {"summer_draft": 6.0, "marks": {"S": 6.0, "W": 5.875, "T": 6.125}},
        "draft_marks": [
            {"name": "aft", "x": 4.0, "keel_offset": 0.02},
            {"name": "midship", "x": 50.0, "keel_offset": 0.02},
            {"name": "forward", "x": 97.0, "keel_offset": 0.02},
        ],
        "rule_sets": list(rule_sets),
        **more,
    }


def condition(cargo: float, lcg: float, vcg: float, **more: Any) -> dict[str, Any]:
    """All four fuel tanks at 97 %, and cargo."""
    fuel = [{"tank": id, "density": 0.95, "mass": 276.45} for id in ("DB1P", "DB1S", "DB2P", "DB2S")]
    return {
        "units": "metric",
        "title": "Box",
        "water_density": SALT,
        "free_surface": {"basis": "as_filled"},
        "tanks": fuel,
        "weights": [{"name": "Cargo", "category": "cargo", "mass": cargo, "lcg": lcg, "vcg": vcg}],
        "load_line_mark": "S",
        **more,
    }
