"""What is worth saying about the mark in force and the water she lies in, beside the verdict."""

from .finding import CAUTION, INFO, Finding
from .load_line import SALT_WATER, LoadLine
from .load_line_figures import SAME, permitted_exactly
from .situation import Situation


def load_line_findings(ship: Situation) -> list[Finding]:
    """What is worth saying of the mark in force and the water. Source: common practice, no source."""
    condition, line = ship.condition, ship.vessel.load_line
    if line is None or condition.inland:
        return []
    findings = []
    mark, density = condition.load_line_mark, condition.water_density
    if mark in line.worked_out:
        words = f"her booklet does not give mark {mark}: it is worked out from the summer draft"
        findings.append(Finding("mark_draft_worked_out", INFO, ("load_line_mark",), words))
    if density > SALT_WATER + SAME:
        words = "the water is heavier than salt water: her marks permit no less draft for it"
        findings.append(Finding("water_heavier_than_salt", INFO, ("water_density",), words))
    if mark is not None and density < SALT_WATER - SAME and _methods_disagree(ship, line, mark):
        words = (
            "the draft permitted in this water in proportion to its density, and that of the same displacement, lie on "
            "either side of hers"
        )
        findings.append(Finding("exact_and_linear_disagree", CAUTION, ("dock_water",), words))
    return findings


def _methods_disagree(ship: Situation, line: LoadLine, mark: str) -> bool:
    """Whether a mark is met by one way to deepen it in lighter water and not by the other."""
    if ship.flotation is None:
        return False
    draft = ship.flotation.draft_midship + ship.condition.deflection - SAME
    linear, exactly = line.permitted(mark, ship.condition.water_density), permitted_exactly(ship, line, mark)
    return linear is not None and exactly is not None and (draft > linear) is not (draft > exactly)
