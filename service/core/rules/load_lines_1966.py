"""International Convention on Load Lines, 1966: the mark that may not be submerged (article 12, regulations 6 and 40).

The draft amidships is compared with that of the mark in force, deepened by the dock water allowance where the water
is lighter than salt water. Marks the booklet does not give are worked out from the summer draft by regulation 40
(values from memory, but for T and F).
"""

from ..interpolation import held, interpolated
from ..situation import Situation
from .limit import AT_MOST, NOT_COMPUTABLE, Criterion, Detail, Limit, RuleSet, Ruling, judge

SALT_WATER = 1.025
FRESH = {"F": "S", "TF": "T", "LF": "LS", "LTF": "LT"}
"""Each fresh water mark and the salt water mark it belongs to. Source: regulation 6."""

DRAFT = Limit(
    "load-lines-draft",
    "article 12",
    "Draft amidships against the load line mark in force",
    "draft",
    AT_MOST,
    None,
    "m",
    "International Convention on Load Lines, 1966, article 12, regulations 6 and 40",
    "draft_midship",
)


def evaluate(ship: Situation) -> list[Criterion]:
    """Moulded draft amidships and the permitted one, m; the mark is S unless the condition names another.

    Source: International Convention on Load Lines 1966, article 12."""
    permitted, mark = permitted_draft(ship)
    missing = Ruling(NOT_COMPUTABLE, "the booklet gives no draft for this load line mark")
    details = (
        Detail("mark", "mark in force", "", mark),
        Detail("water_density", "water density", "t/m3", ship.condition.water_density),
    )
    unless = missing if permitted is None else None
    return [judge(DRAFT, ship.flotation.draft_midship, permitted, unless=unless, details=details)]


def permitted_draft(ship: Situation) -> tuple[float | None, str]:
    """Permitted moulded draft amidships (m; None where unknown) and the mark in force.

    Dock water allowance = FWA (1.025 - density) / 0.025, FWA = displacement / (4 TPC) mm at the summer draft.
    Source: Derrett and Barrass, Ship Stability, chapter on densities; regulation 40(7).
    """
    drafts, mark = _marks(ship), ship.condition.load_line_mark or "S"
    salt = drafts.get(FRESH.get(mark, mark))
    if salt is None:
        return None, mark
    lightness = min(max((SALT_WATER - ship.condition.water_density) / (SALT_WATER - 1.0), 0.0), 1.0)
    if mark in FRESH and mark in drafts:
        return salt + (drafts[mark] - salt) * lightness, mark
    if lightness == 0.0:
        return salt, mark
    allowance = fresh_water_allowance(ship)
    return (None if allowance is None else salt + allowance * lightness), mark


def fresh_water_allowance(ship: Situation) -> float | None:
    """m: displacement / (40 TPC) cm at the summer draft in salt water; None off the table.

    Source: International Convention on Load Lines 1966, regulation 40(7)."""
    drafts = ship.vessel.load_line_drafts
    if not drafts or "S" not in drafts:
        return None
    table = ship.vessel.hydrostatics.nearest_to_even_keel
    draft = [row.draft for row in table.rows]
    # both in the water of the table: their ratio is the same in salt water
    displacement = interpolated(draft, table.displacement, drafts["S"])
    if displacement is None:
        return None
    return displacement / (40.0 * held(draft, [row.tpc for row in table.rows], drafts["S"])) / 100.0


def _marks(ship: Situation) -> dict[str, float]:
    given = dict(ship.vessel.load_line_drafts or {})
    if "S" not in given:
        return given
    summer, length = given["S"], ship.vessel.particulars.rule_length
    winter = given.get("W", summer - summer / 48.0)
    worked_out = {
        "T": summer + summer / 48.0,
        "W": winter,
        "WNA": winter - (0.05 if length <= 100.0 else 0.0),
    }
    allowance = fresh_water_allowance(ship)
    if allowance is not None:
        worked_out["F"] = summer + allowance
    if "F" in given or allowance is not None:
        fresh = given.get("F", worked_out.get("F", summer))
        worked_out["TF"] = given.get("T", worked_out["T"]) + fresh - summer
    return {**worked_out, **given}


RULE_SET = RuleSet(
    "load-lines",
    "Load line mark not submerged",
    "International Convention on Load Lines, 1966",
    "as amended by the 1988 Protocol",
    (DRAFT,),
    evaluate_upright=evaluate,
)
