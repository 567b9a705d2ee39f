"""A condition worked through with the booklet alone, as a mate would on paper; used by the tests here only.

Independent of the service: it reads the two JSON documents and uses textbook formulas, in the units of the
documents (mass unit, length unit).  x from the aft perpendicular, forward positive; y to port; trim by the
stern; heel to port.
"""

import json
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from service.demo import read_condition, read_vessel

FOOT = 0.3048
MASS = {"metric": 1.0, "us": FOOT**3 / 1.0160469088}
STEP = {"metric": 100.0, "us": 12.0}
DENSITY = {"fuel_oil": 0.95, "diesel_oil": 0.86, "lubricating_oil": 0.9, "fresh_water": 1.0, "ballast": 1.025}


@dataclass
class Result:
    """What the sum gives; lengths and masses in the vessel's units, angles in degrees."""

    displacement: float
    lcg: float
    vcg: float
    tcg: float
    free_surface: float
    draft: float
    trim: float
    gm: float
    km: float
    fills: dict[str, float]
    gz: CubicSpline
    kn: CubicSpline
    flooding: float
    deck_edge: float
    wind_area: float
    wind_height: float

    @property
    def list_angle(self) -> float:
        """Equilibrium: nearest stable root of GZ with the transverse moment, degrees, to its own side."""
        heels = np.linspace(0.0, 40.0, 4001)
        gz = self.gz(np.radians(heels)) - abs(self.tcg) * np.cos(np.radians(heels))
        if gz[0] >= -1e-12 and self.gm > 0.0:
            return 0.0
        stable = np.flatnonzero((gz[:-1] <= 0.0) & (gz[1:] > 0.0))
        return float(heels[stable[0]]) if stable.size else float("nan")

    def area(self, start: float, end: float) -> float:
        """Area under GZ, length times radian."""
        return float(self.gz.integrate(np.radians(start), np.radians(end)))

    @property
    def angle_of_maximum(self) -> float:
        heels = np.linspace(0.0, 80.0, 8001)
        return float(heels[np.argmax(self.gz(np.radians(heels)))])


def work(vessel_id: str, name: str) -> Result:
    """Work through one committed condition."""
    return sum_up(json.loads(read_vessel(vessel_id)), json.loads(read_condition(vessel_id, name)))


def sum_up(vessel: dict, condition: dict) -> Result:
    """Work through a condition of a vessel; both as documents."""
    particulars = vessel["particulars"]
    length = particulars["length_bp"]
    aft = vessel["axes"]["x_positive"] == "aft"
    unit = MASS[vessel["units"]]

    def from_ap(x: float) -> float:
        return length / 2.0 - x if aft else x

    def to_port(y: float) -> float:
        return -y if vessel["axes"]["y_positive"] == "starboard" else y

    items = [vessel["lightship"], *condition["weights"]]
    moments = [(w["mass"], from_ap(w["lcg"]), w["vcg"], to_port(w.get("tcg", 0.0))) for w in items]
    tanks = {tank["id"]: tank for tank in vessel["tanks"]}
    fills, surface = {}, 0.0
    for line in condition["tanks"]:
        tank = tanks[line["tank"]]
        mass, volume, (lcg, vcg, tcg), fsm = fill(tank, line, unit)
        moments.append((mass, from_ap(lcg), vcg, to_port(tcg)))
        fills[tank["id"]] = 100.0 * volume / tank["capacity"]
        surface += fsm
    mass, x, z, y = (np.array(column) for column in zip(*moments, strict=True))
    displacement = float(mass.sum())
    lcg, vcg, tcg = (
        float(mass @ x) / displacement,
        float(mass @ z) / displacement,
        float(mass @ y) / displacement,
    )
    ratio = vessel["hydrostatics"]["density"] / condition["water_density"]
    at, trim = float_on(vessel, displacement * ratio, lcg, from_ap)
    kn = levers(vessel["cross_curves"], displacement * ratio, trim, at["km"])
    heels = np.radians([0.0, *vessel["cross_curves"]["heels"]])
    fluid = vcg + surface / displacement
    gz = spline(heels, kn - fluid * np.sin(heels), at["km"] - fluid)
    draft = at["draft"]
    unprotected = [o for o in vessel["openings"] if o["protection"] == "unprotected"]
    area = np.interp(draft, *columns(vessel["wind_profile"], "draft", "area"))
    height = np.interp(draft, *columns(vessel["wind_profile"], "draft", "centroid_height"))
    for more in condition.get("wind_additions", []):
        height = (area * height + more["area"] * more["centroid_height"]) / (area + more["area"])
        area += more["area"]
    return Result(
        displacement=displacement,
        lcg=lcg,
        vcg=vcg,
        tcg=tcg,
        free_surface=surface,
        draft=draft,
        trim=trim,
        gm=at["km"] - fluid,
        km=at["km"],
        fills=fills,
        gz=gz,
        kn=spline(heels, kn, at["km"]),
        flooding=min(
            float(np.interp(draft, *columns(o["immersion_angles"], "draft", "angle"))) for o in unprotected
        ),
        deck_edge=float(
            np.interp(draft, *columns(vessel["deck_edge"]["immersion_angles"], "draft", "angle"))
        ),
        wind_area=float(area),
        wind_height=float(height),
    )


def columns(rows: list[dict], *names: str) -> list[np.ndarray]:
    """Columns of a table."""
    return [np.array([row[name] for row in rows]) for name in names]


def spline(heels: np.ndarray, values: np.ndarray, slope: float) -> CubicSpline:
    """Cubic spline from upright with a given slope there, not-a-knot at the far end."""
    return CubicSpline(heels, values, bc_type=((1, slope), "not-a-knot"))


def fill(tank: dict, line: dict, unit: float) -> tuple[float, float, tuple[float, float, float], float]:
    """Mass, volume, centre and free surface moment of one tank as it is filled."""
    contents = line.get("contents", tank["contents"])
    density = (
        line.get("density")
        or (tank.get("density") if contents == tank["contents"] else None)
        or DENSITY.get(contents, 1.0)
    )
    rows = tank.get("table", {}).get("rows")
    if "mass" in line:
        volume = line["mass"] / density / unit
    elif "volume" in line:
        volume = line["volume"]
    elif "fill" in line:
        volume = tank["capacity"] * line["fill"] / 100.0
    else:
        measure = "sounding" if "sounding" in line else "ullage"
        at, volumes = columns(rows, measure, "volume")
        order = np.argsort(at)
        volume = float(np.interp(line[measure], at[order], volumes[order]))
    centre = (tank["lcg"], tank["vcg"], tank["tcg"])
    if rows and volume <= tank["capacity"]:
        volumes = columns(rows, "volume")[0]
        centre = tuple(float(np.interp(volume, volumes, columns(rows, n)[0])) for n in ("lcg", "vcg", "tcg"))
    mass = volume * density * unit
    return mass, volume, centre, surface_moment(tank, contents, density, mass, volume, unit)


def surface_moment(
    tank: dict, contents: str, density: float, mass: float, volume: float, unit: float
) -> float:
    """Free surface moment: none when empty or above the limit, else from whatever the booklet gives."""
    limit = tank["normal_limit"] / 100.0
    if volume <= tank.get("unpumpable", 0.0):
        return 0.0
    if "printed_free_surface" in tank:
        found = [c for c in tank["printed_free_surface"]["columns"] if c["contents"] == contents]
        column = (found or tank["printed_free_surface"]["columns"])[0]
        full = column["limit_mass"] * density / column["density"]
        moment = column["slack_moment"] if mass < full - 0.05 else column["limit_moment"]
        return moment * density / column["density"] if mass <= full + 0.05 else 0.0
    if volume >= tank["capacity"] * (limit - 0.0005):
        return 0.0
    if "rectangular_surface" in tank:
        s = tank["rectangular_surface"]
        inertia = s["length"] * s["breadth"] ** 3 / 12.0 / s["compartments"] ** 2
    else:
        inertia = float(np.interp(volume, *columns(tank["table"]["rows"], "volume", "free_surface_inertia")))
    return inertia * density * unit


def float_on(vessel: dict, displacement: float, lcg: float, from_ap) -> tuple[dict[str, float], float]:
    """Draft amidships, KM and trim: the trim at which LCB stands under LCG, between the trimmed tables."""
    rows = vessel["hydrostatics"]["rows"]
    trims = sorted({row["trim"] for row in rows})
    tables = {t: [row for row in rows if row["trim"] == t] for t in trims}
    found = {}
    for t in trims:
        table = tables[t]
        mass = columns(table, "displacement")[0]
        assert mass[0] <= displacement <= mass[-1], "displacement outside the hydrostatic table"
        found[t] = [
            float(np.interp(displacement, mass, columns(table, n)[0])) for n in ("draft", "km", "lcb", "mctc")
        ]
        found[t][2] = from_ap(found[t][2])
    values = np.array([found[t] for t in trims])
    lcb = np.array(values[:, 2])
    trim = float(np.interp(-lcg, -lcb, trims))
    if not lcb.min() <= lcg <= lcb.max():
        trim = float("nan")
    return {n: float(np.interp(trim, trims, values[:, k])) for k, n in enumerate(("draft", "km"))}, trim


def levers(curves: dict, displacement: float, trim: float, km: float) -> np.ndarray:
    """KN at the heels of the booklet, upright first, at a displacement and trim."""
    tables = [curves, *curves.get("at_other_trims", [])]
    tables.sort(key=lambda table: table["trim"])
    by_trim = [
        [np.interp(displacement, t["displacements"], column) for column in np.array(t["levers"]).T]
        for t in tables
    ]
    trims = [t["trim"] for t in tables]
    return np.array([0.0, *(float(np.interp(trim, trims, column)) for column in np.array(by_trim).T)])


def general_criteria(result: Result) -> dict[str, bool]:
    """2008 IS Code, Part A, 2.2.1-2.2.4 (metres)."""
    end = min(40.0, result.flooding)
    beyond = np.radians(np.linspace(30.0, min(70.0, result.flooding), 400))
    return {
        "area to 30": result.area(0.0, 30.0) >= 0.055,
        "area to 40": result.area(0.0, end) >= 0.09,
        "area 30 to 40": result.area(30.0, end) >= 0.03,
        "lever": float(result.gz(beyond).max()) >= 0.2,
        "angle": result.angle_of_maximum >= 25.0,
        "gm": result.gm >= 0.15,
    }


def weather(vessel: dict, result: Result) -> dict[str, float]:
    """2008 IS Code, Part A, 2.3: wind levers, angles and areas (metres; tables from memory)."""
    p = vessel["particulars"]
    d, b, length = result.draft, p["breadth"], p["length_waterline"]
    z = result.wind_height - d / 2.0
    steady = 504.0 * result.wind_area * z / (1000.0 * 9.81 * result.displacement)
    gust = 1.5 * steady
    c = 0.373 + 0.023 * b / d - 0.043 * length / 100.0
    period = 2.0 * c * b / np.sqrt(result.gm)
    ratio = 100.0 * p["bilge_keel_area"] / (length * b)
    k = np.interp(ratio, [0, 1, 1.5, 2, 2.5, 3, 3.5, 4], [1, 0.98, 0.95, 0.88, 0.79, 0.74, 0.72, 0.7])
    x1 = np.interp(
        b / d,
        [2.4, 2.5, 2.6, 2.7, 2.8, 2.9, 3.0, 3.1, 3.2, 3.4, 3.5],
        [1, 0.98, 0.96, 0.95, 0.93, 0.91, 0.9, 0.88, 0.86, 0.82, 0.8],
    )
    x2 = np.interp(
        p["block_coefficient"], [0.45, 0.5, 0.55, 0.6, 0.65, 0.7], [0.75, 0.82, 0.89, 0.95, 0.97, 1]
    )
    s = np.interp(
        period, [6, 7, 8, 12, 14, 16, 18, 20], [0.1, 0.098, 0.093, 0.065, 0.053, 0.044, 0.038, 0.035]
    )
    kg = result.km - result.gm
    r = 0.73 + 0.6 * (kg - d) / d
    roll = 109.0 * k * x1 * x2 * np.sqrt(r * s)

    def gz(heel: float) -> float:
        return float(np.sign(heel) * result.gz(np.radians(abs(heel))))

    def first_above(lever: float) -> float:
        heels = np.linspace(0.0, 60.0, 1201)
        above = np.array([gz(h) for h in heels]) >= lever
        if not above.any():
            return float("nan")
        return float(heels[np.argmax(above)])

    equilibrium, start = first_above(steady), first_above(gust)
    heels = np.linspace(start, 80.0, 2000)
    below = np.array([gz(h) for h in heels]) < gust
    second = float(heels[1:][below[1:]][0]) if below[1:].any() else 90.0
    end = min(50.0, result.flooding, second)
    fine = np.linspace(equilibrium - roll, start, 800)
    a = np.trapezoid(gust - np.array([gz(h) for h in fine]), np.radians(fine))
    fine = np.linspace(start, end, 800)
    area_b = np.trapezoid(np.array([gz(h) for h in fine]) - gust, np.radians(fine))
    return {
        "equilibrium": equilibrium,
        "limit": min(16.0, 0.8 * result.deck_edge),
        "roll": float(roll),
        "a": float(a),
        "b": float(area_b),
        "period": float(period),
        "b/d": b / d,
        "r": r,
        "lw1": steady,
    }
