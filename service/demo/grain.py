"""Volumetric heeling moments of grain that shifts in a hold, as a booklet prints them.

Partly filled: the free surface settles at 25 degrees. Filled: the void under the hatch covers (150 mm) and that under
the deck before and abaft the hatch settle at 15 degrees; the latter is Vd deep when trimmed, and slopes away at 30
degrees from the lower edge of the hatch end beam when not. Athwartships only. Axes as in `hull`.
Source: International Grain Code (MSC.23(59)), Part B; depths of the voids from secondary publications.
"""

import numpy as np

from service.core.hull.sections import Array, Sections, immersed, quadrature, settled_level

from .printing import Row, rounded
from .ship_form import ShipForm
from .tank_shape import Block, solid

PARTLY, FILLED, UNTRIMMED = 25.0, 15.0, 30.0
"""Degrees to which grain settles, and at which it slopes away from the edge of an opening."""
UNDER_COVERS = 0.150
"""m, average void under the covers of a filled hatch."""
END_BEAM = 0.6
"""m, depth of the hatch end beams: at 600 mm the void of a trimmed hold is that of the table."""
VOID_DEPTH = ((0.5, 1.0, 1.5, 2.0, 2.5, 3.0), (0.570, 0.530, 0.500, 0.480, 0.450, 0.440))
"""Standard void depth in m by the distance in m from hatch end to boundary, as far as these holds need it."""
FILLINGS = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0)
"""Fillings in percent of the capacity for which moments are printed."""


def partly_filled(sections: Sections, volume: float) -> tuple[float, float]:
    """Heeling moment (m4) of a volume (m3) whose surface settles at 25 degrees, and its centre before (m up).

    Source: MSC.23(59) Part B (partly filled compartments)."""
    level = settled_level(sections, volume, 0.0)
    upright = immersed(sections, 0.0, level)
    vcg = level + float(sections.weight @ upright.moment_up) / volume
    before = float(sections.weight @ upright.moment_across)
    settled = settled_level(sections, volume, PARTLY)
    shifted = immersed(sections, PARTLY, settled)
    up = shifted.moment_up + settled * shifted.area
    sine, cosine = np.sin(np.radians(PARTLY)), np.cos(np.radians(PARTLY))
    after = float(sections.weight @ (cosine * shifted.moment_across - sine * up))
    return after - before, vcg


def settled_void(depth: Array, breadth: Array) -> Array:
    """Heeling moment per length (m3) of a void of average `depth` under a level overhead of `breadth` (m), when the
    grain settles at 15 degrees: a triangle on the high side, or the whole breadth where the void is deep.

    Source: MSC.23(59) Part B (filled compartments); closed form."""
    tangent = np.tan(np.radians(FILLED))
    area = depth * breadth
    width = np.sqrt(2.0 * area / tangent)
    moment: Array = np.where(
        width < breadth, area * (breadth / 2.0 - width / 3.0), breadth**3 * tangent / 12.0
    )
    return moment


def filled(form: ShipForm, hold: Block, hatch: Block, trimmed: bool) -> float:
    """Heeling moment (m4) of a hold filled to its hatch covers. Source: MSC.23(59) Part B (filled compartments)."""
    moment = (hatch.x_to - hatch.x_from) * float(
        settled_void(np.array(UNDER_COVERS), np.array(2.0 * hatch.outer))
    )
    for edge, bulkhead in ((hatch.x_from, hold.x_from), (hatch.x_to, hold.x_to)):
        reach = abs(edge - bulkhead)
        away, weight = quadrature((0.0, reach), 8)
        x = edge + np.sign(bulkhead - edge) * away
        breadth = 2.0 * np.minimum(hold.outer, form.half_breadth(x, np.full_like(x, hold.top)))
        slope = np.tan(np.radians(UNTRIMMED))
        depth = np.interp(reach, *VOID_DEPTH) + 0.0 * away if trimmed else END_BEAM + slope * away
        moment += float(weight @ settled_void(depth, breadth))
    return moment


def grain(form: ShipForm, blocks: tuple[Block, Block], capacity: float) -> Row:
    """What the booklet prints of one hold: a block of the hull below the deck and one of the hatch above it."""
    sections = solid(form, blocks, "centre")
    rows = []
    for percent in FILLINGS:
        volume = rounded(0.01 * percent * capacity, 1)
        moment, vcg = partly_filled(sections, volume)
        rows.append({"volume": volume, "heeling_moment": rounded(moment, 1), "vcg": rounded(vcg, 3)})
    return {
        "filled_trimmed": rounded(filled(form, *blocks, True), 1),
        "filled_untrimmed": rounded(filled(form, *blocks, False), 1),
        "partly_filled": rows,
    }
