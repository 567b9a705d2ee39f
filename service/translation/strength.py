"""Longitudinal strength of a vessel document into the core's, and the places that contradict one another."""

from collections.abc import Sequence

from service.core.conventions import GRAVITY
from service.core.strength.booklet import StrengthBooklet
from service.core.strength.hold_mass import HoldStrength, MassLimit
from service.core.strength.limits import Limits, Station
from service.core.strength.sections import Sections
from service.core.strength.weight_curve import Extent, Segment
from service.translation.axes import AxesAndUnits, times
from service.translation.contradictions import Contradictions
from service.wire import strength as wire_strength
from service.wire import vessel as wire
from service.wire.fields import Extent as WireExtent


def extent_of(extent: WireExtent | None, axes: AxesAndUnits) -> Extent | None:
    """Ends in m from the aft perpendicular, the aft one first."""
    if extent is None:
        return None
    first, second = axes.x(extent.x_from), axes.x(extent.x_to)
    return (first, second) if first <= second else (second, first)


def check_strength(document: wire.Vessel, contradictions: Contradictions) -> None:
    """Note every place where what a document says of strength contradicts itself, or names what does not exist."""
    tanks, holds = {tank.id for tank in document.tanks}, {hold.id: hold for hold in document.holds or ()}
    for i, hold in enumerate(document.holds or ()):
        for j, tank in enumerate(hold.tanks_in_way or ()):
            if tank not in tanks:
                contradictions.add(("holds", i, "tanks_in_way", j), "unknown_tank", "no tank has this id.")
        if hold.mass_limits and hold.extent is None:
            contradictions.add(("holds", i, "extent"), "missing", "limits of mass need the ends of the hold.")
    strength = document.strength
    if strength is None:
        return
    if strength.unit == "kN" and document.units == "us":
        words = "limits in kN belong to a metric document: give them in long tons."
        contradictions.add(("strength", "unit"), "contradiction", words)
    for i, pair in enumerate(strength.adjacent_holds or ()):
        place = ("strength", "adjacent_holds", i, "holds")
        for j, name in enumerate(pair.holds):
            if name not in holds:
                contradictions.add((*place, j), "unknown_hold", "no hold has this id.")
            elif holds[name].extent is None:
                contradictions.add(
                    (*place, j), "missing", "this hold has no ends, which its middle is found by."
                )
        if pair.holds[0] == pair.holds[1]:
            contradictions.add(place, "duplicate", "two different holds are needed.")


def strength_of(
    document: wire.Vessel, axes: AxesAndUnits, contradictions: Contradictions
) -> StrengthBooklet | None:
    """Prepare it; None where the document says nothing of it. Notes tables that cannot be used."""
    strength = document.strength
    if strength is None:
        return None
    sections = None
    if strength.sections is not None:
        given = strength.sections
        sections = contradictions.usable(lambda: _sections(given, axes), ("strength", "sections"))
    return StrengthBooklet(
        stations=[_station(station, strength.unit, axes) for station in strength.stations],
        segments=_segments(document, axes),
        sections=sections,
        shear_correction_required=strength.shear_correction_required,
        holds=_holds(document, axes),
        pairs=_pairs(document, strength, axes),
    )


def _sections(sections: wire_strength.StrengthSections, axes: AxesAndUnits) -> Sections:
    scale = axes.scale
    return Sections(
        [axes.x(x) for x in sections.x],
        [draft * scale.length for draft in sections.drafts],
        [[area * scale.area for area in row] for row in sections.areas],
        sections.factor,
    )


def _station(station: wire_strength.StrengthStation, unit: str, axes: AxesAndUnits) -> Station:
    gravity = GRAVITY if unit == "kN" else 1.0
    force, moment = axes.scale.mass / gravity, axes.scale.moment / gravity

    def limits(name: str) -> Limits:
        return Limits.of(
            times(getattr(station, f"shear_force_{name}"), force),
            times(getattr(station, f"shear_force_{name}_negative"), force),
            times(getattr(station, f"bending_moment_{name}"), moment),
            times(getattr(station, f"bending_moment_{name}_sagging"), moment),
        )

    return Station(axes.x(station.x), limits("sea"), limits("harbour"), station.name)


def _segments(document: wire.Vessel, axes: AxesAndUnits) -> tuple[Segment, ...]:
    """Those that say one thing; a segment of no length, or of two masses or none, is passed over: then they do not
    add up to the lightship, and nothing is computed."""
    scale, segments = axes.scale, []
    for each in document.lightship.segments or ():
        aft, forward = extent_of(WireExtent(x_from=each.x_from, x_to=each.x_to), axes) or (0.0, 0.0)
        ends = (each.mass_from, each.mass_to)
        if not forward > aft or (each.mass is None) is (None in ends):
            continue
        if each.mass is not None:
            segments.append(Segment.of_mass(aft, forward, each.mass * scale.mass))
            continue
        first, second = ((mass or 0.0) * scale.mass / scale.length for mass in ends)
        turned = axes.x(each.x_from) > axes.x(each.x_to)
        segments.append(Segment(aft, forward, *((second, first) if turned else (first, second))))
    return tuple(segments)


def _limits(limits: Sequence[wire_strength.MassLimit], axes: AxesAndUnits) -> list[MassLimit]:
    scale = axes.scale
    return [
        MassLimit(
            limit.draft * scale.length,
            times(limit.most, scale.mass),
            times(limit.least, scale.mass),
            limit.set,
        )
        for limit in limits
    ]


def _in_way(document: wire.Vessel, holds: Sequence[int]) -> tuple[int, ...]:
    index = {tank.id: i for i, tank in enumerate(document.tanks)}
    given = document.holds or []
    return tuple(index[name] for hold in holds for name in given[hold].tanks_in_way or () if name in index)


def _holds(document: wire.Vessel, axes: AxesAndUnits) -> tuple[HoldStrength, ...]:
    found = []
    for i, hold in enumerate(document.holds or ()):
        extent = extent_of(hold.extent, axes)
        if hold.mass_limits and extent is not None:
            found.append(HoldStrength((i,), extent, _in_way(document, (i,)), _limits(hold.mass_limits, axes)))
    return tuple(found)


def _pairs(
    document: wire.Vessel, strength: wire_strength.Strength, axes: AxesAndUnits
) -> tuple[HoldStrength, ...]:
    index = {hold.id: i for i, hold in enumerate(document.holds or ())}
    found = []
    for pair in strength.adjacent_holds or ():
        holds = tuple(index[name] for name in pair.holds if name in index)
        extents = [extent_of((document.holds or [])[i].extent, axes) for i in holds]
        ends = [end for extent in extents if extent is not None for end in extent]
        if len(holds) == 2 and len(ends) == 4:
            extent = (min(ends), max(ends))
            limits = _limits(pair.mass_limits, axes)
            found.append(HoldStrength(holds, extent, _in_way(document, holds), limits))
    return tuple(found)
