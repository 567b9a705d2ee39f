"""Small vessel and condition documents for printed examples: constant KM, LCF, TPC and MCTC; KN from a formula.

An example gives a ship as it finds her: that ship, liquids and all, is the "lightship" here, and what the example
loads, shifts or discharges are weights. Levers are given as a function of heel in radians; left out, KN = KM sin.
The centre of buoyancy is put at the centre of flotation at every draft: a weight then trims the ship by its moment
about the centre of flotation and nothing else, as the examples reckon.
"""

from collections.abc import Callable, Sequence
from math import radians, sin
from typing import Any

Document = dict[str, Any]
HEELS = tuple(float(heel) for heel in range(5, 65, 5))


def ship(
    mass: float,
    vcg: float,
    km: float,
    *,
    units: str = "metric",
    length: float = 100.0,
    breadth: float = 15.0,
    draft: float = 5.0,
    tpc: float | None = None,
    mctc: float = 100.0,
    lcf: float | None = None,
    trim: float = 0.0,
    density: float = 1.025,
    kn: Callable[[float], float] | None = None,
    heels: Sequence[float] = HEELS,
    tanks: Sequence[Document] = (),
    particulars: Document | None = None,
    rule_sets: Sequence[str] = (),
    **more: object,
) -> Document:
    """A vessel that floats at `draft` (at the LCF) with `trim` by the stern, weighing `mass`, in water of `density`.

    tpc is in the units' own sense (t per cm, LT per inch); left out, that of a box of that mass and draft.
    """
    per_unit = (100.0 if units == "metric" else 12.0) * tpc if tpc else mass / draft
    centre = 0.5 * length if lcf is None else lcf
    per_draft = 100.0 if units == "metric" else 12.0
    down = 0.95 * min(draft, mass / per_unit)
    ends = [(draft + step, mass + per_unit * step) for step in (-down, 10.0 * down)]
    lever = kn or (lambda heel: km * sin(heel))
    return {
        "name": "Printed example",
        "source": {"booklet": "A published example"},
        "units": units,
        "particulars": {"length_bp": length, "breadth": breadth, **(particulars or {})},
        "lightship": {"mass": mass, "lcg": centre - trim * per_draft * mctc / mass, "vcg": vcg},
        "hydrostatics": {
            "density": density,
            "rows": [
                {
                    "draft": d,
                    "displacement": w,
                    "lcb": centre,
                    "lcf": centre,
                    "km": km,
                    "tpc": per_unit / per_draft,
                    "mctc": mctc,
                }
                for d, w in ends
            ],
        },
        "cross_curves": {
            "basis": "kn",
            "heels": list(heels),
            "displacements": [w for _, w in ends],
            "levers": [[lever(radians(heel)) for heel in heels]] * 2,
        },
        "tanks": list(tanks),
        "rule_sets": list(rule_sets),
        **more,
    }


def weight(
    mass: float, vcg: float, tcg: float = 0.0, lcg: float | None = None, category: str = "cargo"
) -> Document:
    """A weight loaded, or taken off where `mass` is negative; without `lcg`, at the centre of flotation."""
    name, kind = ("taken off", "removal") if mass < 0.0 else ("loaded", category)
    return {"name": name, "category": kind, "mass": mass, "lcg": lcg, "vcg": vcg, "tcg": tcg}


def shifted(mass: float, up: float = 0.0, across: float = 0.0, along: float = 0.0) -> list[Document]:
    """A weight moved up, to port and forward by these distances; where it was does not matter."""
    at = {"name": "shifted", "vcg": 1.0, "tcg": 0.0, "lcg": 20.0}
    to = {**at, "vcg": 1.0 + up, "tcg": across, "lcg": 20.0 + along}
    return [{**at, "category": "removal", "mass": -mass}, {**to, "category": "cargo", "mass": mass}]


def tank(
    id: str,
    length: float,
    breadth: float,
    density: float,
    *,
    depth: float = 10.0,
    contents: str = "other",
    vcg: float | None = None,
    tcg: float = 0.0,
    compartments: int = 1,
) -> Document:
    """A box-shaped tank on the keel, whose surface is length x breadth, divided into equal compartments abreast.

    Its rows tell where the liquid's centre lies at each filling; with `vcg` that centre is held there.
    """
    side = "centre" if tcg == 0.0 else "port" if tcg > 0.0 else "starboard"
    capacity = length * breadth * depth
    centre = {"lcg": 0.5 * length, "tcg": tcg}
    low, high = (0.0, 0.5 * depth) if vcg is None else (vcg, vcg)
    return {
        "id": id,
        "name": f"Tank {id}",
        "side": side,
        "contents": contents,
        "density": density,
        "capacity": capacity,
        "vcg": high,
        **centre,
        "table": {
            "rows": [{"volume": 0.0, "vcg": low, **centre}, {"volume": capacity, "vcg": high, **centre}]
        },
        "rectangular_surface": {"length": length, "breadth": breadth, "compartments": compartments},
    }


def surface(
    id: str, inertia: float, density: float, *, contents: str = "other", depth: float = 0.01
) -> Document:
    """A tank of this inertia of its free surface (10 abreast), holding so little that its mass hardly counts."""
    return tank(id, inertia * 12.0 / 1000.0, 10.0, density, contents=contents, depth=depth)


def loaded(
    vessel: Document,
    weights: Sequence[Document] = (),
    *,
    fills: dict[str, float] | None = None,
    masses: dict[str, float] | None = None,
    counted: bool = False,
    density: float | None = None,
    basis: str = "as_filled",
    **more: object,
) -> Document:
    """The request: this vessel with weights and with tanks filled (percent, or mass) in water of `density`.

    counted: the liquids are already in the mass and centre the vessel was given, and must not be added again.
    """
    centre = vessel["hydrostatics"]["rows"][0]["lcf"]
    lines = [{"tank": id, "fill": fill} for id, fill in (fills or {}).items()]
    lines += [{"tank": id, "mass": mass} for id, mass in (masses or {}).items()]
    liquids = [_liquid(vessel, line) for line in lines] if counted else []
    condition = {
        "units": vessel["units"],
        "title": "As the example has it",
        "water_density": vessel["hydrostatics"]["density"] if density is None else density,
        "free_surface": {"basis": basis},
        "tanks": lines,
        "weights": [{**w, "lcg": centre if w["lcg"] is None else w["lcg"]} for w in (*weights, *liquids)],
        **more,
    }
    return {"vessel": vessel, "condition": condition}


def _liquid(vessel: Document, line: Document) -> Document:
    """What takes a tank's liquid off again, at the liquid's own centre."""
    found = next(t for t in vessel["tanks"] if t["id"] == line["tank"])
    full = found["capacity"] * found["density"] * (1.0 if vessel["units"] == "metric" else LONG_TONS_PER_FT3)
    share = line["fill"] / 100.0 if "fill" in line else line["mass"] / full
    low, high = (row["vcg"] for row in found["table"]["rows"])
    return weight(-share * full, low + share * (high - low), found["tcg"], found["lcg"])


LONG_TONS_PER_FT3 = 0.3048**3 / 1.0160469088
"""Mass of a cubic foot at density 1 t/m3. Source: international yard and pound, 1959."""
