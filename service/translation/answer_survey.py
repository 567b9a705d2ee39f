"""A draft survey as the wire shows it."""

from typing import Any

from service.core.draft_survey import DraftSurvey
from service.translation.units import Scale

Row = dict[str, Any]
LENGTHS = (
    "draft_forward",
    "draft_midship",
    "draft_aft",
    "apparent_trim",
    "trim",
    "deflection",
    "mean_draft",
)
MASSES = (
    "table_displacement",
    "first_trim_correction",
    "second_trim_correction",
    "list_correction",
    "density_correction",
    "displacement",
    "displacement_direct",
    "difference",
)


def survey_row(survey: DraftSurvey, s: Scale) -> Row:
    """The block `draft_survey`."""
    mass, lcg, centimetre = survey.difference, survey.unknown_lcg, survey.centimetre
    return {
        "method": survey.mean,
        **{name: _scaled(getattr(survey, name), s.length) for name in LENGTHS},
        **{name: _scaled(getattr(survey, name), s.mass) for name in MASSES},
        "unknown_weight": None if mass is None else {"mass": mass / s.mass, "lcg": _scaled(lcg, s.length)},
        "centimetre_is": None if centimetre is None else centimetre * s.per_immersion / s.mass,
        "not_computed": [
            {"figure": figure, "reason": f"{reason}."} for figure, reason in survey.gaps.items()
        ],
    }


def _scaled(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit
