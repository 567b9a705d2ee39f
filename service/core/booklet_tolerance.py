"""How far a computed figure may lie from the one a booklet prints, before they contradict each other.

Rows of MSC.1/Circ.1229 (table of tolerances, as amended by MSC.1/Circ.1461) and of IACS UR L5 Rev.4: a percentage of
the printed figure, which counts as long as it does not exceed the linear value. Longitudinal percentages are of the
distance from the aft perpendicular, transverse ones of the breadth. Four rows are ours, and say so.
"""

from math import inf
from typing import Literal, NamedTuple

CIRC_1229 = "MSC.1/Circ.1229 table 1 (MSC.1/Circ.1461 5.1); IACS UR L5 Rev.4"
UR_L5 = "IACS UR L5 Rev.4"
OURS = "common practice, no source"

Base = Literal["figure", "breadth", "greatest_lever"]


class Tolerance(NamedTuple):
    """What one figure may differ by: percent of its base (None: no such limit), and a linear value in m, degrees or
    m.rad (None: no such limit). `greater`: the greater of the two counts instead of the lesser."""

    figure: str
    percent: float | None
    linear: float | None
    source: str
    base: Base = "figure"
    greater: bool = False

    def allowed(self, printed: float, breadth: float, greatest_lever: float = 0.0) -> float:
        """How far from `printed` (core units; lengths from the aft perpendicular) a figure may lie.

        Source: MSC.1/Circ.1461 5.1 (the percentage counts as long as it does not exceed the linear value)."""
        base = {"figure": abs(printed), "breadth": breadth, "greatest_lever": greatest_lever}[self.base]
        by_percent = inf if self.percent is None else self.percent / 100.0 * base
        linear = inf if self.linear is None else self.linear
        if self.greater:
            return max(limit for limit in (by_percent, linear) if limit != inf)
        return min(by_percent, linear)


_ROWS = (
    # hull form
    Tolerance("displacement", 2.0, None, CIRC_1229),
    Tolerance("lcb", 1.0, 0.50, CIRC_1229),
    Tolerance("lcf", 1.0, 0.50, CIRC_1229),
    Tolerance("mctc", 2.0, None, CIRC_1229),
    Tolerance("km", 1.0, 0.05, CIRC_1229),
    Tolerance("tpc", 2.0, None, OURS),
    # tanks, and what is made of them
    Tolerance("deadweight", 2.0, None, CIRC_1229),
    Tolerance("lcg", 1.0, 0.50, CIRC_1229),
    Tolerance("vcg", 1.0, 0.05, CIRC_1229),
    Tolerance("tcg", 0.5, 0.05, CIRC_1229, base="breadth"),
    Tolerance("free_surface_moment", 2.0, None, CIRC_1229),
    # trim and stability
    Tolerance("draft", 1.0, 0.05, UR_L5),
    Tolerance("trim", None, 0.05, OURS),
    Tolerance("gm", 1.0, 0.05, UR_L5),
    Tolerance("free_surface_correction", 2.0, None, UR_L5),
    Tolerance("list", None, 1.0, UR_L5),
    Tolerance("lever", 5.0, 0.05, UR_L5),
    Tolerance("lever_near_zero", 5.0, 0.05, UR_L5, base="greatest_lever"),
    Tolerance("angle_of_maximum", None, 2.0, OURS),
    Tolerance("vanishing_angle", None, 2.0, OURS),
    Tolerance("down_flooding_angle", None, 2.0, UR_L5),
    Tolerance("area", 5.0, 0.0012, UR_L5, greater=True),
)
TOLERANCES: dict[str, Tolerance] = {row.figure: row for row in _ROWS}
LEAST_CONDITIONS = 4
"""Printed conditions that a proof needs. Source: IACS UR L5 (value from memory); IACS Rec.48 2.1.2."""
