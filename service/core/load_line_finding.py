"""What is worth saying about the mark in force and the water she lies in, beside the verdict."""

from .finding_kinds import Finding, finding
from .load_line import SALT_WATER, LoadLine
from .load_line_figures import SAME, permitted_exactly
from .situation import Situation

LONG = 100.0
"""m of length beyond which hogging and sagging are worth reading at her marks. Common practice, no source."""


def load_line_findings(ship: Situation) -> list[Finding]:
    """What is worth saying of the mark in force and the water. Source: common practice, no source."""
    condition, line = ship.condition, ship.vessel.load_line
    if line is None or condition.inland:
        return []
    findings = []
    if not condition.deflection_given and ship.vessel.particulars.rule_length > LONG:
        findings.append(finding("deflection_not_given", ("deflection",)))
    mark, density = condition.load_line_mark, condition.water_density
    if mark in line.worked_out:
        findings.append(finding("mark_draft_worked_out", ("load_line_mark",), mark=str(mark)))
    if density > SALT_WATER + SAME:
        findings.append(finding("water_heavier_than_salt", ("water_density",)))
    if mark is not None and density < SALT_WATER - SAME and _methods_disagree(ship, line, mark):
        findings.append(finding("exact_and_linear_disagree", ("dock_water",)))
    return findings


def _methods_disagree(ship: Situation, line: LoadLine, mark: str) -> bool:
    """Whether a mark is met by one way to deepen it in lighter water and not by the other."""
    if ship.flotation is None:
        return False
    draft = ship.flotation.draft_midship + ship.condition.deflection - SAME
    linear, exactly = line.permitted(mark, ship.condition.water_density), permitted_exactly(ship, line, mark)
    return linear is not None and exactly is not None and (draft > linear) is not (draft > exactly)
