"""Upright hydrostatics of a hull at a draft and trim.

Axes and signs as in `sections`: trim positive by the stern, draft moulded and amidships.  Pure volumes and
areas; masses are made where the booklet is written.  One unit of length throughout.
"""

from dataclasses import dataclass

from .hull import Hull
from .sections import Array, immersed, settled_level


@dataclass(frozen=True)
class Upright:
    """Hydrostatic properties at one draft amidships and one trim (lengths, areas, volumes in one unit).

    lcb, lcf from the aft perpendicular; vcb above the baseline; km = vcb + transverse BM, and
    kml = vcb + longitudinal BM.  The moments of the waterplane are taken over its projection on the base
    plane, so that km is exactly the slope of KN at zero heel for that trim.
    """

    draft: float
    trim: float
    volume: float
    lcb: float
    vcb: float
    lcf: float
    km: float
    kml: float
    waterplane_area: float
    waterplane_inertia: float

    @property
    def bml(self) -> float:
        """Longitudinal metacentric radius, about the centre of flotation."""
        return self.kml - self.vcb


def levels_along(hull: Hull, level: float, trim: float) -> Array:
    """Level of the waterplane at every section, (S,), for a level amidships and a trim by the stern.

    Source: definition.
    """
    return level - trim * (hull.sections.x / hull.length - 0.5)


def upright(hull: Hull, draft: float, trim: float = 0.0) -> Upright:
    """Hydrostatics at a moulded draft amidships and a trim (positive by the stern).

    Source: definition (integrals of immersed section areas and waterline breadths along the ship).
    """
    sections = hull.sections
    level = levels_along(hull, draft, trim)
    cut = immersed(sections, 0.0, level)
    volume = float(sections.weight @ cut.area)
    vcb = float(sections.weight @ (cut.moment_up + level * cut.area)) / volume
    area = float(sections.weight @ cut.width)
    lcf = float(sections.weight @ (cut.width * sections.x)) / area
    across = float(sections.weight @ cut.width_second)
    along = float(sections.weight @ (cut.width * (sections.x - lcf) ** 2))
    return Upright(
        draft=draft,
        trim=trim,
        volume=volume,
        lcb=float(sections.weight @ (cut.area * sections.x)) / volume,
        vcb=vcb,
        lcf=lcf,
        km=vcb + across / volume,
        kml=vcb + along / volume,
        waterplane_area=area,
        waterplane_inertia=across,
    )


def draft_at(hull: Hull, volume: float, trim: float = 0.0) -> float:
    """Draft amidships at which the upright hull at that trim displaces a volume.

    Raises ValueError when no draft gives it.  Source: definition.
    """
    return settled_level(hull.sections, volume, 0.0, levels_along(hull, 0.0, trim))
