"""What a load line has to say about a condition, beside the verdict: how much is left, in draft and in mass."""

from typing import NamedTuple

from .finding import CAUTION, INFO, Finding
from .load_line import FROM_MEMORY, SALT_WATER, LoadLine
from .rules.load_lines_1966 import load_line_check, mass_to_line, permitted
from .situation import Situation

SAME = 1e-9
"""Degrees of list, m of draft and t/m3 within which two figures are the same: rounding."""


class MarkFigures(NamedTuple):
    """One mark: its moulded draft (m), that which it permits in this water, and displacement and deadweight (t) at
    the latter at her trim; None where unknown. `from_memory` says what of it was recalled, not read."""

    mark: str
    draft: float
    permitted: float | None
    displacement: float | None
    deadweight: float | None
    worked_out: bool
    from_memory: str | None


class LoadLineFigures(NamedTuple):
    """Drafts in m, masses in t; None where unknown.

    `mark` None: the condition names none; then what is permitted is that of the row she is judged by, where all her
    marks agree. `draft_midship` holds the deflection. Margins: positive is to spare. `side`: +1 port, -1 starboard
    is the lower one, 0 neither."""

    mark: str | None
    method: str
    permitted: float | None
    permitted_exactly: float | None
    allowance: float | None
    draft_midship: float
    deflection: float
    draft_low_side: float | None
    side: int
    margin: float | None
    margin_exactly: float | None
    mass_to_line: float | None
    marks: tuple[MarkFigures, ...]


def load_line_figures(ship: Situation) -> LoadLineFigures | None:
    """None where her drafts are not known, or her booklet gives no mark.

    Source: International Convention on Load Lines 1966, article 12, regulations 6 and 40."""
    check, line, condition = load_line_check(ship), ship.vessel.load_line, ship.condition
    if check is None or line is None:
        return None
    limit = check.least
    if check.mark is None:
        limit = _where_all_agree(check.midship, check.least, check.greatest)
    exactly = None if check.mark is None else _exactly(ship, line, check.mark)
    angle = ship.rest.list_angle or 0.0
    return LoadLineFigures(
        mark=check.mark,
        method=condition.dock_water,
        permitted=limit,
        permitted_exactly=exactly,
        allowance=line.allowance,
        draft_midship=check.midship,
        deflection=condition.deflection,
        draft_low_side=check.low_side,
        side=0 if abs(angle) < SAME else 1 if angle > 0.0 else -1,
        margin=None if limit is None else limit - check.midship,
        margin_exactly=None if exactly is None else exactly - check.midship,
        mass_to_line=None if limit is None else mass_to_line(ship, limit),
        marks=tuple(_mark(ship, line, mark) for mark in line.drafts),
    )


def _where_all_agree(draft: float, least: float | None, greatest: float | None) -> float | None:
    """The least of her marks where she is under them all, the greatest where she is over them all."""
    if least is None or greatest is None:
        return None
    return least if draft <= least + SAME else greatest if draft > greatest + SAME else None


def _exactly(ship: Situation, line: LoadLine, mark: str) -> float | None:
    if ship.flotation is None:
        return None
    vessel, trim = ship.vessel, ship.flotation.trim
    density = ship.condition.water_density
    return line.permitted_exactly(mark, density, vessel.hydrostatics, trim, vessel.particulars.length_bp)


def _mark(ship: Situation, line: LoadLine, mark: str) -> MarkFigures:
    draft = permitted(ship, mark)
    left = None if draft is None else mass_to_line(ship, draft)
    displacement = None if left is None else left + ship.displacement.mass
    worked_out = mark in line.worked_out
    return MarkFigures(
        mark=mark,
        draft=line.drafts[mark],
        permitted=draft,
        displacement=displacement,
        deadweight=None if displacement is None else displacement - ship.vessel.lightship.mass,
        worked_out=worked_out,
        from_memory=FROM_MEMORY.get(mark) if worked_out else None,
    )


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
    linear, exactly = line.permitted(mark, ship.condition.water_density), _exactly(ship, line, mark)
    return linear is not None and exactly is not None and (draft > linear) is not (draft > exactly)
