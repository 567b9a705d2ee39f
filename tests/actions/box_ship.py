"""A box of 100 m by 20 m by 10 m as documents: every figure is a closed form.

displacement = 1.025 L B d,  KM = d/2 + B^2/(12 d),  LCB = LCF = L/2,  TPC = 1.025 L B/100,  MCTC = 1.025 B L^2/1200.
"""

from typing import Any

from service.translation.prepared_vessel import PreparedVessel, prepare_vessel

LENGTH, BREADTH, SALT = 100.0, 20.0, 1.025
MCTC = SALT * BREADTH * LENGTH**2 / 1200.0
PER_METRE = SALT * LENGTH * BREADTH
LIGHTSHIP = (2050.0, 50.0, 6.0)
CARGO = (5000.0, 50.0, 6.0)
Json = dict[str, Any]


def km(draft: float) -> float:
    return draft / 2.0 + BREADTH**2 / (12.0 * draft)


def _row(draft: float) -> Json:
    return {
        "draft": draft,
        "displacement": PER_METRE * draft,
        "lcb": LENGTH / 2,
        "lcf": LENGTH / 2,
        "km": km(draft),
        "tpc": PER_METRE / 100.0,
        "mctc": MCTC,
        "vcb": draft / 2.0,
    }


def tank(
    id: str,
    x: float,
    y: float,
    length: float = 10.0,
    breadth: float = 8.0,
    contents: str = "ballast",
    **more: Any,
) -> Json:
    """A box on the keel, 5 m deep: its centre at half the sounding, its surface the same throughout."""
    rows = [
        {
            "sounding": z,
            "volume": length * breadth * z,
            "lcg": x,
            "vcg": z / 2.0,
            "tcg": y,
            "free_surface_inertia": length * breadth**3 / 12.0,
        }
        for z in (0.0, 2.5, 5.0)
    ]
    side = "centre" if y == 0.0 else "port" if y > 0.0 else "starboard"
    return {
        "id": id,
        "name": f"Tank {id}",
        "side": side,
        "contents": contents,
        "capacity": 5.0 * length * breadth,
        "lcg": x,
        "vcg": 2.5,
        "tcg": y,
        "table": {"rows": rows},
        **more,
    }


def vessel(*tanks: Json) -> Json:
    """Four ballast tanks, two of fuel; her own least GM of 0.5 m binds."""
    return {
        "name": "Box",
        "source": {"booklet": "Closed form"},
        "units": "metric",
        "particulars": {"length_bp": LENGTH, "breadth": BREADTH, "depth": 10.0},
        "lightship": dict(zip(("mass", "lcg", "vcg"), LIGHTSHIP)),
        "hydrostatics": {"density": SALT, "rows": [_row(0.5 + 0.05 * step) for step in range(180)]},
        "tanks": list(tanks)
        or [
            tank("AFT", 5.0, 0.0),
            tank("FORE", 95.0, 0.0),
            tank("P", 50.0, 6.0),
            tank("S", 50.0, -6.0),
            tank("FP", 30.0, 5.0, contents="fuel_oil", density=0.95),
            tank("FS", 30.0, -5.0, contents="fuel_oil", density=0.95),
        ],
        "openings": [],
        "gm_limits": [
            {
                "name": "Own",
                "basis": "min_gm",
                "rows": [{"draft": 0.5, "value": 0.5}, {"draft": 9.0, "value": 0.5}],
            }
        ],
        "rule_sets": ["vessel-gm-limits"],
    }


def condition(tanks: Json | None = None, weights: list[Json] | None = None, **more: Any) -> Json:
    """Cargo of 5000 t amidships; masses by tank."""
    cargo = {"name": "Cargo", "category": "cargo", **dict(zip(("mass", "lcg", "vcg"), CARGO))}
    return {
        "units": "metric",
        "title": "Box",
        "water_density": SALT,
        "free_surface": {"basis": "as_filled"},
        "tanks": [{"tank": id, "mass": mass} for id, mass in (tanks or {}).items()],
        "weights": [cargo, *(weights or [])],
        **more,
    }


def weight(mass: float, x: float = 50.0, y: float = 0.0, z: float = 6.0, name: str = "Weight") -> Json:
    return {"name": name, "category": "cargo", "mass": mass, "lcg": x, "vcg": z, "tcg": y}


def ship(*tanks: Json) -> PreparedVessel:
    return prepare_vessel(vessel(*tanks))
