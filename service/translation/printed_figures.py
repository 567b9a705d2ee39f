"""A printed condition of a vessel document computed by the core, and each printed figure beside the computed one."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import pairwise
from math import inf, isinf
from typing import Any, NamedTuple

from service.core.assessment import Assessment, assess
from service.core.booklet_tolerance import LEAST_CONDITIONS, TOLERANCES, Tolerance
from service.core.errors import CoreError
from service.core.free_surface import BASES, BY_RULE
from service.core.vessel import Vessel
from service.translation.axes import AxesAndUnits
from service.translation.condition import condition_of, refusal_of
from service.translation.units import SCALES, Scale
from service.wire import vessel as wire
from service.wire.condition import Condition as ConditionDocument
from service.wire.fields import Axes
from service.wire.pointer import pointer_of
from service.wire.printed_condition import PrintedCondition, PrintedFigures
from service.wire.proof import ProvedFigure
from service.wire.refusal import Refusal

Row = dict[str, Any]

__all__ = ["LEAST_CONDITIONS", "Compared", "compared", "decimals_of"]


class Figure(NamedTuple):
    """How one printed figure is compared: its tolerance, how it turns into the core's unit, its name for people."""

    tolerance: str
    kind: str
    title: str


FIGURES: dict[str, Figure] = {
    "displacement": Figure("displacement", "mass", "displacement"),
    "deadweight": Figure("deadweight", "mass", "deadweight"),
    "lcg": Figure("lcg", "x", "LCG"),
    "tcg": Figure("tcg", "y", "TCG"),
    "vcg_solid": Figure("vcg", "length", "VCG"),
    "vcg_corrected": Figure("vcg", "length", "VCG corrected"),
    "draft_at_lcf": Figure("draft", "length", "draft at LCF"),
    "draft_forward": Figure("draft", "length", "draft forward"),
    "draft_midship": Figure("draft", "length", "draft midship"),
    "draft_aft": Figure("draft", "length", "draft aft"),
    "trim": Figure("trim", "length", "trim"),
    "list": Figure("list", "plain", "list"),
    "lcb": Figure("lcb", "x", "LCB"),
    "lcf": Figure("lcf", "x", "LCF"),
    "km": Figure("km", "length", "KM"),
    "tpc": Figure("tpc", "immersion", "TPC"),
    "mctc": Figure("mctc", "trim_moment", "MCTC"),
    "gm_solid": Figure("gm", "length", "GM"),
    "free_surface_moment": Figure("free_surface_moment", "moment", "free surface moment"),
    "free_surface_correction": Figure("free_surface_correction", "length", "free surface correction"),
    "gm_corrected": Figure("gm", "length", "GM corrected"),
    "maximum_lever": Figure("lever", "length", "greatest righting lever"),
    "angle_of_maximum": Figure("angle_of_maximum", "plain", "angle of the greatest righting lever"),
    "vanishing_angle": Figure("vanishing_angle", "plain", "vanishing angle"),
    "down_flooding_angle": Figure("down_flooding_angle", "plain", "down-flooding angle"),
    "area_30": Figure("area", "length", "area to 30°"),
    "area_40": Figure("area", "length", "area to 40° or flooding"),
    "area_30_40": Figure("area", "length", "area 30° to 40° or flooding"),
}
_OF_TANK = {
    "lcg": Figure("lcg", "x", "LCG"),
    "vcg": Figure("vcg", "length", "VCG"),
    "tcg": Figure("tcg", "y", "TCG"),
    "free_surface_moment": Figure("free_surface_moment", "moment", "free surface moment"),
}


@dataclass(frozen=True)
class Compared:
    """One printed condition computed: its figures, why some are missing, and what it reaches (core units)."""

    figures: list[ProvedFigure]
    why: list[str]
    displacement: float | None = None
    draft: float | None = None
    trim: float | None = None


def compared(vessel: Vessel, document: wire.Vessel, index: int, decimals: Mapping[str, int]) -> Compared:
    """The printed condition number `index` of a vessel document beside the core's figures."""
    printed = (document.printed_conditions or ())[index]
    try:
        assessment = _assessed(vessel, document.axes, document.units, printed, printed.free_surface)
    except Refusal as refusal:
        return Compared(_not_computed(printed, index), [_reason(refusal)])
    scale = SCALES[document.units]
    axes = AxesAndUnits.of(scale, document.axes, vessel.particulars.length_bp)
    comparison = _Comparison(vessel, axes, scale, decimals, assessment)
    figures = list(comparison.figures(printed, index))
    why = [f"{figure['title']}: not computed" for figure in figures if figure["state"] == "not_computed"]
    if any("free_surface_moment" in figure["place"] and figure["state"] == "off" for figure in figures):
        why += _agreeing_bases(vessel, document, printed, assessment)
    flotation = assessment.situation.flotation
    return Compared(
        figures,
        why,
        assessment.displacement.mass / scale.mass,
        None if flotation is None else flotation.draft_midship / scale.length,
        None if flotation is None else flotation.trim / scale.length,
    )


def _assessed(
    vessel: Vessel, axes: Axes | None, units: str, printed: PrintedCondition, basis: str
) -> Assessment:
    """The condition assessed on the basis her booklet counts by, which no rule raises."""
    members = printed.model_dump(exclude_none=True)
    lines = [{k: v for k, v in line.items() if k != "printed"} for line in members["tanks"]]
    found: Row = {
        "units": units,
        "title": printed.name,
        "water_density": printed.water_density,
        "free_surface": {"basis": basis},
        "tanks": lines,
        **{k: members[k] for k in ("weights", "grain", "wind_additions", "load_line_mark") if k in members},
    }
    condition = ConditionDocument.model_validate(found)
    ship = vessel if basis == BY_RULE else replace(vessel, rule_sets=())
    try:
        return assess(ship, condition_of(condition, ship, axes))
    except CoreError as problem:
        raise refusal_of(problem, condition, ship, SCALES[condition.units]) from None


def _reason(refusal: Refusal) -> str:
    return "; ".join(error["detail"] for error in refusal.errors[:5]) or refusal.detail


def _agreeing_bases(
    vessel: Vessel, document: wire.Vessel, printed: PrintedCondition, assessment: Assessment
) -> list[str]:
    """Which other way to count free surfaces gives the printed moment."""
    wanted = printed.printed.free_surface_moment
    if wanted is None:
        return []
    scale = SCALES[document.units]
    words = []
    for basis in BASES:
        if basis == printed.free_surface:
            continue
        other = _assessed(vessel, document.axes, document.units, printed, basis)
        moment = other.displacement.free_surface_moment / scale.moment
        if abs(moment - wanted) <= TOLERANCES["free_surface_moment"].allowed(wanted, 0.0):
            words.append(
                f"the printed free surface moment is that of the basis {basis.replace('_', ' ')}, not of "
                f"{printed.free_surface.replace('_', ' ')}"
            )
    return words


def decimals_of(document: wire.Vessel) -> dict[str, int]:
    """Decimals her booklet prints each figure with: the most that any of its values has."""
    most: dict[str, int] = {}

    def see(name: str, value: float | None) -> None:
        if value is not None:
            exponent = Decimal(repr(float(value))).normalize().as_tuple().exponent
            most[name] = max(most.get(name, 0), -int(exponent), 0)

    for condition in document.printed_conditions or ():
        for name in FIGURES:
            see(name, getattr(condition.printed, name))
        for lever in condition.printed.righting_levers or ():
            see("righting_levers", lever.lever)
        for line in condition.tanks:
            for name in _OF_TANK if line.printed is not None else ():
                see(f"tank {name}", getattr(line.printed, name))
    return most


@dataclass(frozen=True)
class _Comparison:
    """Printed figures of one condition against one assessment."""

    vessel: Vessel
    axes: AxesAndUnits
    scale: Scale
    decimals: Mapping[str, int]
    assessment: Assessment

    def figures(self, printed: PrintedCondition, index: int) -> Iterator[ProvedFigure]:
        """Every printed figure of the condition, in the order of the document."""
        place = ("printed_conditions", index)
        moments = self.assessment.surfaces.judged.moments
        for i, line in enumerate(printed.tanks):
            liquid = self.assessment.liquids[i]
            computed = (liquid.lcg, liquid.vcg, liquid.tcg, moments[i])
            for (name, figure), value in zip(_OF_TANK.items(), computed, strict=True):
                told = None if line.printed is None else getattr(line.printed, name)
                if told is not None:
                    where = pointer_of((*place, "tanks", i, "printed", name))
                    title = f"{figure.title} of the tank {line.tank}"
                    yield self._figure(f"tank {name}", figure, title, where, told, value)
        values = self._values()
        for name, figure in FIGURES.items():
            told = getattr(printed.printed, name)
            if told is not None:
                where = pointer_of((*place, "printed", name))
                yield self._figure(name, figure, figure.title, where, told, values[name])
        yield from self._levers(printed.printed, place)

    def _values(self) -> dict[str, float | None]:
        """Every computed figure in the core's units; inf where there is none by nature."""
        a = self.assessment
        load, ship, heeled = a.displacement, a.situation, a.heeled
        f, curve, levers = ship.flotation, heeled.curve, heeled.levers
        afloat = (
            "draft_at_lcf",
            "draft_forward",
            "draft_midship",
            "draft_aft",
            "trim",
            "lcb",
            "lcf",
            "tpc",
            "mctc",
        )
        return {
            "displacement": load.mass,
            "deadweight": load.mass - self.vessel.lightship.mass,
            "lcg": load.lcg,
            "tcg": load.tcg,
            "vcg_solid": load.vcg_solid,
            "vcg_corrected": load.vcg_corrected,
            **{name: None if f is None else getattr(f, name) for name in afloat},
            "km": ship.km,
            "list": ship.rest.list_angle,
            "gm_solid": ship.gm_solid,
            "free_surface_moment": load.free_surface_moment,
            "free_surface_correction": load.free_surface_correction,
            "gm_corrected": ship.gm_corrected,
            "maximum_lever": None if curve is None else curve.maximum,
            "angle_of_maximum": None if curve is None else curve.angle_of_maximum,
            "vanishing_angle": None if curve is None else curve.vanishing_angle,
            "down_flooding_angle": heeled.flooding.angle,
            "area_30": None if levers is None else levers.area_to_30,
            "area_40": None if levers is None else levers.area_to_40,
            "area_30_40": None if levers is None else levers.area_30_to_40,
        }

    def _levers(self, printed: PrintedFigures, place: tuple[str | int, ...]) -> Iterator[ProvedFigure]:
        """Printed righting levers; beside a place where they change sign, 5 % are of the greatest lever."""
        levers = printed.righting_levers or []
        curve = self.assessment.heeled.curve
        greatest = max((abs(lever.lever) for lever in levers), default=0.0)
        crossing = {
            i + k for i, (a, b) in enumerate(pairwise(levers)) if a.lever * b.lever <= 0.0 for k in (0, 1)
        }
        for i, lever in enumerate(levers):
            value = None
            if curve is not None and abs(lever.heel) <= curve.last_heel:
                value = curve.lever(lever.heel)
            tolerance = "lever_near_zero" if i in crossing else "lever"
            figure = Figure(tolerance, "length", "righting lever")
            where = pointer_of((*place, "printed", "righting_levers", i, "lever"))
            title = f"righting lever at {lever.heel:g}°"
            yield self._figure("righting_levers", figure, title, where, lever.lever, value, greatest)

    def _figure(
        self,
        name: str,
        figure: Figure,
        title: str,
        place: str,
        printed: float,
        value: float | None,
        greatest: float = 0.0,
    ) -> ProvedFigure:
        tolerance = TOLERANCES[figure.tolerance]
        if value is None or isinf(value):
            state = "not_computed" if value is None else "off"
            return _row(name, place, title, printed, tolerance, state)
        computed, unit = self._in_document(figure.kind, value)
        allowed = self._allowed(tolerance, figure.kind, printed, greatest, unit)
        deviation = computed - printed
        half = 0.5 * 10.0 ** -self.decimals.get(name, 0)
        state = "within_tolerance"
        if abs(deviation) > allowed * (1.0 + 1e-9):
            state = "within_printing" if abs(deviation) <= half * (1.0 + 1e-9) else "off"
        row = _row(name, place, title, printed, tolerance, state)
        share = abs(deviation) / allowed if allowed > 0.0 else (0.0 if deviation == 0.0 else None)
        return {**row, "computed": computed, "deviation": deviation, "allowed": allowed, "share": share}

    def _in_document(self, kind: str, value: float) -> tuple[float, float]:
        """A value of the core in the document's unit and axes, and the core's units in one of the document's."""
        s, axes = self.scale, self.axes
        if kind == "x":
            return (value - axes.origin) / axes.sense_x, s.length
        if kind == "y":
            return (value / axes.sense_y if value else 0.0), s.length
        unit = {
            "length": s.length,
            "mass": s.mass,
            "moment": s.moment,
            "immersion": s.mass / s.per_immersion,
            "trim_moment": s.moment / s.per_immersion,
            "plain": 1.0,
        }[kind]
        return value / unit, unit

    def _allowed(self, row: Tolerance, kind: str, printed: float, greatest: float, unit: float) -> float:
        """What a printed figure may be off by, in the document's unit."""
        base = self.axes.x(printed) if kind == "x" else printed * unit
        allowed = row.allowed(base, self.vessel.particulars.breadth, greatest * unit)
        assert allowed != inf
        return allowed / unit


def _row(name: str, place: str, title: str, printed: float, tolerance: Tolerance, state: str) -> ProvedFigure:
    return {
        "figure": name.removeprefix("tank "),
        "place": place,
        "title": title,
        "printed": printed,
        "computed": None,
        "deviation": None,
        "allowed": None,
        "share": None,
        "source": tolerance.source,
        "state": state,  # type: ignore[typeddict-item]
    }


def _not_computed(printed: PrintedCondition, index: int) -> list[ProvedFigure]:
    """The figures of a condition that could not be computed at all."""
    place = ("printed_conditions", index, "printed")
    found = []
    for name, figure in FIGURES.items():
        told = getattr(printed.printed, name)
        if told is not None:
            tolerance = TOLERANCES[figure.tolerance]
            found.append(
                _row(name, pointer_of((*place, name)), figure.title, told, tolerance, "not_computed")
            )
    return found
