"""The figures of an answer that are kept beside it, in metres and tonnes, and how a list shows them in its units."""

from typing import Any, Protocol, cast

from service.translation.conversion import in_units_of
from service.translation.units import METRIC, SCALES, Scale
from service.wire.margin import KeptMargin, KeptStabilityMargin, LoadLineMargin


class StoredFigures(Protocol):
    """Where a kept record has them: a head, a revision, a line of the fleet. None in those of calculation 1.0.0."""

    @property
    def dangers(self) -> int | None: ...
    @property
    def least_margin(self) -> float | None: ...
    @property
    def least_margin_unit(self) -> str | None: ...
    @property
    def least_margin_criterion(self) -> str | None: ...
    @property
    def least_margin_gm(self) -> float | None: ...
    @property
    def least_margin_side(self) -> str | None: ...
    @property
    def load_line_draft(self) -> float | None: ...
    @property
    def load_line_mass(self) -> float | None: ...


def stored_figures(assessment: dict[str, Any]) -> dict[str, Any]:
    """Dangers and margins of an answer as storage keeps them."""
    scale = SCALES[assessment["units"]["system"]]
    least, line = assessment["least_stability_margin"], assessment["load_line_margin"]
    figures: dict[str, Any] = {"dangers": assessment["dangers"]}
    if least is not None:
        margin, unit = in_units_of(METRIC, least["margin"], least["unit"])
        figures |= {
            "least_margin": margin,
            "least_margin_unit": unit,
            "least_margin_criterion": least["criterion"],
            "least_margin_gm": in_core_units(least["gm_equivalent"], scale.length),
            "least_margin_side": least["side"],
        }
    if line is not None:
        figures |= {
            "load_line_draft": line["draft"] * scale.length,
            "load_line_mass": in_core_units(line["mass"], scale.mass),
        }
    return figures


def listed_stability_margin(kept: StoredFigures, scale: Scale) -> KeptStabilityMargin | None:
    """The least stability margin of a kept record in units of `scale`; None where it has none."""
    if kept.least_margin_criterion is None or kept.least_margin_unit is None:
        return None
    margin, unit = in_units_of(scale, kept.least_margin, kept.least_margin_unit)
    return {
        "criterion": kept.least_margin_criterion,
        "margin": margin,
        "unit": unit,
        "gm_equivalent": scaled(kept.least_margin_gm, scale.length),
        "side": cast(Any, kept.least_margin_side),
    }


def listed_load_line_margin(kept: StoredFigures, scale: Scale) -> LoadLineMargin | None:
    """What is left to the load line by a kept record in units of `scale`; None where no mark was judged."""
    if kept.load_line_draft is None:
        return None
    mass = scaled(kept.load_line_mass, scale.mass)
    return {"draft": kept.load_line_draft / scale.length, "mass": mass}


def kept_margin(criterion: str | None, percent: float | None) -> KeptMargin | None:
    """The smallest margin as a list shows it; deprecated."""
    if criterion is None or percent is None:
        return None
    return {"criterion": criterion, "percent": percent}


def scaled(value: float | None, unit: float) -> float | None:
    """A figure of the core in units of `unit`."""
    return None if value is None else value / unit


def in_core_units(value: float | None, unit: float) -> float | None:
    """A figure in units of `unit` as the core has it."""
    return None if value is None else value * unit
