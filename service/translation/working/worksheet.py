"""The working of one answer, from the finished assessment and the documents it was made of."""

from collections.abc import Mapping
from typing import Any

from service.core.assessment import Assessment as Assessed
from service.translation.axes import AxesAndUnits
from service.translation.units import SCALES, Scale
from service.translation.working import (
    added_weights,
    afloat,
    before_ice,
    criteria,
    displacement,
    drafts,
    floating,
    free_surface,
    ice,
    load_line_block,
    openings,
    righting_lever,
    strength,
    survey,
    tank,
)
from service.translation.working.levers import Levers
from service.translation.working.sheet import Sheet
from service.translation.working.sources import Sources, as_she_is
from service.translation.working.typed import Figures, Typed
from service.wire.fields import Axes


def sheet_of(
    assessed: Assessed,
    answer: Mapping[str, Any],
    scale: Scale,
    vessel: Mapping[str, Any],
    condition: Mapping[str, Any],
    figures: Figures | None = None,
) -> Sheet:
    """Every figure of an answer, in the order a person would work.

    answer: in the units of `scale`. vessel, condition: the documents as typed. figures: what was read of this vessel
    into these units."""
    length = assessed.situation.vessel.particulars.length_bp
    ship_axes, own = vessel.get("axes"), condition.get("axes")
    sheet = Sheet(answer, scale)
    frame = AxesAndUnits.of(SCALES[vessel["units"]], _axes(ship_axes), length)
    typed = Typed("vessel", vessel, frame, sheet, figures)
    frame = AxesAndUnits.of(SCALES[condition["units"]], _axes(own or ship_axes), length)
    a = Sources(sheet, assessed, typed, Typed("condition", condition, frame, sheet))
    displacement.lightship(a)
    for i in range(len(assessed.condition.tanks)):
        tank.write(a, i)
    added_weights.write(a)
    before_ice.write(a)
    added_weights.write_ice(a)
    displacement.subtotals(a)
    displacement.write(a)
    free_surface.write(a)
    free_surface.correction(a)
    floating.write(a, as_she_is(a))
    afloat.write(a)
    curve, levers = assessed.heeled.curve, None
    if curve is None:
        righting_lever.list_of(a, None)
    else:
        levers = Levers(a, curve)
        righting_lever.write(a, levers, openings.write(a))
    drafts.write(a)
    strength.write(a)
    criteria.write(a, levers)
    load_line_block.write(a)
    ice.effect(a)
    survey.write(a, assessed.survey)
    return sheet


def _axes(axes: Any) -> Axes | None:
    return None if axes is None else Axes.model_validate(axes)
