"""How she floats: displacement to draft, trim, and the drafts along her length."""

from dataclasses import dataclass

import numpy as np

from .errors import Refusals
from .frame import Floats
from .hydrostatics import COLUMNS, Hydrostatics
from .interpolation import outside, refuse

MOMENT_METHOD = "trim by moment about the LCF, from the even-keel hydrostatic table"
ITERATION_METHOD = "equilibrium by iteration over the trimmed hydrostatic tables"


@dataclass(frozen=True)
class Flotation:
    """Each field [N]: drafts and trim in m (moulded, trim positive by the stern), tpc in t/cm and mctc in t.m/cm
    at the density of the water she floats in; `residual` is the longitudinal lever (m) left unbalanced at the
    trim found, NaN for the moment method, which has none to show."""

    draft_at_lcf: Floats
    draft_forward: Floats
    draft_midship: Floats
    draft_aft: Floats
    trim: Floats
    km: Floats
    tpc: Floats
    mctc: Floats
    lcb: Floats
    lcf: Floats
    vcb: Floats
    tcb: Floats
    block_coefficient: Floats
    residual: Floats
    table_displacement: Floats
    length_bp: float
    method: str

    def draft_at(self, x: float) -> Floats:
        """Moulded draft [N] at a distance x (m) from the aft perpendicular. Source: definition of trim."""
        result: Floats = self.draft_aft - self.trim * (x / self.length_bp)
        return result


def float_on(
    hydrostatics: Hydrostatics,
    length_bp: float,
    displacement: Floats,
    lcg: Floats,
    vcg: Floats,
    water_density: Floats,
    refusals: Refusals,
) -> Flotation:
    """Drafts and trim of displacements [N] (t) with centres lcg, vcg [N] (m) in water of density [N] (t/m3).

    The table's displacement scales with density, as do TPC and MCTC. One tabulated trim: trim = displacement x
    (LCB - LCG) / (100 MCTC), about the LCF. Several: the trim at which G and B lie on one normal to the waterline,
    LCG - LCB(t) = (t / LBP)(VCG - VCB(t)). Refuses displacement or trim outside the tables.
    Source: Derrett and Barrass, Ship Stability for Masters and Mates, chapter on trim (moment method); definition
    of equilibrium (iteration).
    """
    equivalent = displacement * (hydrostatics.density / water_density)
    if len(hydrostatics.tables) == 1:
        hydrostatics.refuse_outside(refusals, 0, equivalent, hydrostatics.stack.off(equivalent)[0])
        columns = hydrostatics.stack.at_all(equivalent)[0]
        given = np.full_like(equivalent, hydrostatics.tables[0].trim)
        by = dict(zip(COLUMNS, columns.T))
        trim = given + equivalent * (by["lcb"] - lcg) / (100.0 * by["mctc"])
        residual, method = np.full_like(trim, np.nan), MOMENT_METHOD
    else:
        trim, columns, residual = _iterate(hydrostatics, length_bp, equivalent, lcg, vcg, refusals)
        given, by = trim, dict(zip(COLUMNS, columns.T))
        method = ITERATION_METHOD
    lcf_part = by["lcf"] / length_bp
    draft_at_lcf = by["draft"] + (given * (0.5 - lcf_part) if hydrostatics.midship_draft else 0.0)
    aft = draft_at_lcf + trim * lcf_part
    scale = water_density / hydrostatics.density
    return Flotation(
        draft_at_lcf=draft_at_lcf,
        draft_forward=aft - trim,
        draft_midship=aft - 0.5 * trim,
        draft_aft=aft,
        trim=trim,
        km=by["km"],
        tpc=by["tpc"] * scale,
        mctc=by["mctc"] * scale,
        lcb=by["lcb"],
        lcf=by["lcf"],
        vcb=by["vcb"],
        tcb=np.where(np.isnan(by["tcb"]), 0.0, by["tcb"]),
        block_coefficient=by["block_coefficient"],
        residual=residual,
        table_displacement=equivalent,
        length_bp=length_bp,
        method=method,
    )


def _iterate(
    hydrostatics: Hydrostatics,
    length_bp: float,
    displacement: Floats,
    lcg: Floats,
    vcg: Floats,
    refusals: Refusals,
) -> tuple[Floats, Floats, Floats]:
    """Trim [N], columns [N, C] blended linearly between the tabulated trims, and the residual lever [N]."""
    trims = hydrostatics.trims
    tables = hydrostatics.stack.at_all(displacement)
    lcb, vcb = tables[:, :, COLUMNS.index("lcb")], tables[:, :, COLUMNS.index("vcb")]
    vcb = np.where(np.isnan(vcb), vcg, vcb)  # without VCB the inclination of the normal is neglected
    lever = lcg - lcb - (trims[:, None] / length_bp) * (vcg - vcb)
    below = np.minimum(np.maximum((lever <= 0.0).sum(axis=0) - 1, 0), len(trims) - 2)
    every = np.arange(len(displacement))
    first, second = below, below + 1
    t0, dt = trims[first], trims[second] - trims[first]
    b0, db = lcb[first, every], lcb[second, every] - lcb[first, every]
    v0, dv = vcb[first, every], vcb[second, every] - vcb[first, every]
    part = lever[first, every] / (lever[first, every] - lever[second, every])
    for _ in range(3):  # Newton on a nearly straight line: three steps leave rounding only
        trim = t0 + part * dt
        arm = vcg - v0 - part * dv
        left = lcg - b0 - part * db - trim / length_bp * arm
        part = part - left / (-db - (dt * arm - trim * dv) / length_bp)
    trim = t0 + part * dt
    residual = lcg - b0 - part * db - trim / length_bp * (vcg - v0 - part * dv)
    low, high = float(trims[0]), float(trims[-1])
    refuse(refusals, outside(trim, low, high), "trim", trim, low, high, "length")
    off = hydrostatics.stack.off(displacement)
    for k in range(len(trims)):
        hydrostatics.refuse_outside(refusals, k, displacement, off[k] & ((first == k) | (second == k)))
    part = np.minimum(np.maximum(part, 0.0), 1.0)[:, None]
    columns = tables[first, every] * (1.0 - part) + tables[second, every] * part
    return trim, columns, residual
