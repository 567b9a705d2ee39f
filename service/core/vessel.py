"""One ship's booklet, prepared once: every table as arrays, every spline solved."""

from dataclasses import dataclass, field

import numpy as np

from .errors import UnusableBooklet
from .frame import Bools, Floats
from .free_surface import FreeSurfaceBook
from .grain import Hold
from .heeling_lever import WindProfile
from .hydrostatics import Hydrostatics
from .opening import DeckEdge, Opening
from .righting_lever import CrossCurves
from .spline import OddSpline
from .tank import COLUMNS, Tank, TankBook
from .weight import Weight


@dataclass(frozen=True)
class Particulars:
    """Principal dimensions, m (areas m2, displacement t, speed knots); None where the booklet does not say."""

    length_bp: float
    breadth: float
    length_waterline: float | None = None
    length_load_line: float | None = None
    depth: float | None = None
    block_coefficient: float | None = None
    bilge: str | None = None
    bilge_keel_area: float | None = None
    minimum_service_displacement: float | None = None
    service: str | None = None

    @property
    def rule_length(self) -> float:
        """Length that rules apply by, m: that of the Load Line Convention, else between perpendiculars.

        Source: 2008 IS Code, definitions (length as in the Load Line Convention; value from memory)."""
        return self.length_load_line or self.length_bp


@dataclass(frozen=True)
class DraftMark:
    """Marks at x (m); the reading is the moulded draft there plus keel_offset (m)."""

    name: str
    x: float
    keel_offset: float


@dataclass(frozen=True)
class GmLimit:
    """One of her own curves: minimum GM or maximum VCG [R] (m) by moulded draft amidships [R] (m), for trims from
    `trim_from` to `trim_to` (m by the stern)."""

    name: str
    basis: str
    draft: Floats
    value: Floats
    trim_from: float = -np.inf
    trim_to: float = np.inf


@dataclass(frozen=True)
class Propeller:
    """Shaft height above the baseline and diameter, m, at x from the aft perpendicular."""

    x: float
    shaft_height: float
    diameter: float


@dataclass(frozen=True)
class Bridge:
    """Eye of the conning position, the obstruction ahead of it, and the bow: x, z in m."""

    eye_x: float
    eye_z: float
    obstruction_x: float
    obstruction_z: float
    bow_x: float
    length_overall: float


@dataclass(frozen=True)
class Vessel:
    """Everything a calculation may read about the ship; prepared at construction.

    Raises UnusableBooklet where tables contradict themselves. `openings` None means that the booklet does not say;
    an empty tuple that she has none. Source: contents of a stability booklet, 46 CFR 170.110; 2008 IS Code B/3.6.
    """

    name: str
    particulars: Particulars
    lightship: Weight
    hydrostatics: Hydrostatics
    cross_curves: CrossCurves | None
    tanks: tuple[Tank, ...]
    openings: tuple[Opening, ...] | None = None
    wind_profile: WindProfile | None = None
    deck_edge: DeckEdge | None = None
    draft_marks: tuple[DraftMark, ...] = ()
    load_line_drafts: dict[str, float] | None = None
    gm_limits: tuple[GmLimit, ...] = ()
    propeller: Propeller | None = None
    bridge: Bridge | None = None
    holds: tuple[Hold, ...] = ()
    rule_sets: tuple[str, ...] = ()
    book: TankBook = field(init=False)
    free_surfaces: FreeSurfaceBook = field(init=False)
    heeled: tuple["HeeledTank", ...] = field(init=False)
    floods: Bools = field(init=False)
    floods_unless_automatic: Bools = field(init=False)
    two_sided: bool = field(init=False)

    def __post_init__(self) -> None:
        """Prepare the tank book, the heeled moments at the heels of the cross curves and the openings."""
        book = TankBook(self.tanks)
        openings = self.openings or ()
        prepared = {
            "book": book,
            "free_surfaces": FreeSurfaceBook(book),
            "heeled": tuple(
                HeeledTank.of(i, tank, self.cross_curves, book)
                for i, tank in enumerate(self.tanks)
                if tank.heeled is not None and self.cross_curves is not None
            ),
            "floods": np.array([o.protection == "unprotected" for o in openings], dtype=bool),
            "floods_unless_automatic": np.array(
                [not (o.closes_automatically and o.protection == "watertight") for o in openings], dtype=bool
            ),
            "two_sided": not _mirrored(openings),
        }
        for name, value in prepared.items():
            object.__setattr__(self, name, value)


@dataclass(frozen=True)
class HeeledTank:
    """Shift moments [F, H] (m4) of one wide tank at the heels of the cross curves, by filling [F] (percent)."""

    tank: int
    fillings: Floats
    moments: Floats

    @classmethod
    def of(cls, index: int, tank: Tank, curves: CrossCurves, book: TankBook) -> "HeeledTank":
        """Bring the printed heels of a tank onto those of the cross curves by the odd spline whose slope upright is
        the inertia of the surface. Source: definition (moment = inertia x heel for small angles)."""
        table = tank.heeled
        if table is None:
            raise UnusableBooklet("no heeled moments", ("tanks", index))
        if table.heels[-1] < curves.last_heel - 1e-9:
            raise UnusableBooklet(
                "heeled moments must reach the last heel of the cross curves",
                ("tanks", index, "heeled_moments", "heels"),
            )
        if tank.printed:
            raise UnusableBooklet(
                "heeled moments need the inertia of the surface: give a table with it or a rectangular surface",
                ("tanks", index, "heeled_moments"),
            )
        spline = OddSpline.through(np.radians(table.heels))
        of_values, of_slope = spline.basis(np.radians(curves.heels))
        volume = table.fillings * 0.01 * tank.capacity
        at = np.full(len(volume), index)
        inertia = book.stack.at(at, volume)[:, COLUMNS.index("inertia")]
        values = np.concatenate((np.zeros((len(volume), 1)), table.moments), axis=1)
        return cls(index, table.fillings, values @ of_values.T + inertia[:, None] * of_slope)


def _mirrored(openings: tuple[Opening, ...]) -> bool:
    """True where every opening has its twin on the other side, so that both sides flood at the same angle."""

    def key(opening: Opening, side: float) -> tuple[object, ...]:
        table = opening.immersion
        return (
            round(opening.x, 6),
            round(opening.y * side, 6) + 0.0,  # no negative zero on the centreline
            round(opening.z, 6),
            opening.protection,
            opening.closes_automatically,
            None if table is None else (table.draft.tobytes(), table.angle.tobytes()),
        )

    return sorted(map(repr, (key(o, 1.0) for o in openings))) == sorted(
        map(repr, (key(o, -1.0) for o in openings))
    )
