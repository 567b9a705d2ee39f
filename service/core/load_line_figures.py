"""Her draft against the load line in force: what each mark permits here, and how much is left in draft and in mass."""

from math import radians, tan
from typing import NamedTuple

from .hydrostatics import AtTrim
from .load_line import EXACT, FROM_MEMORY, LoadLine
from .situation import Situation

SAME = 1e-9
"""Degrees of list, m of draft and t/m3 within which two figures are the same: rounding."""


class LoadLineCheck(NamedTuple):
    """What is held against the mark: moulded draft amidships with the deflection, that of the lower side as she
    lies (None: list unknown), m; the mark in force (None: not named), and the least and the greatest draft in m
    that it, or all her ordinary marks, permit in this water (None: unknown)."""

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
    drafts = [permitted(ship, mark) for mark in marks]
    known = [draft for draft in drafts if draft is not None]
    least, greatest = min(known, default=None), max(known, default=None)
    return LoadLineCheck(midship, low_side, condition.load_line_mark, least, greatest)


def permitted(ship: Situation, mark: str) -> float | None:
    """Draft (m) amidships that a mark permits in the water she lies in, by the method of the condition.

    Source: International Convention on Load Lines 1966, article 12 (in proportion to the density)."""
    line, condition, flotation = ship.vessel.load_line, ship.condition, ship.flotation
    if line is None or flotation is None:
        return None
    density = condition.water_density
    if condition.dock_water != EXACT:
        return line.permitted(mark, density)
    tables, length = ship.vessel.hydrostatics, ship.vessel.particulars.length_bp
    return line.permitted_exactly(mark, density, tables, flotation.trim, length)


def _at_her_trim(ship: Situation) -> AtTrim | None:
    """Her displacement by draft at the trim she has."""
    if ship.flotation is None:
        return None
    return ship.vessel.hydrostatics.at_trim(ship.flotation.trim, ship.vessel.particulars.length_bp)


def mass_to_line(ship: Situation, draft: float) -> float | None:
    """t that may still be loaded until the draft amidships is `draft` (m), at the trim, density and deflection she
    has: negative where it is exceeded; None off her tables. Source: definition."""
    if ship.flotation is None:
        return None
    tables, midship = ship.vessel.hydrostatics, draft - ship.condition.deflection
    at_trim = ship.once(_at_her_trim)
    displacement = None if at_trim is None else at_trim.displacement(midship)
    if displacement is None:
        return None
    return displacement * (ship.condition.water_density / tables.density) - ship.displacement.mass


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
    check, line, condition = ship.once(load_line_check), ship.vessel.load_line, ship.condition
    if check is None or line is None:
        return None
    limit = check.least
    if check.mark is None:
        limit = _where_all_agree(check.midship, check.least, check.greatest)
    exactly = None if check.mark is None else permitted_exactly(ship, line, check.mark)
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


def permitted_exactly(ship: Situation, line: LoadLine, mark: str) -> float | None:
    """Draft (m) amidships of the displacement of a mark, in the water she lies in. Source: see `LoadLine`."""
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
