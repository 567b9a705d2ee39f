"""Moulded drafts at the load line marks of a demonstration ship."""

from math import floor

from service.core.hull.hull import Hull
from service.core.hull.hydrostatics import upright

from .printing import Row, rounded


def marks(hull: Hull, summer_draft: float, winter_north_atlantic: float) -> Row:
    """Drafts at the marks, rounded down to a thousandth of the unit of length.

    Tropical and winter are a forty-eighth of the summer draft from summer; fresh water lies higher by
    displacement / (40 * mass per unit of draft), here V / (40 * waterplane area); Winter North Atlantic is
    `winter_north_atlantic` (50 mm, 2 inches) below winter in a ship of 100 m or less.
    Source: ICLL 1966, Annex I, regulation 40 (value from memory).
    """
    row = upright(hull, summer_draft)
    fresh = row.volume / (40.0 * row.waterplane_area)
    season = summer_draft / 48.0
    drafts = {
        "S": summer_draft,
        "T": summer_draft + season,
        "F": summer_draft + fresh,
        "TF": summer_draft + season + fresh,
        "W": summer_draft - season,
        "WNA": summer_draft - season - winter_north_atlantic,
    }
    return {mark: rounded(floor(draft * 1000.0 + 1e-6) / 1000.0, 3) for mark, draft in drafts.items()}
