"""Own limits, points and obstructions, ice and timber: documents into the core's, and places that contradict."""

from collections.abc import Sequence

from service.core.icing import IcingCase, IcingSurface, TimberIce
from service.core.own_limit import OwnLimit
from service.core.timber import TimberLine
from service.core.vessel import Vessel
from service.core.view import AirDraftPoint, Obstruction
from service.translation.axes import AxesAndUnits, times
from service.translation.contradictions import Contradictions
from service.translation.units import Scale
from service.wire import condition as wire_condition
from service.wire import icing as wire_icing
from service.wire import limit as wire_limit
from service.wire import view as wire_view

_FACTORS = {"list": "", "propeller_immersion": "", "displacement": "mass"}


def check_limits(limits: Sequence[wire_limit.OwnLimit], contradictions: Contradictions) -> None:
    """Note every limit that is not exactly one of at least and at most."""
    for i, limit in enumerate(limits):
        if (limit.at_least is None) is (limit.at_most is None):
            contradictions.add(("limits", i), "one_bound", "give exactly one of at_least, at_most.")


def own_limits(limits: Sequence[wire_limit.OwnLimit], scale: Scale) -> tuple[OwnLimit, ...]:
    """Limits in the core's units."""
    found = []
    for limit in limits:
        dimension = _FACTORS.get(limit.quantity, "length")
        factor: float = getattr(scale, dimension) if dimension else 1.0
        at_least, at_most = times(limit.at_least, factor), times(limit.at_most, factor)
        found.append(OwnLimit(limit.quantity, at_least, at_most, limit.when, limit.clause, limit.source))
    return tuple(found)


def air_draft_points(
    points: Sequence[wire_view.AirDraftPoint], axes: AxesAndUnits
) -> tuple[AirDraftPoint, ...]:
    """Points in the core's units and axes."""
    return tuple(AirDraftPoint(p.name, axes.x(p.x), p.z * axes.scale.length, axes.y(p.y)) for p in points)


def obstructions_of(
    obstructions: Sequence[wire_view.Obstruction], axes: AxesAndUnits
) -> tuple[Obstruction, ...]:
    """Obstructions in the core's units and axes."""
    return tuple(
        Obstruction(
            o.name,
            axes.x(o.x),
            o.z * axes.scale.length,
            None if o.y_from is None else axes.y(o.y_from),
            None if o.y_to is None else axes.y(o.y_to),
        )
        for o in obstructions
    )


def without_top(document: wire_condition.Condition, contradictions: Contradictions) -> tuple[int, ...]:
    """Deck cargo, by index among the weights, that no obstruction stands for; notes names that are no weight's."""
    obstructions = document.obstructions or ()
    names = [weight.name for weight in document.weights]
    for i, obstruction in enumerate(obstructions):
        if obstruction.of is not None and names.count(obstruction.of) != 1:
            code = "ambiguous_weight" if obstruction.of in names else "unknown_weight"
            words = (
                "no weight has this name." if code == "unknown_weight" else "several weights have this name."
            )
            contradictions.add(("obstructions", i, "of"), code, words)
    named = {obstruction.of for obstruction in obstructions}
    cargo = [i for i, w in enumerate(document.weights) if w.category == "deck_cargo" and w.mass > 0.0]
    return () if None in named else tuple(i for i in cargo if names[i] not in named)


def icing_surfaces(
    surfaces: Sequence[wire_icing.IcingSurface], axes: AxesAndUnits
) -> tuple[IcingSurface, ...]:
    """Surfaces in the core's units and axes."""
    scale = axes.scale
    return tuple(
        IcingSurface(s.name, s.kind, s.area * scale.area, axes.x(s.x), s.z * scale.length, axes.y(s.y))
        for s in surfaces
    )


def icing_of(
    document: wire_condition.Condition, axes: AxesAndUnits, vessel: Vessel, contradictions: Contradictions
) -> IcingCase | None:
    """Ice that the condition counts; notes where she has neither surfaces nor a wind profile for it."""
    icing = document.icing
    if icing is None:
        return None
    sides = any(surface.kind == "side" for surface in vessel.icing_surfaces)
    if icing.factor and vessel.wind_profile is None and not sides:
        words = "her booklet has neither a wind profile nor sides for ice to settle on."
        contradictions.add(("icing",), "icing_surfaces_missing", words)
    formula, length = icing.timber_formula, axes.scale.length
    timber = None
    if formula is not None:
        timber = TimberIce(formula.freeboard * length, formula.bow_flare_length * length)
    return IcingCase(icing.factor, icing_surfaces(icing.surfaces or (), axes), timber)


def timber_of(document: wire_condition.Condition, contradictions: Contradictions) -> tuple[TimberLine, ...]:
    """What is said of timber on deck; notes it at a weight that is no deck cargo."""
    lines = []
    for i, weight in enumerate(document.weights):
        timber = weight.timber
        if timber is None:
            continue
        if weight.category != "deck_cargo":
            contradictions.add(
                ("weights", i, "timber"),
                "contradiction",
                "only a weight of category deck_cargo is timber on deck.",
            )
        lines.append(
            TimberLine(
                i,
                timber.absorption,
                timber.between_superstructures,
                timber.full_breadth,
                timber.secured,
                timber.buoyant,
            )
        )
    return tuple(lines)
