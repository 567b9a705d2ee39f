"""Load line marks, and the draft each permits in the water she lies in.

Marks the booklet does not give are worked out from the summer draft by regulation 40 (values from memory, but for T
and F), timber marks from the summer timber draft (46 CFR 42.25-20). Source: International Convention on Load Lines,
1966, article 12, regulations 6 and 40.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from .hydrostatics import Hydrostatics
from .interpolation import held, interpolated

SALT_WATER = 1.025
FRESH = {"F": "S", "TF": "T", "LF": "LS", "LTF": "LT"}
"""Each fresh water mark and the salt water mark it belongs to. Source: regulation 6."""
TIMBER = frozenset(("LS", "LT", "LW", "LWNA", "LF", "LTF"))
"""Marks for a timber deck cargo. Source: regulation 6."""
FROM_MEMORY = {
    "W": "winter draft a 48th less than the summer draft (value from memory)",
    "WNA": "50 mm below winter up to 100 m of length, of a winter mark from memory",
    "LWNA": "the ordinary mark WNA, itself worked out from memory",
}
"""What is recalled, not read, of the marks worked out here. T, F: read; LW, LT, LWNA = WNA: read in 46 CFR 42.25-20."""
LINEAR, EXACT = "linear", "exact"
"""Ways to deepen a mark in lighter water: in proportion to the density, or by the draft of the same displacement."""
SECANT_STEPS = 40
LONGEST_WITH_WNA = 100.0
"""m: the mark WNA binds ships up to this length. Source: International Convention on Load Lines 1966, regulation 6."""


@dataclass(frozen=True)
class LoadLine:
    """Drafts of her marks (m, moulded, amidships), given and worked out, her fresh water allowance (m; None off her
    tables), the ordinary marks that bind her when none is named, and the marks that were worked out."""

    drafts: Mapping[str, float]
    allowance: float | None
    ordinary: tuple[str, ...]
    worked_out: frozenset[str] = frozenset()

    @classmethod
    def of(
        cls,
        drafts: Mapping[str, float] | None,
        length: float,
        hydrostatics: Hydrostatics,
        allowance: float | None = None,
    ) -> "LoadLine | None":
        """Work out what the booklet does not give for a ship of a rule length (m); `allowance` is the fresh water
        allowance (m) of her certificate. None without any mark.

        Source: International Convention on Load Lines 1966, regulation 40; timber marks: 46 CFR 42.25-20."""
        if not drafts:
            return None
        if allowance is None and "S" in drafts:
            allowance = fresh_water_allowance(drafts["S"], hydrostatics)
        ordinary = ("T", "S", "W", *(("WNA",) if length <= LONGEST_WITH_WNA else ()))
        worked_out = _worked_out(drafts, length, allowance, hydrostatics)
        found = frozenset(worked_out) - frozenset(drafts)
        return cls({**worked_out, **drafts}, allowance, ordinary, found)

    def permitted(self, mark: str, water_density: float) -> float | None:
        """Moulded draft amidships that a mark permits in water of a density (t/m3), m; None where unknown.

        Dock water allowance = FWA (1.025 - density) / 0.025. Source: Derrett and Barrass, Ship Stability, chapter
        on densities; regulation 40(7)."""
        salt = self.drafts.get(FRESH.get(mark, mark))
        if salt is None:
            return None
        lightness = min(max((SALT_WATER - water_density) / (SALT_WATER - 1.0), 0.0), 1.0)
        if mark in FRESH and mark in self.drafts:
            return salt + (self.drafts[mark] - salt) * lightness
        if lightness == 0.0:
            return salt
        return None if self.allowance is None else salt + self.allowance * lightness

    def permitted_exactly(
        self, mark: str, water_density: float, hydrostatics: Hydrostatics, trim: float, length_bp: float
    ) -> float | None:
        """Moulded draft amidships (m) at which she has the displacement of the mark in salt water, in water of a
        density (t/m3), at a trim (m by the stern); never less than the mark. None where unknown or off her tables.

        Source: definition (a displacement is a mass)."""
        salt = self.drafts.get(FRESH.get(mark, mark))
        if salt is None:
            return None
        if water_density >= SALT_WATER:
            return salt
        at_mark = hydrostatics.displacement_at(salt, trim, length_bp)
        if at_mark is None:
            return None
        return draft_carrying(hydrostatics, at_mark * (SALT_WATER / water_density), trim, length_bp)


def fresh_water_allowance(summer: float, hydrostatics: Hydrostatics) -> float | None:
    """m: displacement / (40 TPC) cm at the summer draft (m) in salt water; None off the table.

    Source: International Convention on Load Lines 1966, regulation 40(7)."""
    table = hydrostatics.nearest_to_even_keel
    draft = [row.draft for row in table.rows]
    # both in the water of the table: their ratio is the same in salt water
    displacement = interpolated(draft, table.displacement, summer)
    if displacement is None:
        return None
    return displacement / (40.0 * held(draft, [row.tpc for row in table.rows], summer)) / 100.0


def _worked_out(
    given: Mapping[str, float], length: float, allowance: float | None, hydrostatics: Hydrostatics
) -> dict[str, float]:
    if "S" not in given:
        return {}
    summer = given["S"]
    winter = given.get("W", summer - summer / 48.0)
    marks = {
        "T": summer + summer / 48.0,
        "W": winter,
        "WNA": winter - (0.05 if length <= LONGEST_WITH_WNA else 0.0),
    }
    if allowance is not None:
        marks["F"] = summer + allowance
    if "F" in given or allowance is not None:
        marks["TF"] = given.get("T", marks["T"]) + given.get("F", marks.get("F", summer)) - summer
    if "LS" in given:
        marks |= _timber({**marks, **given}, hydrostatics)
    return marks


def _timber(known: Mapping[str, float], hydrostatics: Hydrostatics) -> dict[str, float]:
    """Timber marks from the summer timber draft and the ordinary marks."""
    summer = known["LS"]
    marks = {"LW": summer - summer / 36.0, "LT": summer + summer / 48.0, "LWNA": known["WNA"]}
    allowance = fresh_water_allowance(summer, hydrostatics)
    if "LF" not in known and allowance is not None:
        marks["LF"] = summer + allowance
    fresh = known.get("LF", marks.get("LF"))
    if fresh is not None:
        marks["LTF"] = known.get("LT", marks["LT"]) + fresh - summer
    return marks


def draft_carrying(
    hydrostatics: Hydrostatics, displacement: float, trim: float, length_bp: float
) -> float | None:
    """Draft amidships (m) at which her tables have a displacement (t, in their water) at a trim (m by the stern);
    None off the tables. It undoes `Hydrostatics.displacement_at`. Source: definition of linear interpolation."""
    row = hydrostatics.at(displacement, trim)
    draft = hydrostatics.draft_at_lcf(row, trim, length_bp) + trim * (row.lcf / length_bp - 0.5)
    table = hydrostatics.at_trim(trim, length_bp)
    for _ in range(SECANT_STEPS):  # none is needed at one tabulated trim, a few between several
        found = table.displacement(draft)
        if found is None:
            return None
        missing = displacement - found
        if abs(missing) <= 1e-12 * displacement:
            return draft
        draft += missing / (100.0 * row.tpc)
    return draft if abs(missing) <= 1e-9 * displacement else None
