"""Load line marks, and the draft each permits in the water she lies in.

Marks the booklet does not give are worked out from the summer draft by regulation 40 (values from memory, but for T and
F). Source: International Convention on Load Lines, 1966, article 12, regulations 6 and 40.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from .hydrostatics import Hydrostatics
from .interpolation import held, interpolated

SALT_WATER = 1.025
FRESH = {"F": "S", "TF": "T", "LF": "LS", "LTF": "LT"}
"""Each fresh water mark and the salt water mark it belongs to. Source: regulation 6."""
LONGEST_WITH_WNA = 100.0
"""m: the mark WNA binds ships up to this length. Source: International Convention on Load Lines 1966, regulation 6."""


@dataclass(frozen=True)
class LoadLine:
    """Drafts of her marks (m, moulded, amidships), given and worked out, her fresh water allowance (m; None off her
    tables), and the ordinary marks that bind her when none is named."""

    drafts: Mapping[str, float]
    allowance: float | None
    ordinary: tuple[str, ...]

    @classmethod
    def of(
        cls, drafts: Mapping[str, float] | None, length: float, hydrostatics: Hydrostatics
    ) -> "LoadLine | None":
        """Work out what the booklet does not give for a ship of a rule length (m); None without any mark.

        Source: International Convention on Load Lines 1966, regulation 40."""
        if not drafts:
            return None
        allowance = fresh_water_allowance(drafts["S"], hydrostatics) if "S" in drafts else None
        ordinary = ("T", "S", "W", *(("WNA",) if length <= LONGEST_WITH_WNA else ()))
        return cls({**_worked_out(drafts, length, allowance), **drafts}, allowance, ordinary)

    def permitted(self, mark: str, water_density: float) -> float | None:
        """Moulded draft amidships that a mark permits in water of a density (t/m3), m; None where unknown.

        Dock water allowance = FWA (1.025 - density) / 0.025. Source: Derrett and Barrass, Ship Stability, chapter on
        densities; regulation 40(7)."""
        salt = self.drafts.get(FRESH.get(mark, mark))
        if salt is None:
            return None
        lightness = min(max((SALT_WATER - water_density) / (SALT_WATER - 1.0), 0.0), 1.0)
        if mark in FRESH and mark in self.drafts:
            return salt + (self.drafts[mark] - salt) * lightness
        if lightness == 0.0:
            return salt
        return None if self.allowance is None else salt + self.allowance * lightness


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


def _worked_out(given: Mapping[str, float], length: float, allowance: float | None) -> dict[str, float]:
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
    return marks
