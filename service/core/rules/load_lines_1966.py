"""International Convention on Load Lines, 1966: the mark that may not be submerged (article 12, regulations 6 and 40).

The draft amidships, and that of the lower side as she lies, are compared with that of the mark in force, deepened by
the dock water allowance where the water is lighter than salt water. A mark is never assumed: where the condition
names none, she meets them all, or none, or the answer is open.
"""

from math import radians, tan
from typing import NamedTuple

from ..situation import Situation
from .limit import (
    AT_MOST,
    FAIL,
    NOT_COMPUTABLE,
    PASS,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
)

_DOCUMENT = "International Convention on Load Lines, 1966"
DRAFT = Limit(
    "load-lines-draft",
    "article 12",
    "Draft amidships against the load line mark in force",
    "draft",
    AT_MOST,
    None,
    "m",
    f"{_DOCUMENT}, article 12, regulations 6 and 40",
    "draft_midship",
    from_memory="that the mark is not to be submerged (article 12) is recalled, the text was not read",
)
LOW_SIDE = Limit(
    "load-lines-low-side",
    "article 12",
    "Draft amidships on the lower side against the load line mark in force",
    "draft",
    AT_MOST,
    None,
    "m",
    f"{_DOCUMENT}, article 12: the marks on the sides of the ship are not submerged (value from memory)",
    "draft_low_side",
    from_memory="that the marks on both sides count (article 12) is recalled, the text was not read",
)
NO_MARK = Ruling(NOT_COMPUTABLE, "name the mark in force: she is over some of her marks and under others")
NO_DRAFT = Ruling(NOT_COMPUTABLE, "the booklet gives no draft for this load line mark")


class LoadLineCheck(NamedTuple):
    """What is held against the mark: moulded draft amidships with the deflection, that of the lower side as she lies
    (None: list unknown), m; the mark in force (None: not named), and the least and the greatest draft in m that it, or
    all her ordinary marks, permit in this water (None: unknown)."""

    midship: float
    low_side: float | None
    mark: str | None
    least: float | None
    greatest: float | None


def load_line_check(ship: Situation) -> LoadLineCheck | None:
    """None where her drafts are not known, or her booklet gives no mark.

    Source: International Convention on Load Lines 1966, article 12 (both sides: value from memory)."""
    line, condition = ship.vessel.load_line, ship.condition
    if ship.flotation is None or line is None:
        return None
    midship, angle = ship.flotation.draft_midship + condition.deflection, ship.rest.list_angle
    low_side = None
    if angle is not None and abs(angle) < 90.0:
        low_side = midship + 0.5 * ship.vessel.particulars.breadth * tan(radians(abs(angle)))
    marks = line.ordinary if condition.load_line_mark is None else (condition.load_line_mark,)
    drafts = [line.permitted(mark, condition.water_density) for mark in marks]
    known = [draft for draft in drafts if draft is not None]
    least, greatest = min(known, default=None), max(known, default=None)
    return LoadLineCheck(midship, low_side, condition.load_line_mark, least, greatest)


def evaluate(ship: Situation) -> list[Criterion]:
    """Moulded draft amidships, the mean of the sides and that of the lower side, against the permitted one, m.

    Source: International Convention on Load Lines 1966, article 12."""
    check = load_line_check(ship)
    if check is None:
        unless = without(ship, "flotation") or NO_DRAFT
        return [judge(row, None, unless=unless) for row in (DRAFT, LOW_SIDE)]
    details = (
        Intermediate("mark", "mark in force", "", check.mark or "not named"),
        Intermediate("water_density", "water density", "t/m3", ship.condition.water_density),
        Intermediate("deflection", "deflection, positive sagging", "m", ship.condition.deflection),
        *_marks(ship, check),
    )
    return [
        _row(DRAFT, ship, check.midship, check, details),
        _row(LOW_SIDE, ship, check.low_side, check, details),
    ]


def _row(
    row: Limit, ship: Situation, draft: float | None, check: LoadLineCheck, details: tuple[Intermediate, ...]
) -> Criterion:
    least, greatest = check.least, check.greatest
    if least is None or greatest is None:
        return judge(row, draft, unless=NO_DRAFT, details=details)
    if draft is None:
        unless = without(ship, "list") or Ruling(NOT_COMPUTABLE, "her list is not known")
        return judge(row, None, least, unless=unless, details=details)
    if check.mark is not None:
        return judge(row, draft, least, details=details)
    if judge(row, draft, least).verdict == PASS:
        return judge(row, draft, least, unless=Ruling(PASS, "under every mark she has"), details=details)
    if judge(row, draft, greatest).verdict == FAIL:
        return judge(row, draft, greatest, unless=Ruling(FAIL, "over every mark she has"), details=details)
    return judge(row, draft, unless=NO_MARK, details=details)


def _marks(ship: Situation, check: LoadLineCheck) -> list[Intermediate]:
    """What each ordinary mark permits in this water, where none is named."""
    line = ship.vessel.load_line
    if check.mark is not None or line is None:
        return []
    density = ship.condition.water_density
    return [
        Intermediate(f"permitted/{mark}", f"permitted by mark {mark}", "m", line.permitted(mark, density))
        for mark in line.ordinary
    ]


def mass_to_line(ship: Situation, draft: float) -> float | None:
    """t that may still be loaded until the draft amidships is `draft` (m), at the trim, density and deflection she has:
    negative where it is exceeded; None off her tables. Source: definition."""
    if ship.flotation is None:
        return None
    tables, midship = ship.vessel.hydrostatics, draft - ship.condition.deflection
    displacement = tables.displacement_at(midship, ship.flotation.trim, ship.vessel.particulars.length_bp)
    if displacement is None:
        return None
    return displacement * (ship.condition.water_density / tables.density) - ship.displacement.mass


RULE_SET = RuleSet(
    "load-lines",
    "Load line mark not submerged",
    _DOCUMENT,
    "as amended by the 1988 Protocol",
    (DRAFT, LOW_SIDE),
    evaluate_upright=evaluate,
    binds=lambda vessel, condition: bool(vessel.load_line_drafts),
    judges_stability=False,
)
