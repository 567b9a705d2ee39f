"""The tables of a stability booklet, computed from one hull and rounded as printed.

Every function returns plain lists and dicts with the field names of the vessel document.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from service.core.hull.cross_curves import immersion_angle, kn
from service.core.hull.hull import Hull
from service.core.hull.hydrostatics import upright
from service.core.hull.sections import Array

from .printing import Printing, Row, rounded
from .ship_form import ShipForm
from .tank_shape import Block, Soundings, shift_moment, solid, sounding_table
from .wind_area import exposed

FILLINGS = (5.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 95.0, 98.0)
"""Fillings in percent for which heeled moments are printed."""


@dataclass(frozen=True)
class Column:
    """One printed free-surface column: a liquid group and its density, t/m3."""

    contents: str
    density: float


@dataclass(frozen=True)
class TankPlan:
    """One tank as designed; lengths in the ship's unit, from the aft perpendicular.

    step: distance between rows of the sounding table, 0 for a tank without one.
    pipe: height of the head of the sounding pipe above the tank's lowest point, where ullages are printed.
    columns: liquids of the printed free-surface columns; empty: inertia in the sounding table.
    surface: (length, breadth, compartments) of a plain rectangular surface, instead of either.
    heeled: heels at which the actual moments of the liquid's shift are printed as well.
    """

    id: str
    name: str
    contents: str
    side: str
    blocks: tuple[Block, ...]
    step: float
    frames: str = ""
    pair: str = ""
    normal_limit: float = 98.0
    unpumpable: float = 0.0
    density: float = 0.0
    pipe: float = 0.0
    columns: tuple[Column, ...] = field(default=())
    surface: tuple[float, float, int] | None = None
    heeled: tuple[float, ...] = ()


def block_coefficient(form: ShipForm, hull: Hull) -> float:
    """Block coefficient at the designed draft, on the length between perpendiculars."""
    return upright(hull, form.draft).volume / (form.length * form.breadth * form.draft)


def hydrostatic_rows(
    hull: Hull, printing: Printing, breadth: float, drafts: Array, trims: Array
) -> list[Row]:
    """Hydrostatic rows for every trim, drafts within it; tpc, mctc per centimetre, or per inch.

    mctc = displacement * BML / length, per step of trim.  Source: definition.
    """
    rows = []
    for trim in trims:
        for draft in drafts:
            u = upright(hull, float(draft), float(trim))
            mass = printing.mass(u.volume, printing.water)
            block = u.volume / (hull.length * breadth * float(draft))
            rows.append(
                {
                    "trim": rounded(trim, 2),
                    "draft": rounded(draft, 2),
                    "displacement": rounded(mass, 1),
                    "lcb": printing.x(u.lcb),
                    "lcf": printing.x(u.lcf),
                    "km": rounded(u.km, 3),
                    "tpc": rounded(printing.per_step(printing.mass(u.waterplane_area, printing.water)), 3),
                    "mctc": rounded(printing.per_step(mass * u.bml / hull.length), 2),
                    "vcb": rounded(u.vcb, 3),
                    "kml": rounded(u.kml, 2),
                    "waterplane_area": rounded(u.waterplane_area, 1),
                    "block_coefficient": rounded(block, 4),
                }
            )
    return rows


def cross_curves(
    hull: Hull, printing: Printing, displacements: list[float], heels: list[float], trims: list[float]
) -> Row:
    """KN at constant displacement, fixed trim; the first trim is the main table."""
    volumes = [mass / printing.mass(1.0, printing.water) for mass in displacements]
    tables = [
        {
            "trim": trim,
            "displacements": displacements,
            "levers": [[rounded(kn(hull, v, heel, trim), 3) for heel in heels] for v in volumes],
        }
        for trim in trims
    ]
    curves: Row = {"basis": "kn", "density": printing.water, "trim": trims[0], "heels": heels}
    curves |= {"displacements": displacements, "levers": tables[0]["levers"]}
    if len(trims) > 1:
        curves["at_other_trims"] = tables[1:]
    return curves


def tank(form: ShipForm, printing: Printing, plan: TankPlan) -> Row:
    """One tank of the vessel document, with the one source of free surface that its plan asks for."""
    step = plan.step or (max(b.top for b in plan.blocks) - min(b.bottom for b in plan.blocks)) / 40.0
    table = sounding_table(form, plan.blocks, plan.side, step)
    ends = (min(b.x_from for b in plan.blocks), max(b.x_to for b in plan.blocks))
    forward_end = float(form.stem(np.array([max(b.top for b in plan.blocks)]))[0])
    printed = sorted(printing.x(min(x, forward_end), 2) for x in ends)
    row: Row = {"id": plan.id, "name": plan.name}
    if plan.frames:
        row["frames"] = plan.frames
    row |= {"side": plan.side, "contents": plan.contents}
    if plan.density:
        row["density"] = plan.density
    row |= {
        "capacity": rounded(table.volume[-1], 2),
        "lcg": printing.x(table.lcg[-1]),
        "vcg": rounded(table.vcg[-1], 3),
        "tcg": printing.y(table.tcg[-1]),
        "extent": {"x_from": printed[0], "x_to": printed[1]},
        "normal_limit": plan.normal_limit,
    }
    if plan.unpumpable:
        row["unpumpable"] = plan.unpumpable
    if plan.pair:
        row["pair"] = plan.pair
    inertia_in_table = not plan.columns and plan.surface is None
    if plan.step:
        row["table"] = {"rows": _sounding_rows(printing, plan, table, inertia_in_table)}
    if plan.columns:
        row["printed_free_surface"] = {"columns": _free_surface_columns(form, printing, plan, table)}
    if plan.surface is not None:
        length, breadth, compartments = plan.surface
        row["rectangular_surface"] = {"length": length, "breadth": breadth, "compartments": compartments}
    if plan.heeled:
        row["heeled_moments"] = _heeled_moments(form, plan)
    return row


def _heeled_moments(form: ShipForm, plan: TankPlan) -> Row:
    """Actual moments of the liquid's shift, as MSC/Circ.920 3.3 asks for tanks wider than 0.6 B."""
    shape = solid(form, plan.blocks, plan.side)
    return {
        "fillings": list(FILLINGS),
        "heels": list(plan.heeled),
        "moments": [
            [rounded(shift_moment(shape, filling / 100.0, heel), 2) for heel in plan.heeled]
            for filling in FILLINGS
        ],
    }


def _sounding_rows(printing: Printing, plan: TankPlan, table: Soundings, inertia: bool) -> list[Row]:
    rows = []
    for k in range(table.level.size):
        row: Row = {"sounding": rounded(table.sounding[k], 3)}
        if plan.pipe:
            row["ullage"] = rounded(plan.pipe - table.sounding[k], 3)
        row |= {
            "volume": rounded(table.volume[k], 2),
            "lcg": printing.x(table.lcg[k]),
            "vcg": rounded(table.vcg[k], 3),
            "tcg": printing.y(table.tcg[k]),
        }
        if inertia:
            row["free_surface_inertia"] = rounded(table.inertia[k], 2)
        rows.append(row)
    return rows


def _free_surface_columns(form: ShipForm, printing: Printing, plan: TankPlan, table: Soundings) -> list[Row]:
    """Per liquid: mass at the normal limit, greatest moment below it, moment at it.

    At the limit the surface meets the tank top as the ship heels: the moment printed is the real one at
    5 degrees, brought back to upright by its sine (as 2008 IS Code Part B 3.1.2 does for full cargo tanks).
    """
    filling = plan.normal_limit / 100.0
    limit = filling * float(table.volume[-1])
    shape = solid(form, plan.blocks, plan.side)
    upright_at_limit = float(np.interp(limit, table.volume, table.inertia))
    slack = max(float(table.inertia[table.volume <= limit].max()), upright_at_limit)
    heeled = max(abs(shift_moment(shape, filling, heel)) for heel in (5.0, -5.0))
    at_limit = min(heeled / np.sin(np.radians(5.0)), slack)
    return [
        {
            "contents": column.contents,
            "density": column.density,
            "limit_mass": rounded(printing.mass(limit, column.density), 1),
            "slack_moment": rounded(printing.mass(slack, column.density), 1),
            "limit_moment": rounded(printing.mass(at_limit, column.density), 1),
        }
        for column in plan.columns
    ]


def hold(form: ShipForm, printing: Printing, id: str, name: str, blocks: tuple[Block, ...]) -> Row:
    """One hold: grain-tight capacity to the top of its coaming and the centre of that volume."""
    height = max(b.top for b in blocks) - min(b.bottom for b in blocks)
    table = sounding_table(form, blocks, "centre", height / 20.0)
    ends = sorted(printing.x(x, 2) for b in blocks for x in (b.x_from, b.x_to))
    return {
        "id": id,
        "name": name,
        "capacity": rounded(table.volume[-1], 1),
        "lcg": printing.x(table.lcg[-1]),
        "vcg": rounded(table.vcg[-1], 3),
        "tcg": 0.0,
        "extent": {"x_from": ends[0], "x_to": ends[-1]},
    }


@dataclass(frozen=True)
class OpeningPlan:
    """One opening; y is its distance from the centreline and `side` says to which side."""

    id: str
    name: str
    x: float
    y: float
    z: float
    side: str
    protection: str
    closes_automatically: bool = False


def openings(hull: Hull, printing: Printing, plans: tuple[OpeningPlan, ...], drafts: Array) -> list[Row]:
    """Openings with the heel at which each immerses, by draft (even keel, constant displacement)."""
    # an opening and its mirror image immerse at the same heel, each to its own side
    angles = {
        place: [
            {"draft": rounded(d, 2), "angle": rounded(angle_at(hull, float(d), *place), 2)} for d in drafts
        ]
        for place in dict.fromkeys((plan.x, plan.y, plan.z) for plan in plans)
    }
    return [
        {
            "id": plan.id,
            "name": plan.name,
            "x": printing.x(plan.x),
            "y": printing.y(plan.y if plan.side == "port" else -plan.y),
            "z": rounded(plan.z, 3),
            "protection": plan.protection,
            "closes_automatically": plan.closes_automatically,
            "immersion_angles": angles[plan.x, plan.y, plan.z],
        }
        for plan in plans
    ]


def angle_at(hull: Hull, draft: float, x: float, y: float, z: float, trim: float = 0.0) -> float:
    """Heel at which a point immerses when the ship floats upright at a draft and trim, degrees."""
    return immersion_angle(hull, upright(hull, draft, trim).volume, x, y, z, trim=trim)


def deck_edge(form: ShipForm, hull: Hull, printing: Printing, stations: list[float], drafts: Array) -> Row:
    """Points of the uppermost continuous deck at side, and the heel at which the first of them immerses."""
    x = np.asarray(stations)
    z = form.deck(x)
    y = form.half_breadth(x, z)
    points = list(zip(x.tolist(), y.tolist(), z.tolist(), strict=True))
    angles = [(d, min(angle_at(hull, float(d), *point) for point in points)) for d in drafts]
    return {
        "points": [{"x": printing.x(px), "y": rounded(py, 3), "z": rounded(pz, 3)} for px, py, pz in points],
        "immersion_angles": [{"draft": rounded(d, 2), "angle": rounded(angle, 2)} for d, angle in angles],
    }


def wind_profile(outlines: tuple[Array, ...], drafts: Array) -> list[Row]:
    """Projected lateral area above each draft and the height of its centroid above the baseline."""
    rows = []
    for draft in drafts:
        area, height = exposed(outlines, float(draft))
        row = {"draft": rounded(draft, 2), "area": rounded(area, 1), "centroid_height": rounded(height, 3)}
        rows.append(row)
    return rows


def vcg_limits(
    hull: Hull,
    plans: tuple[OpeningPlan, ...],
    greatest: Callable[[float, float, float], tuple[float, float]],
    drafts: Array,
    trims: list[float],
) -> list[tuple[float, float, float]]:
    """Per draft: (draft, greatest VCG, least GM), the worst of several trims.

    greatest: from draft, down-flooding angle (first unprotected opening) and trim, the greatest VCG and KM.
    Source: the document whose criteria `greatest` applies (see gm_limit).
    """
    unprotected = [o for o in plans if o.protection == "unprotected"]
    rows = []
    for draft in drafts.tolist():
        found = []
        for trim in trims:
            flooding = min(angle_at(hull, draft, o.x, o.y, o.z, trim) for o in unprotected)
            vcg, km = greatest(draft, flooding, trim)
            found.append((vcg, km - vcg))
        rows.append((draft, min(vcg for vcg, _ in found), max(gm for _, gm in found)))
    return rows
