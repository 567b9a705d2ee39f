"""How she floats: displacement to draft, trim, and the drafts along her length."""

from dataclasses import dataclass
from math import inf

from .errors import CoreError, OutsideTable
from .hydrostatics import Floating, Hydrostatics
from .interpolation import is_outside

MOMENT_METHOD = "trim by moment about the LCF, from the even-keel hydrostatic table"
ITERATION_METHOD = "equilibrium by iteration over the trimmed hydrostatic tables"
LARGEST_TRIM = 1e9
"""m, beyond which a trim is none: drafts made of it would be no numbers. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Flotation:
    """Drafts and trim in m (moulded, trim positive by the stern), tpc in t/cm and mctc in t.m/cm at the density of the
    water she floats in; `residual` is the longitudinal lever (m) left unbalanced at the trim found, None for the
    moment method, which has none to show."""

    draft_at_lcf: float
    draft_forward: float
    draft_midship: float
    draft_aft: float
    trim: float
    km: float
    tpc: float
    mctc: float
    lcb: float
    lcf: float
    vcb: float | None
    tcb: float
    block_coefficient: float | None
    residual: float | None
    length_bp: float
    method: str
    waterplane_area: float | None = None

    def draft_at(self, x: float) -> float:
        """Moulded draft at a distance x (m) from the aft perpendicular. Source: definition of trim."""
        return self.draft_aft - self.trim * (x / self.length_bp)


def float_on(
    hydrostatics: Hydrostatics,
    length_bp: float,
    displacement: float,
    lcg: float,
    vcg: float,
    water_density: float,
) -> Flotation:
    """Drafts and trim of a displacement (t) with its centre at lcg, vcg (m) in water of a density (t/m3).

    The table's displacement scales with density, as do TPC and MCTC. One tabulated trim: trim = displacement x
    (LCB - LCG) / (100 MCTC), about the LCF. Several: the trim at which G and B lie on one normal to the waterline,
    LCG - LCB(t) = (t / LBP)(VCG - VCB(t)). Raises OutsideTable for displacement or trim outside the tables, and
    CoreError where no trim balances her. Source: Derrett and Barrass, Ship Stability for Masters and Mates, chapter
    on trim (moment method); definition of equilibrium (iteration).
    """
    equivalent = displacement * (hydrostatics.density / water_density)
    if len(hydrostatics.tables) == 1:
        (table,) = hydrostatics.tables
        table.require(equivalent)
        row = table.at(equivalent)
        residual, method = None, MOMENT_METHOD
        trim = table.trim + equivalent * (row.lcb - lcg) / (100.0 * row.mctc)
        if not abs(trim) <= LARGEST_TRIM:
            raise CoreError("the moment to change trim is almost zero: there is no equilibrium trim")
    else:
        trim, row, residual = _equilibrium(hydrostatics, length_bp, equivalent, lcg, vcg)
        method = ITERATION_METHOD
    return floating(hydrostatics, length_bp, row, trim, water_density, residual, method)


def require_within_hull(flotation: Flotation, top: float | None) -> None:
    """Raise OutsideTable for a trim that an even-keel table cannot stand for: one end of her would be out of the water,
    or `top` (m, her depth or highest deck edge; None: not known) under it. Source: definition of trim."""
    draft, aft_part = flotation.draft_at_lcf, flotation.lcf / flotation.length_bp
    if flotation.method != MOMENT_METHOD or not 0.0 < aft_part < 1.0 or draft <= 0.0:
        return
    room = inf if top is None or top <= draft else top - draft
    low = -min(draft / aft_part, room / (1.0 - aft_part))
    high = min(room / aft_part, draft / (1.0 - aft_part))
    if is_outside(flotation.trim, low, high):
        raise OutsideTable("trim", flotation.trim, low, high, "length")


def floating(
    hydrostatics: Hydrostatics,
    length_bp: float,
    row: Floating,
    trim: float,
    water_density: float,
    residual: float | None,
    method: str,
) -> Flotation:
    """Drafts of a row of her tables at a trim (m by the stern) in water of a density (t/m3).

    Source: definition of trim."""
    draft_at_lcf = hydrostatics.draft_at_lcf(row, trim, length_bp)
    aft = draft_at_lcf + trim * (row.lcf / length_bp)
    scale = water_density / hydrostatics.density
    return Flotation(
        draft_at_lcf=draft_at_lcf,
        draft_forward=aft - trim,
        draft_midship=aft - 0.5 * trim,
        draft_aft=aft,
        trim=trim,
        km=row.km,
        tpc=row.tpc * scale,
        mctc=row.mctc * scale,
        lcb=row.lcb,
        lcf=row.lcf,
        vcb=row.vcb,
        tcb=row.tcb or 0.0,
        block_coefficient=row.block_coefficient,
        residual=residual,
        length_bp=length_bp,
        method=method,
        waterplane_area=row.waterplane_area,
    )


def _equilibrium(
    hydrostatics: Hydrostatics, length_bp: float, displacement: float, lcg: float, vcg: float
) -> tuple[float, Floating, float]:
    """Trim, the row blended linearly between the tabulated trims, and the residual lever."""
    tables, trims = hydrostatics.tables, hydrostatics.trims
    centres = [table.centre_of_buoyancy(displacement) for table in tables]
    # without VCB the inclination of the normal is neglected
    levers = [
        lcg - lcb - (0.0 if vcb is None else trim / length_bp * (vcg - vcb))
        for trim, (lcb, vcb) in zip(trims, centres)
    ]
    first = min(max(sum(lever <= 0.0 for lever in levers) - 1, 0), len(trims) - 2)
    second = first + 1
    t0, dt = trims[first], trims[second] - trims[first]
    (b0, v0), (b1, v1) = centres[first], centres[second]
    v0 = vcg if v0 is None else v0
    db, dv = b1 - b0, (vcg if v1 is None else v1) - v0

    def unbalanced(part: float) -> float:
        return lcg - b0 - part * db - (t0 + part * dt) / length_bp * (vcg - v0 - part * dv)

    try:
        part = levers[first] / (levers[first] - levers[second])
        for _ in range(3):  # Newton on a nearly straight line: three steps leave rounding only
            trim = t0 + part * dt
            part -= unbalanced(part) / (-db - (dt * (vcg - v0 - part * dv) - trim * dv) / length_bp)
    except ZeroDivisionError:
        words = "the centre of buoyancy does not move with trim in the hydrostatic tables: there is no equilibrium trim"
        raise CoreError(words) from None
    trim = t0 + part * dt
    if is_outside(trim, trims[0], trims[-1]):
        raise OutsideTable("trim", trim, trims[0], trims[-1], "length")
    tables[first].require(displacement)
    tables[second].require(displacement)
    held_part = min(max(part, 0.0), 1.0)
    row = tables[first].at(displacement).blended(tables[second].at(displacement), held_part)
    return trim, row, unbalanced(part)
