"""A vessel document into the core's vessel: units, axes, and every check that needs more than one field."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from service.actions.refusal import Refusal
from service.actions.units import SCALES, Scale
from service.core import vessel as core
from service.core.errors import UnusableBooklet
from service.core.frame import Floats
from service.core.heeling_lever import WindProfile
from service.core.hydrostatics import Hydrostatics
from service.core.opening import DeckEdge, ImmersionTable, Opening
from service.core.righting_lever import CrossCurves, CrossCurveTable
from service.core.rules.catalogue import CATALOGUE
from service.core.tank import HeeledMoments, PrintedColumn, RectangularSurface, Tank, TankTable
from service.core.weight import Weight
from service.wire import tank as wire_tank
from service.wire import vessel as wire
from service.wire.fields import Axes
from service.wire.problem import ProblemError, error

OPEN = np.inf


@dataclass(frozen=True)
class Frame:
    """How one document's positions turn into the core's: x = origin + sense_x * x, y = sense_y * y (m)."""

    scale: Scale
    origin: float
    sense_x: float
    sense_y: float

    @classmethod
    def of(cls, scale: Scale, axes: Axes | None, length_bp: float) -> "Frame":
        """Axes of a document of a ship of `length_bp` m; absent: the core's own."""
        if axes is None:
            return cls(scale, 0.0, scale.length, scale.length)
        origin = {"aft_perpendicular": 0.0, "midship": 0.5 * length_bp, "forward_perpendicular": length_bp}
        forward = 1.0 if axes.x_positive == "forward" else -1.0
        port = 1.0 if axes.y_positive == "port" else -1.0
        return cls(scale, origin[axes.x_origin], forward * scale.length, port * scale.length)

    def x(self, value: float) -> float:
        """Longitudinal position, m from the aft perpendicular."""
        return self.origin + self.sense_x * value

    def y(self, value: float) -> float:
        """Transverse position, m, positive to port."""
        return self.sense_y * value if value else 0.0


class Doubts:
    """Places in a document that contradict one another, collected so that all are shown at once."""

    def __init__(self, root: tuple[str | int, ...]) -> None:
        self.root = root
        self.errors: list[ProblemError] = []

    def add(self, place: tuple[str | int, ...], code: str, detail: str) -> None:
        """Note one place, relative to the document."""
        self.errors.append(error((*self.root, *place), code, detail))

    def increasing(self, rows: Sequence[object], name: str, place: tuple[str | int, ...]) -> None:
        """Note the first row whose `name` does not exceed that of the row before."""
        i = _first_that_does_not_rise([getattr(row, name) for row in rows])
        if i is not None:
            self.add((*place, i, name), "not_increasing", f"{name} must increase from row to row.")

    def rising(self, values: Sequence[float], place: tuple[str | int, ...]) -> None:
        """Note the first of a list of numbers that does not exceed the one before."""
        i = _first_that_does_not_rise(values)
        if i is not None:
            self.add((*place, i), "not_increasing", "these must increase from one to the next.")

    def repeated(self, values: Sequence[str], name: str, place: tuple[str | int, ...]) -> None:
        """Note every value that stands twice."""
        seen: set[str] = set()
        for i, value in enumerate(values):
            if value in seen:
                self.add((*place, i, name), "duplicate", f"this {name} is used twice.")
            seen.add(value)

    def refuse(self, code: str, detail: str) -> None:
        """Raise if anything was noted."""
        if self.errors:
            raise Refusal(code, detail, self.errors)


def _first_that_does_not_rise(values: Sequence[float]) -> int | None:
    return next((i for i in range(1, len(values)) if not values[i] > values[i - 1]), None)


def vessel_of(document: wire.Vessel, root: tuple[str | int, ...] = ("vessel",)) -> core.Vessel:
    """Prepare a vessel; refuses documents that contradict themselves, naming each place below `root`."""
    doubts = Doubts(root)
    _check(document, doubts)
    doubts.refuse("invalid_vessel", "The vessel document contradicts itself.")
    try:
        return _build(document)
    except UnusableBooklet as unusable:
        doubts.add(unusable.place, "unusable_table", unusable.message + ".")
        raise Refusal(
            "invalid_vessel", "A table of the vessel document cannot be used.", doubts.errors
        ) from None


def _check(document: wire.Vessel, doubts: Doubts) -> None:
    number = document.imo_number
    if number is not None and sum(int(d) * w for d, w in zip(number, range(7, 1, -1))) % 10 != int(number[6]):
        doubts.add(("imo_number",), "check_digit", "the check digit of this IMO number is wrong.")
    doubts.repeated([tank.id for tank in document.tanks], "id", ("tanks",))
    doubts.repeated([opening.id for opening in document.openings or ()], "id", ("openings",))
    doubts.repeated([mark.name for mark in document.draft_marks or ()], "name", ("draft_marks",))
    ids = {tank.id for tank in document.tanks}
    for i, tank in enumerate(document.tanks):
        _check_tank(tank, i, ids, doubts)
    doubts.increasing(document.wind_profile or (), "draft", ("wind_profile",))
    for i, row in enumerate(document.wind_profile or ()):
        if row.area > 0.0 and row.centroid_height < row.draft:
            words = "an area above the waterline has its centroid above it; heights are from the baseline."
            doubts.add(("wind_profile", i, "centroid_height"), "contradiction", words)
    for i, opening in enumerate(document.openings or ()):
        doubts.increasing(opening.immersion_angles or (), "draft", ("openings", i, "immersion_angles"))
    edge = document.deck_edge
    if edge is not None:
        doubts.increasing(edge.immersion_angles or (), "draft", ("deck_edge", "immersion_angles"))
        if edge.points is None and edge.immersion_angles is None:
            doubts.add(("deck_edge",), "missing", "give points or immersion_angles.")
    if document.load_lines is not None and (document.load_lines.marks or {}).get("S") not in (
        None,
        document.load_lines.summer_draft,
    ):
        doubts.add(("load_lines", "marks", "S"), "contradiction", "mark S differs from summer_draft.")
    _check_cross_curves(document, doubts)
    for i, limit in enumerate(document.gm_limits or ()):
        for rows in _by_trim_range(limit).values():
            doubts.increasing([row for _, row in rows], "draft", ("gm_limits", i, "rows"))
    for i, name in enumerate(document.rule_sets):
        if name not in CATALOGUE:
            doubts.add(("rule_sets", i), "unknown_rule_set", "this rule set is not in /v1/rule-sets.")


def _check_tank(tank: wire_tank.Tank, index: int, ids: set[str], doubts: Doubts) -> None:
    place = ("tanks", index)
    if tank.pair is not None and tank.pair not in ids - {tank.id}:
        doubts.add((*place, "pair"), "unknown_tank", "no other tank has this id.")
    table = tank.table
    if table is not None:
        for name in ("sounding", "ullage", "free_surface_inertia", "free_surface_moment"):
            given = [getattr(row, name) is not None for row in table.rows]
            if any(given) and not all(given):
                doubts.add(
                    (*place, "table", "rows", given.index(False), name),
                    "missing",
                    f"{name} must be in every row or in none.",
                )
        if table.rows[0].free_surface_moment is not None and table.density is None:
            doubts.add(
                (*place, "table", "density"), "missing", "free_surface_moment needs the density it is for."
            )
        if table.rows[0].free_surface_moment is not None and table.rows[0].free_surface_inertia is not None:
            doubts.add(
                (*place, "table", "rows", 0), "contradiction", "give an inertia or a moment, not both."
            )
    heeled = tank.heeled_moments
    if heeled is not None:
        doubts.rising(heeled.fillings, (*place, "heeled_moments", "fillings"))
        doubts.rising(heeled.heels, (*place, "heeled_moments", "heels"))
        if len(heeled.moments) != len(heeled.fillings) or any(
            len(row) != len(heeled.heels) for row in heeled.moments
        ):
            doubts.add(
                (*place, "heeled_moments", "moments"), "shape", "one row a filling, one number a heel."
            )


def _check_cross_curves(document: wire.Vessel, doubts: Doubts) -> None:
    curves = document.cross_curves
    if curves is None:
        return
    place = ("cross_curves",)
    if curves.basis == "gz_at_vcg" and curves.vcg is None:
        doubts.add((*place, "vcg"), "missing", "levers at an assumed centre of gravity need that centre.")
    doubts.rising(curves.heels, (*place, "heels"))
    tables = [(place, curves.displacements, curves.levers)]
    for i, other in enumerate(curves.at_other_trims or ()):
        tables.append(((*place, "at_other_trims", i), other.displacements, other.levers))  # type: ignore[arg-type]
    for where, displacements, levers in tables:
        doubts.rising(displacements, (*where, "displacements"))
        if len(levers) != len(displacements) or any(len(row) != len(curves.heels) for row in levers):
            doubts.add((*where, "levers"), "shape", "one row a displacement, one number a heel.")
        elif len(displacements) < 2:
            doubts.add((*where, "displacements"), "too_short", "at least two displacements are needed.")
    trims = [curves.trim, *(other.trim for other in curves.at_other_trims or ())]
    if len(set(trims)) != len(trims):
        doubts.add((*place, "at_other_trims"), "duplicate", "a trim stands twice.")


def _build(document: wire.Vessel) -> core.Vessel:
    scale = SCALES[document.units]
    frame = Frame.of(scale, document.axes, document.particulars.length_bp * scale.length)
    lightship = document.lightship
    return core.Vessel(
        name=document.name,
        particulars=_particulars(document.particulars, scale),
        lightship=Weight(
            lightship.mass * scale.mass,
            frame.x(lightship.lcg),
            lightship.vcg * scale.length,
            frame.y(lightship.tcg),
            "lightship",
        ),
        hydrostatics=_hydrostatics(document, frame),
        cross_curves=_cross_curves(document, scale),
        tanks=tuple(_tank(tank, frame) for tank in document.tanks),
        openings=None if document.openings is None else tuple(_opening(o, frame) for o in document.openings),
        wind_profile=_wind_profile(document, scale),
        deck_edge=_deck_edge(document.deck_edge, frame),
        draft_marks=tuple(
            core.DraftMark(m.name, frame.x(m.x), m.keel_offset * scale.length)
            for m in document.draft_marks or ()
        ),
        load_line_drafts=_load_lines(document.load_lines, scale),
        gm_limits=_gm_limits(document, scale),
        propeller=None
        if document.propeller is None
        else core.Propeller(
            frame.x(document.propeller.x),
            document.propeller.shaft_height * scale.length,
            document.propeller.diameter * scale.length,
        ),
        bridge=_bridge(document, frame),
        rule_sets=tuple(document.rule_sets),
    )


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor


def _particulars(p: wire.Particulars, scale: Scale) -> core.Particulars:
    return core.Particulars(
        length_bp=p.length_bp * scale.length,
        breadth=p.breadth * scale.length,
        length_waterline=_times(p.length_waterline, scale.length),
        length_load_line=_times(p.length_load_line, scale.length),
        depth=_times(p.depth, scale.length),
        block_coefficient=p.block_coefficient,
        bilge=p.bilge,
        bilge_keel_area=_times(p.bilge_keel_area, scale.area),
        minimum_service_displacement=_times(p.minimum_service_displacement, scale.mass),
        service=p.service,
    )


def _hydrostatics(document: wire.Vessel, frame: Frame) -> Hydrostatics:
    scale, table = frame.scale, document.hydrostatics
    rows: list[dict[str, float | None]] = [
        {
            "trim": row.trim * scale.length,
            "draft": row.draft * scale.length,
            "displacement": row.displacement * scale.mass,
            "lcb": frame.x(row.lcb),
            "lcf": frame.x(row.lcf),
            "km": row.km * scale.length,
            "tpc": row.tpc * scale.mass / scale.per_immersion,
            "mctc": row.mctc * scale.moment / scale.per_immersion,
            "vcb": _times(row.vcb, scale.length),
            "tcb": None if row.tcb is None else frame.y(row.tcb),
            "block_coefficient": row.block_coefficient,
        }
        for row in table.rows
    ]
    return Hydrostatics.from_rows(table.density, table.draft_reference == "midship", rows)


def _cross_curves(document: wire.Vessel, scale: Scale) -> CrossCurves | None:
    curves = document.cross_curves
    if curves is None:
        return None
    heels = np.array(curves.heels)
    sine = np.sin(np.radians(heels))
    up = (curves.vcg or 0.0) * scale.length * sine if curves.basis == "gz_at_vcg" else np.zeros_like(sine)
    keep = heels > 0.0
    tables = [(curves.trim, curves.displacements, curves.levers)]
    tables += [(o.trim, o.displacements, o.levers) for o in curves.at_other_trims or ()]
    prepared = tuple(
        CrossCurveTable(
            trim * scale.length,
            np.array(displacements) * scale.mass,
            (np.array(levers) * scale.length + up)[:, keep],
        )
        for trim, displacements, levers in sorted(tables, key=lambda table: table[0])
    )
    density = document.hydrostatics.density if curves.density is None else curves.density
    return CrossCurves(density, heels[keep], prepared)


def _tank(tank: wire_tank.Tank, frame: Frame) -> Tank:
    scale, surface, heeled = frame.scale, tank.rectangular_surface, tank.heeled_moments
    return Tank(
        id=tank.id,
        name=tank.name,
        side=tank.side,
        contents=tank.contents,
        density=tank.density,
        capacity=tank.capacity * scale.volume,
        lcg=frame.x(tank.lcg),
        vcg=tank.vcg * scale.length,
        tcg=frame.y(tank.tcg),
        normal_limit=tank.normal_limit,
        unpumpable=tank.unpumpable * scale.volume,
        pair=tank.pair,
        table=None if tank.table is None else _tank_table(tank.table, frame),
        printed=tuple(
            PrintedColumn(
                column.contents,
                column.density,
                column.limit_mass * scale.mass,
                column.slack_moment * scale.moment,
                column.limit_moment * scale.moment,
                half_last_digit(column.limit_mass) * scale.mass,
            )
            for column in (tank.printed_free_surface.columns if tank.printed_free_surface else ())
        ),
        rectangular=None
        if surface is None
        else RectangularSurface(
            surface.length * scale.length, surface.breadth * scale.length, surface.compartments
        ),
        heeled=None
        if heeled is None
        else _heeled(
            np.array(heeled.fillings), np.array(heeled.heels), np.array(heeled.moments) * scale.inertia
        ),
    )


def _heeled(fillings: Floats, heels: Floats, moments: Floats) -> HeeledMoments:
    keep = heels > 0.0
    return HeeledMoments(fillings, heels[keep], moments[:, keep])


def half_last_digit(printed: float) -> float:
    """Half a unit of the last decimal a number was written with: 0.05 for 98.5, 0.5 for 412 (or 412.0).

    Trailing zeros of a decimal fraction do not survive JSON, so 412.0 counts as written without decimals."""
    exponent = Decimal(repr(float(printed))).normalize().as_tuple().exponent
    return 0.5 * 10.0 ** min(int(exponent), 0)


def _tank_table(table: wire_tank.TankTable, frame: Frame) -> TankTable:
    scale = frame.scale

    def column(name: str, factor: float) -> Floats:
        values = [getattr(row, name) for row in table.rows]
        return np.array([np.nan if v is None else v * factor for v in values])

    inertia = column("free_surface_inertia", scale.inertia)
    if table.density is not None and table.rows[0].free_surface_moment is not None:
        inertia = column("free_surface_moment", scale.moment) / table.density
    return TankTable(
        volume=column("volume", scale.volume),
        lcg=np.array([frame.x(row.lcg) for row in table.rows]),
        vcg=column("vcg", scale.length),
        tcg=np.array([frame.y(row.tcg) for row in table.rows]),
        sounding=column("sounding", scale.length),
        ullage=column("ullage", scale.length),
        inertia=inertia,
    )


def _immersion(rows: Sequence[wire.ImmersionAngle] | None, scale: Scale) -> ImmersionTable | None:
    if rows is None:
        return None
    return ImmersionTable(
        np.array([row.draft * scale.length for row in rows]), np.array([row.angle for row in rows])
    )


def _opening(opening: wire.Opening, frame: Frame) -> Opening:
    return Opening(
        opening.id,
        opening.name,
        frame.x(opening.x),
        frame.y(opening.y),
        opening.z * frame.scale.length,
        opening.protection,
        opening.closes_automatically,
        _immersion(opening.immersion_angles, frame.scale),
    )


def _wind_profile(document: wire.Vessel, scale: Scale) -> WindProfile | None:
    rows = document.wind_profile
    if not rows:
        return None
    return WindProfile(
        np.array([row.draft * scale.length for row in rows]),
        np.array([row.area * scale.area for row in rows]),
        np.array([row.centroid_height * scale.length for row in rows]),
    )


def _deck_edge(edge: wire.DeckEdge | None, frame: Frame) -> DeckEdge | None:
    if edge is None:
        return None
    scale = frame.scale
    points = [(frame.x(p.x), p.y * scale.length, p.z * scale.length) for p in edge.points or ()]
    return DeckEdge(np.array(points).reshape(-1, 3), _immersion(edge.immersion_angles, scale))


def _load_lines(lines: wire.LoadLines | None, scale: Scale) -> dict[str, float] | None:
    if lines is None:
        return None
    marks = {str(mark): draft * scale.length for mark, draft in (lines.marks or {}).items()}
    return {**marks, "S": lines.summer_draft * scale.length}


def _by_trim_range(
    limit: wire.GmLimit,
) -> dict[tuple[float | None, float | None], list[tuple[int, wire.GmLimitRow]]]:
    ranges: dict[tuple[float | None, float | None], list[tuple[int, wire.GmLimitRow]]] = {}
    for i, row in enumerate(limit.rows):
        ranges.setdefault((row.trim_from, row.trim_to), []).append((i, row))
    return ranges


def _gm_limits(document: wire.Vessel, scale: Scale) -> tuple[core.GmLimit, ...]:
    return tuple(
        core.GmLimit(
            limit.name,
            limit.basis,
            np.array([row.draft * scale.length for _, row in rows]),
            np.array([row.value * scale.length for _, row in rows]),
            -OPEN if low is None else low * scale.length,
            OPEN if high is None else high * scale.length,
        )
        for limit in document.gm_limits or ()
        for (low, high), rows in _by_trim_range(limit).items()
    )


def _bridge(document: wire.Vessel, frame: Frame) -> core.Bridge | None:
    bridge, p = document.bridge, document.particulars
    if bridge is None:
        return None
    scale = frame.scale
    return core.Bridge(
        frame.x(bridge.eye_x),
        bridge.eye_z * scale.length,
        frame.x(bridge.obstruction_x),
        bridge.obstruction_z * scale.length,
        frame.x(bridge.bow_x),
        (p.length_overall or p.length_bp) * scale.length,
    )
