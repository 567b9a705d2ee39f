"""A vessel document into the core's vessel: units and axes."""

from collections.abc import Sequence
from functools import partial
from math import inf, radians, sin
from typing import Any

import numpy as np

from service.actions.translate_frame import Doubts, Frame, times
from service.actions.translate_grain import hold_of
from service.actions.translate_strength import extent_of, strength_of
from service.actions.translate_tank import tank_of
from service.actions.translate_vessel_check import by_trim, by_trim_range, check
from service.actions.translate_view import air_draft_points, icing_surfaces, obstructions_of, own_limits
from service.actions.units import SCALES, Scale
from service.core import vessel as core
from service.core.cross_curves import CrossCurves, CrossCurveTable
from service.core.heeling_lever import WindProfile
from service.core.hydrostatics import Hydrostatics
from service.core.opening import DeckEdge, ImmersionTable, Opening
from service.core.strength.booklet import StrengthBooklet
from service.core.tank import Tank
from service.core.weight import Weight
from service.wire import hydrostatics as wire_hydrostatics
from service.wire import vessel as wire


def vessel_of(
    document: wire.Vessel, root: tuple[str | int, ...] = ("vessel",), *, posted: bool = True
) -> core.Vessel:
    """Prepare a vessel; refuses documents that contradict themselves, naming every place below `root`.

    `posted` is False for a kept document: rule sets that exclude each other bind together there as they always did."""
    doubts = Doubts(root)
    check(document, doubts, posted=posted)
    contradicts = bool(doubts.errors)
    scale = SCALES[document.units]
    frame = Frame.of(scale, document.axes, document.particulars.length_bp * scale.length)
    hydrostatics = doubts.usable(lambda: _hydrostatics(document, frame))
    tanks = [
        doubts.usable(partial(tank_of, tank, frame), ("tanks", i))
        for i, tank in enumerate(document.tanks)
        if not doubts.about(("tanks", i))
    ]
    curves = None
    if document.cross_curves is not None and not doubts.about(("cross_curves",)):
        curves = doubts.usable(partial(_cross_curves, document.cross_curves, document, scale))
    vessel = None
    if not doubts.errors and hydrostatics is not None:
        built = tuple(tank for tank in tanks if tank is not None)
        strength = strength_of(document, frame, doubts)
        vessel = doubts.usable(lambda: _build(document, frame, hydrostatics, curves, built, strength))
    words = "The vessel document contradicts itself."
    doubts.refuse(
        "invalid_vessel", words if contradicts else "A table of the vessel document cannot be used."
    )
    assert vessel is not None
    return vessel


def vessel_in(document: object) -> core.Vessel:
    """Prepare a vessel document that has passed every check before."""
    return vessel_of(wire.Vessel.model_validate(document), posted=False)


def _build(
    document: wire.Vessel,
    frame: Frame,
    hydrostatics: Hydrostatics,
    curves: CrossCurves | None,
    tanks: tuple[Tank, ...],
    strength: StrengthBooklet | None,
) -> core.Vessel:
    scale, lightship = frame.scale, document.lightship
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
        hydrostatics=hydrostatics,
        cross_curves=curves,
        tanks=tanks,
        openings=None if document.openings is None else tuple(_opening(o, frame) for o in document.openings),
        wind_profile=_wind_profile(document, scale),
        deck_edge=_deck_edge(document.deck_edge, frame),
        draft_marks=tuple(
            core.DraftMark(m.name, frame.x(m.x), m.keel_offset * scale.length)
            for m in document.draft_marks or ()
        ),
        load_line_drafts=_load_lines(document, scale),
        gm_limits=_gm_limits(document, scale),
        propeller=None
        if document.propeller is None
        else core.Propeller(
            frame.x(document.propeller.x),
            document.propeller.shaft_height * scale.length,
            document.propeller.diameter * scale.length,
        ),
        bridge=_bridge(document, frame),
        holds=tuple(hold_of(hold, scale) for hold in document.holds or ()),
        rule_sets=tuple(document.rule_sets),
        strength=strength,
        hold_extents=tuple(extent_of(hold.extent, frame) for hold in document.holds or ()),
        **_options(document, frame),
    )


def _options(document: wire.Vessel, frame: Frame) -> dict[str, Any]:
    """What few booklets have."""
    lines, bridge, scale = document.load_lines, document.bridge, frame.scale
    curves = document.cross_curves_timber
    return {
        "fresh_water_allowance": None if lines is None else times(lines.fresh_water_allowance, scale.length),
        "air_draft_points": air_draft_points(document.air_draft_points or (), frame),
        "obstructions": obstructions_of((None if bridge is None else bridge.obstructions) or (), frame),
        "own_limits": own_limits(document.limits or (), scale),
        "icing_surfaces": icing_surfaces(document.icing_surfaces or (), frame),
        "cross_curves_timber": None if curves is None else _cross_curves(curves, document, scale),
    }


def _particulars(p: wire.Particulars, scale: Scale) -> core.Particulars:
    return core.Particulars(
        length_bp=p.length_bp * scale.length,
        breadth=p.breadth * scale.length,
        length_waterline=times(p.length_waterline, scale.length),
        length_load_line=times(p.length_load_line, scale.length),
        depth=times(p.depth, scale.length),
        block_coefficient=p.block_coefficient,
        bilge=p.bilge,
        bilge_keel_area=times(p.bilge_keel_area, scale.area),
        minimum_service_displacement=times(p.minimum_service_displacement, scale.mass),
        service=p.service,
        length_overall=times(p.length_overall, scale.length),
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
            "vcb": times(row.vcb, scale.length),
            "tcb": None if row.tcb is None else frame.y(row.tcb),
            "block_coefficient": row.block_coefficient,
        }
        for row in table.rows
    ]
    return Hydrostatics.from_rows(table.density, table.draft_reference == "midship", rows)


def _cross_curves(curves: wire_hydrostatics.CrossCurves, document: wire.Vessel, scale: Scale) -> CrossCurves:
    heels = [heel for heel in curves.heels if heel > 0.0]
    up = np.zeros(len(heels))
    if curves.basis == "gz_at_vcg":
        up = np.array([(curves.vcg or 0.0) * scale.length * sin(radians(heel)) for heel in heels])
    first = len(curves.heels) - len(heels)  # upright is no heel of the spline's
    tables = [(curves.trim, curves.displacements, curves.levers)]
    tables += [(o.trim, o.displacements, o.levers) for o in curves.at_other_trims or ()]
    prepared = tuple(
        CrossCurveTable(
            trim * scale.length,
            [displacement * scale.mass for displacement in displacements],
            np.array([row[first:] for row in levers]) * scale.length + up,
        )
        for trim, displacements, levers in sorted(tables, key=lambda table: table[0])
    )
    density = document.hydrostatics.density if curves.density is None else curves.density
    return CrossCurves(density, heels, prepared)


def _immersion(rows: Sequence[wire.ImmersionAngle] | None, scale: Scale) -> tuple[ImmersionTable, ...]:
    """One table a trim."""
    return tuple(
        ImmersionTable(
            [row.draft * scale.length for row in of_trim], [row.angle for row in of_trim], trim * scale.length
        )
        for trim, of_trim in by_trim(rows or ()).items()
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
        [row.draft * scale.length for row in rows],
        [row.area * scale.area for row in rows],
        [row.centroid_height * scale.length for row in rows],
    )


def _deck_edge(edge: wire.DeckEdge | None, frame: Frame) -> DeckEdge | None:
    if edge is None:
        return None
    scale = frame.scale
    points = [(frame.x(p.x), p.y * scale.length, p.z * scale.length) for p in edge.points or ()]
    return DeckEdge(points, _immersion(edge.immersion_angles, scale))


def _load_lines(document: wire.Vessel, scale: Scale) -> dict[str, float] | None:
    """Moulded drafts of the marks."""
    lines = document.load_lines
    if lines is None:
        return None
    drafts = {**{str(mark): draft for mark, draft in (lines.marks or {}).items()}, "S": lines.summer_draft}
    if lines.reference == "extreme":
        keel = document.particulars.keel_thickness or 0.0
        drafts = {mark: draft - keel for mark, draft in drafts.items()}
    return {mark: draft * scale.length for mark, draft in drafts.items()}


def _gm_limits(document: wire.Vessel, scale: Scale) -> tuple[core.GmLimit, ...]:
    return tuple(
        core.GmLimit(
            limit.name,
            limit.basis,
            [row.draft * scale.length for _, row in rows],
            [row.value * scale.length for _, row in rows],
            -inf if low is None else low * scale.length,
            inf if high is None else high * scale.length,
        )
        for limit in document.gm_limits or ()
        for (low, high), rows in by_trim_range(limit).items()
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
