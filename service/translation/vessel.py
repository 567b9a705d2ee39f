"""A vessel document into the core's vessel: units and axes."""

from collections.abc import Sequence
from functools import partial
from math import inf, radians, sin
from typing import Any

import numpy as np

from service.core import vessel as core
from service.core.cross_curves import CrossCurves, CrossCurveTable
from service.core.heeling_lever import WindProfile
from service.core.hydrostatics import Hydrostatics
from service.core.opening import DeckEdge, ImmersionTable, Opening
from service.core.strength.booklet import StrengthBooklet
from service.core.tank import Tank
from service.core.weight import Weight
from service.translation.axes import AxesAndUnits, times
from service.translation.contradictions import Contradictions
from service.translation.grain import hold_of
from service.translation.ship_type import of_her_type, particulars_of_her_type
from service.translation.strength import extent_of, strength_of
from service.translation.tank import tank_of
from service.translation.units import SCALES, Scale
from service.translation.vessel_contradictions import by_trim, by_trim_range, check
from service.translation.view import air_draft_points, icing_surfaces, obstructions_of, own_limits
from service.wire import hydrostatics as wire_hydrostatics
from service.wire import vessel as wire


def vessel_of(
    document: wire.Vessel, root: tuple[str | int, ...] = ("vessel",), *, posted: bool = True
) -> core.Vessel:
    """Prepare a vessel; refuses documents that contradict themselves, naming every place below `root`.

    `posted` is False for a kept document: rule sets that exclude each other bind together there as they always did."""
    contradictions = Contradictions(root)
    check(document, contradictions, posted=posted)
    contradicts = bool(contradictions.errors)
    scale = SCALES[document.units]
    axes = AxesAndUnits.of(scale, document.axes, document.particulars.length_bp * scale.length)
    hydrostatics = contradictions.usable(lambda: _hydrostatics(document, axes))
    tanks = [
        contradictions.usable(partial(tank_of, tank, axes), ("tanks", i))
        for i, tank in enumerate(document.tanks)
        if not contradictions.about(("tanks", i))
    ]
    curves = None
    if document.cross_curves is not None and not contradictions.about(("cross_curves",)):
        curves = contradictions.usable(partial(_cross_curves, document.cross_curves, document, scale))
    vessel = None
    if not contradictions.errors and hydrostatics is not None:
        built = tuple(tank for tank in tanks if tank is not None)
        strength = strength_of(document, axes, contradictions)
        vessel = contradictions.usable(lambda: _build(document, axes, hydrostatics, curves, built, strength))
    words = "The vessel document contradicts itself."
    contradictions.refuse(
        "invalid_vessel", words if contradicts else "A table of the vessel document cannot be used."
    )
    assert vessel is not None
    return vessel


def vessel_in(document: object) -> core.Vessel:
    """Prepare a vessel document that has passed every check before."""
    return vessel_of(wire.Vessel.model_validate(document), posted=False)


def _build(
    document: wire.Vessel,
    axes: AxesAndUnits,
    hydrostatics: Hydrostatics,
    curves: CrossCurves | None,
    tanks: tuple[Tank, ...],
    strength: StrengthBooklet | None,
) -> core.Vessel:
    scale, lightship = axes.scale, document.lightship
    return core.Vessel(
        name=document.name,
        particulars=_particulars(document.particulars, scale),
        lightship=Weight(
            lightship.mass * scale.mass,
            axes.x(lightship.lcg),
            lightship.vcg * scale.length,
            axes.y(lightship.tcg),
            "lightship",
        ),
        hydrostatics=hydrostatics,
        cross_curves=curves,
        tanks=tanks,
        openings=None if document.openings is None else tuple(_opening(o, axes) for o in document.openings),
        wind_profile=_wind_profile(document, scale),
        deck_edge=_deck_edge(document.deck_edge, axes),
        draft_marks=tuple(
            core.DraftMark(m.name, axes.x(m.x), m.keel_offset * scale.length)
            for m in document.draft_marks or ()
        ),
        load_line_drafts=_load_lines(document, scale),
        gm_limits=_gm_limits(document, scale),
        propeller=None
        if document.propeller is None
        else core.Propeller(
            axes.x(document.propeller.x),
            document.propeller.shaft_height * scale.length,
            document.propeller.diameter * scale.length,
        ),
        bridge=_bridge(document, axes),
        holds=tuple(hold_of(hold, scale) for hold in document.holds or ()),
        rule_sets=tuple(document.rule_sets),
        strength=strength,
        hold_extents=tuple(extent_of(hold.extent, axes) for hold in document.holds or ()),
        **_options(document, axes),
        **of_her_type(document, axes),
    )


def _options(document: wire.Vessel, axes: AxesAndUnits) -> dict[str, Any]:
    """What few booklets have."""
    lines, bridge, scale = document.load_lines, document.bridge, axes.scale
    curves = document.cross_curves_timber
    return {
        "fresh_water_allowance": None if lines is None else times(lines.fresh_water_allowance, scale.length),
        "air_draft_points": air_draft_points(document.air_draft_points or (), axes),
        "obstructions": obstructions_of((None if bridge is None else bridge.obstructions) or (), axes),
        "own_limits": own_limits(document.limits or (), scale),
        "icing_surfaces": icing_surfaces(document.icing_surfaces or (), axes),
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
        **particulars_of_her_type(p, scale),
    )


def _hydrostatics(document: wire.Vessel, axes: AxesAndUnits) -> Hydrostatics:
    scale, table = axes.scale, document.hydrostatics
    rows: list[dict[str, float | None]] = [
        {
            "trim": row.trim * scale.length,
            "draft": row.draft * scale.length,
            "displacement": row.displacement * scale.mass,
            "lcb": axes.x(row.lcb),
            "lcf": axes.x(row.lcf),
            "km": row.km * scale.length,
            "tpc": row.tpc * scale.mass / scale.per_immersion,
            "mctc": row.mctc * scale.moment / scale.per_immersion,
            "vcb": times(row.vcb, scale.length),
            "tcb": None if row.tcb is None else axes.y(row.tcb),
            "block_coefficient": row.block_coefficient,
            "waterplane_area": times(row.waterplane_area, scale.area),
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


def _opening(opening: wire.Opening, axes: AxesAndUnits) -> Opening:
    return Opening(
        opening.id,
        opening.name,
        axes.x(opening.x),
        axes.y(opening.y),
        opening.z * axes.scale.length,
        opening.protection,
        opening.closes_automatically,
        _immersion(opening.immersion_angles, axes.scale),
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


def _deck_edge(edge: wire.DeckEdge | None, axes: AxesAndUnits) -> DeckEdge | None:
    if edge is None:
        return None
    scale = axes.scale
    points = [(axes.x(p.x), p.y * scale.length, p.z * scale.length) for p in edge.points or ()]
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


def _bridge(document: wire.Vessel, axes: AxesAndUnits) -> core.Bridge | None:
    bridge, p = document.bridge, document.particulars
    if bridge is None:
        return None
    scale = axes.scale
    return core.Bridge(
        axes.x(bridge.eye_x),
        bridge.eye_z * scale.length,
        axes.x(bridge.obstruction_x),
        bridge.obstruction_z * scale.length,
        axes.x(bridge.bow_x),
        (p.length_overall or p.length_bp) * scale.length,
    )
