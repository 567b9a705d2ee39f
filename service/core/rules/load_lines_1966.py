"""International Convention on Load Lines, 1966: the mark that may not be submerged (article 12, regulations 6 and
40).

The draft amidships, and that of the lower side as she lies, are compared with that of the mark in force, deepened
by the dock water allowance where the water is lighter than salt water. A mark is never assumed: where the condition
names none, she meets them all, or none, or the answer is open.
"""

from ..load_line import TIMBER
from ..load_line_figures import LoadLineCheck, load_line_check, permitted
from ..situation import Situation
from ..timber import alternative_applies
from .limit import (
    ALWAYS,
    AT_MOST,
    CONDITION,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    PASS,
    Criterion,
    Details,
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
INLAND = Ruling(
    NOT_APPLICABLE,
    "she is on inland waters, where she may be deeper by what is used between port and sea: article 12(3) (value from "
    "memory)",
    CONDITION,
)
NO_TIMBER = Ruling(
    NOT_COMPUTABLE,
    "a timber mark is named, and no timber deck cargo is said to be aboard, between superstructures, over the full "
    "breadth and secured: timber marks hold with such a cargo only (regulations 41 to 45, value from memory)",
)
NO_DRAFT = Ruling(NOT_COMPUTABLE, "the booklet gives no draft for this load line mark")


def evaluate(ship: Situation) -> list[Criterion]:
    """Moulded draft amidships, the mean of the sides and that of the lower side, against the permitted one, m.

    On inland waters the marks do not bind. Source: International Convention on Load Lines 1966, article 12 (its
    paragraph 3: value from memory)."""
    if ship.condition.inland:
        return [judge(row, None, unless=INLAND) for row in (DRAFT, LOW_SIDE)]
    check = ship.once(load_line_check)
    if check is None:
        unless = without(ship, "flotation") or NO_DRAFT
        return [judge(row, None, unless=unless) for row in (DRAFT, LOW_SIDE)]

    def details() -> tuple[Intermediate, ...]:
        return (
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
    row: Limit, ship: Situation, draft: float | None, check: LoadLineCheck, details: Details
) -> Criterion:
    least, greatest = check.least, check.greatest
    if least is None or greatest is None:
        return judge(row, draft, unless=NO_DRAFT, details=details)
    if draft is None:
        unless = without(ship, "list") or Ruling(NOT_COMPUTABLE, "her list is not known")
        return judge(row, None, least, unless=unless, details=details)
    if check.mark is not None:
        judged = judge(row, draft, least, details=details)
        if judged.verdict == PASS and check.mark in TIMBER and not _carries_timber(ship):
            return judge(row, draft, least, unless=NO_TIMBER, details=details)
        return judged
    if judge(row, draft, least).verdict == PASS:
        return judge(row, draft, least, unless=Ruling(PASS, "under every mark she has"), details=details)
    if judge(row, draft, greatest).verdict == FAIL:
        return judge(row, draft, greatest, unless=Ruling(FAIL, "over every mark she has"), details=details)
    return judge(row, draft, unless=NO_MARK, details=details)


def _carries_timber(ship: Situation) -> bool:
    return alternative_applies(ship.condition.timber_aboard)


def _marks(ship: Situation, check: LoadLineCheck) -> list[Intermediate]:
    """What each ordinary mark permits in this water, where none is named."""
    line = ship.vessel.load_line
    if check.mark is not None or line is None:
        return []
    return [
        Intermediate(f"permitted/{mark}", f"permitted by mark {mark}", "m", permitted(ship, mark))
        for mark in line.ordinary
    ]


RULE_SET = RuleSet(
    "load-lines",
    "Load line mark not submerged",
    _DOCUMENT,
    "as amended by the 1988 Protocol",
    (DRAFT, LOW_SIDE),
    evaluate_upright=evaluate,
    binds=lambda vessel, condition: bool(vessel.load_line_drafts),
    judges_stability=False,
    applies=ALWAYS,
)
