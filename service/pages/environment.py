"""The templates' environment: autoescaped, undefined names are errors, the figures and drawings at hand."""

from datetime import UTC, datetime
from functools import partial
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from service.pages import margin_in_words, pictures, tank_rows, wording
from service.pages.assets import Assets
from service.pages.compiled_templates import CompiledTemplates
from service.pages.draft_amidships import amidships_in_words, deflection_of, sag_or_hog
from service.pages.drawings import measure
from service.pages.drawings.gm_ledger import gm_ledger, ledger_in_words, required_gm, slices_of
from service.pages.drawings.level_bar import level_bar
from service.pages.drawings.margin_line import margin_line
from service.pages.drawings.righting_lever_plot import lever_in_words, righting_lever_plot, table_of_levers
from service.pages.drawings.svg import anchor
from service.pages.drawings.verdict_mark import verdict_mark
from service.pages.drawings.waterline_sketch import (
    end_view,
    floats_in_words,
    heights_in_words,
    lies,
    lies_in_short,
    side_view,
)
from service.pages.drawings.wind_plot import wind_in_words, wind_plot
from service.pages.plan_in_words import plan_in_words, plan_leads
from service.translation.calculation_version import CALCULATION_VERSION
from service.translation.older_answer import is_of_today
from service.translation.rule_sets import rule_set_title
from service.wire import verdict_words
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.assessment import CAUTION, CriterionDetail
from service.wire.fields import UnitSystem
from service.wire.figures import (
    figure,
    figure_in,
    list_in_words,
    number,
    rounded,
    trim_in_words,
    unit,
    words,
)
from service.wire.place_in_words import error_in_words, place_in_words

_SHOWN: tuple[Any, ...] = (
    *(wording.fails, wording.nearest, wording.required, wording.in_order_of_concern),
    *(
        wording.findings_with_tank,
        wording.findings_said_once,
        wording.findings_in_groups,
        wording.reasons_of_several,
        wording.ids_as_names,
        wording.in_two,
        wording.sentence,
        wording.moment,
    ),
    *(wording.short_moment, wording.flooding_in_words, wording.with_names),
    *(wording.listed_verdict, wording.older_calculation, wording.proof_in_words),
    *(verdict_words.headline, verdict_words.stability_margin),
    *(verdict_words.load_line_margin, verdict_words.load_line_start, verdict_words.load_line_figures),
    verdict_words.standing_in_words,
    *(verdict_words.undecided, verdict_words.gaps_in_words),
    *(verdict_words.free_surface_lines, verdict_words.left_out_in_words),
    *(amidships_in_words, deflection_of, sag_or_hog),
    *(side_view, end_view, floats_in_words, heights_in_words, lies, lies_in_short),
    *(gm_ledger, ledger_in_words, required_gm, slices_of, wind_plot, wind_in_words),
    *(margin_in_words.leads, margin_in_words.least_margin, margin_in_words.load_line_lead),
    *(margin_in_words.attained_and_needs, margin_in_words.margin_phrase, margin_in_words.mark_name),
    margin_in_words.draft_limit,
    *(pictures.under, pictures.criterion_named, pictures.short_name, pictures.clause_of, pictures.picture_of),
    *(pictures.unbroken, wording.with_sign),
    *(tank_rows.tank_rows, tank_rows.cost_words, trim_in_words, list_in_words),
    *(level_bar, margin_line, lever_in_words, righting_lever_plot, table_of_levers, verdict_mark),
    *(measure.judged, plan_in_words, plan_leads),
    *(figure_in, rounded, unit, words, is_of_today),
    *(place_in_words, error_in_words, rule_set_title),
)


def environment_of(assets: Assets, *, asks_for_proof: bool = False) -> Environment:
    """One environment for the application; templates are read once. asks_for_proof: pages say whose data are not
    proved."""
    environment = Environment(
        loader=PackageLoader("service.pages", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        bytecode_cache=CompiledTemplates(),
    )
    environment.globals.update({function.__name__: function for function in _SHOWN})
    environment.filters["anchor"] = anchor
    environment.filters["lower_first"] = wording.lower_first
    environment.filters["rule_set_title"] = rule_set_title
    environment.globals.update(
        asset=assets.address,
        proof_asked=wording.proof_asked if asks_for_proof else lambda state: "",
        caution=CAUTION,
        calculation_version=CALCULATION_VERSION,
        detail_figure=detail_figure,
        answer_figures=ANSWER_FIGURES,
        age=lambda text: wording.age(text, datetime.now(UTC)),
        ago=lambda text: wording.ago(text, datetime.now(UTC)),
    )
    return environment


def figures_for(system: UnitSystem) -> dict[str, Any]:
    """`fig` with its unit and `num` without, in one system of units."""
    return {"system": system, "fig": partial(_figure, system), "num": partial(_number, system)}


def _figure(system: UnitSystem, value: float | None, quantity: Any) -> str:
    return figure(value, quantity, system)


def _number(system: UnitSystem, value: float | None, quantity: Any) -> str:
    return number(value, quantity, system)


def detail_figure(detail: CriterionDetail) -> str:
    """An intermediate value with its unit."""
    value = detail["value"]
    if isinstance(value, str):
        return words(value)
    shown = {"m2": "m²", "ft2": "ft²", "t/m3": "t/m³", "LT/ft2": "LT/ft²"}.get(detail["unit"], detail["unit"])
    return figure_in(value, shown)
