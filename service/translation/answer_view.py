"""What her drafts mean above and below water, as the wire shows it."""

from typing import Any

from service.core.assessment import Assessment as Assessed
from service.core.drafts import DraftFigures, draft_figures
from service.core.view import NOT_COVERED
from service.translation.answer_criteria import finite
from service.translation.units import Scale

Row = dict[str, Any]


def drafts_member(a: Assessed, s: Scale) -> Row:
    """The member `drafts` of an answer; nothing where they are not known."""
    found = draft_figures(a.situation)
    return {} if found is None else {"drafts": _drafts(found, s)}


def _drafts(found: DraftFigures, s: Scale) -> Row:
    length, hidden, ballast = s.length, found.hidden, found.ballast
    return {
        "draft_forward": found.flotation.draft_forward / length,
        "draft_aft": found.flotation.draft_aft / length,
        "draft_midship": found.flotation.draft_midship / length,
        "propeller_immersion": found.propeller_immersion,
        "air_draft": _scaled(found.air_draft, length),
        "air_draft_point": found.air_draft_point,
        "freeboard_least": _scaled(found.freeboard_least, length),
        "marpol_18": None
        if ballast is None
        else {"least_midship": ballast[0] / length, "most_trim": ballast[1] / length},
        "view": None
        if hidden is None
        else {
            "hidden": _scaled(finite(hidden.distance), length),
            "limit": _scaled(hidden.limit, length),
            "obstruction": hidden.obstruction,
            "eye_height": hidden.eye_height / length,
            "not_covered": list(NOT_COVERED),
        },
    }


def _scaled(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit
