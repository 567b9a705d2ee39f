"""International Convention on Load Lines, 1966: the mark that may not be submerged (article 12, regulations 6 and 40).

The draft amidships is compared with that of the mark in force, deepened by the dock water allowance where the water
is lighter than salt water. Marks the booklet does not give are worked out from the summer draft by regulation 40
(values from memory, but for T and F).
"""

import numpy as np

from ..frame import Floats
from ..hydrostatics import COLUMNS
from ..situation import Situation
from .limit import AT_MOST, NOT_COMPUTABLE, Cause, Criterion, Detail, Limit, RuleSet, judge

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
)


def evaluate(situation: Situation) -> list[Criterion]:
    """Moulded draft amidships and the permitted one, m, N conditions; the mark is S unless the condition names
    another. Source: International Convention on Load Lines 1966, article 12."""
    permitted, marks = permitted_draft(situation)
    causes = [
        Cause(np.isnan(permitted), NOT_COMPUTABLE, "the booklet gives no draft for this load line mark")
    ]
    details = [
        Detail("mark in force", "", marks),
        Detail("water density", "t/m3", situation.batch.water_density),
    ]
    return [judge(DRAFT, situation.flotation.draft_midship, permitted, causes, details)]


def permitted_draft(situation: Situation) -> tuple[Floats, list[str | None]]:
    """Permitted moulded draft amidships [N] (m; NaN where unknown) and the mark [N] in force.

    Dock water allowance = FWA (1.025 - density) / 0.025, FWA = displacement / (4 TPC) mm at the summer draft.
    Source: Derrett and Barrass, Ship Stability, chapter on densities; regulation 40(7).
    """
    drafts = _marks(situation)
    allowance = fresh_water_allowance(situation)
    marks: list[str | None] = [c.load_line_mark or "S" for c in situation.batch.conditions]
    salt = np.array([drafts.get(FRESH.get(mark or "S", mark or "S"), np.nan) for mark in marks])
    fresh = np.array([drafts.get(mark or "", np.nan) if mark in FRESH else np.nan for mark in marks])
    lightness = np.clip((SALT_WATER - situation.batch.water_density) / (SALT_WATER - 1.0), 0.0, 1.0)
    permitted = np.where(lightness > 0.0, salt + allowance * lightness, salt)
    with_own_mark = salt + (fresh - salt) * lightness
    return np.where(np.isnan(fresh), permitted, with_own_mark), marks


def fresh_water_allowance(situation: Situation) -> float:
    """m: displacement / (40 TPC) cm at the summer draft in salt water; NaN off the table.

    Source: International Convention on Load Lines 1966, regulation 40(7)."""
    drafts = situation.vessel.load_line_drafts
    if not drafts or "S" not in drafts:
        return float("nan")
    tables = situation.vessel.hydrostatics
    nearest = tables.tables[int(np.argmin(np.abs(tables.trims)))]
    draft, tpc = (nearest.columns[:, COLUMNS.index(name)] for name in ("draft", "tpc"))
    # both in the water of the table: their ratio is the same in salt water
    displacement = np.interp(drafts["S"], draft, nearest.displacement, left=np.nan, right=np.nan)
    return float(displacement / (40.0 * np.interp(drafts["S"], draft, tpc)) / 100.0)


def _marks(situation: Situation) -> dict[str, float]:
    given = dict(situation.vessel.load_line_drafts or {})
    if "S" not in given:
        return given
    summer, length = given["S"], situation.vessel.particulars.rule_length
    winter = given.get("W", summer - summer / 48.0)
    worked_out = {
        "T": summer + summer / 48.0,
        "W": winter,
        "WNA": winter - (0.05 if length <= 100.0 else 0.0),
        "F": summer + fresh_water_allowance(situation),
    }
    worked_out["TF"] = given.get("T", worked_out["T"]) + given.get("F", worked_out["F"]) - summer
    return {**worked_out, **given}


RULE_SET = RuleSet(
    "load-lines",
    "Load line mark not submerged",
    "International Convention on Load Lines, 1966",
    "as amended by the 1988 Protocol",
    (DRAFT,),
    evaluate,
)
