"""One ship's booklet, prepared once: every table checked, every spline solved."""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from math import inf

import numpy as np

from .conventions import Floats
from .cross_curves import CrossCurves
from .errors import CoreError, SeveralErrors, UnusableBooklet
from .grain import Hold
from .hatch import HatchCoamings
from .heeling_lever import WindProfile
from .hydrostatics import Hydrostatics
from .icing import IcingSurface
from .interpolation import held, interval
from .load_line import LoadLine
from .opening import DeckEdge, Opening
from .own_limit import OwnLimit
from .passenger import PassengerSpace
from .spline import OddSpline
from .strength.booklet import StrengthBooklet
from .strength.weight_curve import Extent
from .tank import Tank, pairs_of
from .towing import Towing
from .trunk import BargeTrunk
from .view import AirDraftPoint, Obstruction
from .waterplane import LevelTables, Points
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
    service_speed: float | None = None
    superstructure: str | None = None
    superstructure_length: float | None = None
    freeboard_least: float | None = None
    breadth_half_draft: float | None = None
    length_overall: float | None = None

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
    draft: Sequence[float]
    value: Sequence[float]
    trim_from: float = -inf
    trim_to: float = inf


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
    strength: StrengthBooklet | None = None
    hold_extents: tuple[Extent | None, ...] = ()
    fresh_water_allowance: float | None = None
    air_draft_points: tuple[AirDraftPoint, ...] = ()
    obstructions: tuple[Obstruction, ...] = ()
    own_limits: tuple[OwnLimit, ...] = ()
    icing_surfaces: tuple[IcingSurface, ...] = ()
    cross_curves_timber: CrossCurves | None = None
    passenger_spaces: tuple[PassengerSpace, ...] = ()
    hatch_coamings: HatchCoamings | None = None
    towing: Towing | None = None
    barge_trunk: BargeTrunk | None = None
    hatches_secured: bool | None = None
    index: dict[str, int] = field(init=False, repr=False, compare=False)
    pairs: list[tuple[int, ...]] = field(init=False, repr=False, compare=False)
    units_of: list[list[int]] = field(init=False, repr=False, compare=False)
    heeled: dict[int, "HeeledTank"] = field(init=False, repr=False, compare=False)
    levels: LevelTables | None = field(init=False, repr=False, compare=False)
    deck_points: Points | None = field(init=False, repr=False, compare=False)
    load_line: LoadLine | None = field(init=False, repr=False, compare=False)
    flooding: list[int] = field(init=False, repr=False, compare=False)
    flooding_automatic: list[int] = field(init=False, repr=False, compare=False)
    two_sided: bool = field(init=False, repr=False, compare=False)
    with_timber: "Vessel | None" = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Prepare the pairs of tanks, the heeled moments at the heels of the cross curves and the openings that
        count as flooding her: those that cannot be closed weathertight, and those that do not close automatically."""
        edge = self.deck_edge
        pairs, curves, openings = pairs_of(self.tanks), self.cross_curves, self.openings or ()
        prepared = {
            "index": {tank.id: i for i, tank in enumerate(self.tanks)},
            "pairs": pairs,
            "units_of": [[u for u, pair in enumerate(pairs) if i in pair] for i in range(len(self.tanks))],
            "heeled": _heeled_tanks(self.tanks, curves),
            "levels": None if curves is None else LevelTables.of(curves, self.hydrostatics),
            "deck_points": None if edge is None or curves is None else edge.laid_out(curves),
            "load_line": LoadLine.of(
                self.load_line_drafts,
                self.particulars.rule_length,
                self.hydrostatics,
                self.fresh_water_allowance,
            ),
            "flooding": [i for i, o in enumerate(openings) if o.floods],
            "flooding_automatic": [i for i, o in enumerate(openings) if o.floods_unless_automatic],
            "two_sided": not _mirrored(openings) or (self.towing is not None and self.towing.is_off_centre),
            "with_timber": None if self.cross_curves_timber is None else self._on_timber_curves(),
        }
        for name, value in prepared.items():
            object.__setattr__(self, name, value)

    @property
    def highest_deck(self) -> float | None:
        """Moulded depth or the highest point of her deck edge, m; None where her booklet gives neither.

        Source: definition."""
        heights = [] if self.deck_edge is None else [z for _, _, z in self.deck_edge.points]
        if self.particulars.depth is not None:
            heights.append(self.particulars.depth)
        return max(heights, default=None)

    def _on_timber_curves(self) -> "Vessel":
        """The same ship on her cross curves with the buoyancy of a timber deck cargo."""
        return replace(self, cross_curves=self.cross_curves_timber, cross_curves_timber=None)

    def with_lightship(self, lightship: Weight) -> "Vessel":
        """The same ship, prepared as she is, with another lightship, spread along her as before. Source: definition."""
        other, before = copy(self), self.lightship
        if self.strength is not None and before.mass:
            strength = self.strength.carrying(lightship.mass / before.mass, lightship.lcg - before.lcg)
            object.__setattr__(other, "strength", strength)
        object.__setattr__(other, "lightship", lightship)
        if self.with_timber is not None:
            object.__setattr__(other, "with_timber", self.with_timber.with_lightship(lightship))
        return other


@dataclass(frozen=True)
class HeeledTank:
    """Shift moments [F, H] (m4) of one wide tank at the heels of the cross curves, by filling [F] (percent)."""

    fillings: Sequence[float]
    moments: Floats

    @classmethod
    def of(cls, index: int, tank: Tank, curves: CrossCurves) -> "HeeledTank":
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
        inertias = [row[3] for row in tank.rows]
        inertia = np.array([held(tank.volumes, inertias, f * 0.01 * tank.capacity) for f in table.fillings])
        values = np.concatenate((np.zeros((len(inertia), 1)), table.moments), axis=1)
        return cls(table.fillings, values @ of_values.T + inertia[:, None] * of_slope)

    def covers(self, fill: float) -> bool:
        """Whether the table reaches a filling in percent. Source: definition."""
        return self.fillings[0] <= fill <= self.fillings[-1]

    def at(self, fill: float) -> Floats:
        """Shift moments [H] (m4) at a filling in percent. Source: definition of linear interpolation."""
        if len(self.fillings) == 1:
            only: Floats = self.moments[0]
            return only
        i, part = interval(self.fillings, fill)
        moments: Floats = self.moments[i] + part * (self.moments[i + 1] - self.moments[i])
        return moments


def _heeled_tanks(tanks: Sequence[Tank], curves: CrossCurves | None) -> dict[int, HeeledTank]:
    """The wide tanks with heeled moments, by index; raises UnusableBooklet or SeveralErrors."""
    heeled: dict[int, HeeledTank] = {}
    errors: list[CoreError] = []
    for i, tank in enumerate(tanks):
        if tank.heeled is None or curves is None:
            continue
        try:
            heeled[i] = HeeledTank.of(i, tank, curves)
        except UnusableBooklet as unusable:
            errors.append(unusable)
    SeveralErrors.raise_if_any(errors)
    return heeled


def _mirrored(openings: tuple[Opening, ...]) -> bool:
    """True where every opening has its twin on the other side, so that both sides flood at the same angle."""

    def key(opening: Opening, side: float) -> tuple[object, ...]:
        return (
            round(opening.x, 6),
            round(opening.y * side, 6) + 0.0,  # no negative zero on the centreline
            round(opening.z, 6),
            opening.protection,
            opening.closes_automatically,
            [(table.trim, tuple(table.draft), tuple(table.angle)) for table in opening.immersion],
        )

    return sorted(map(repr, (key(o, 1.0) for o in openings))) == sorted(
        map(repr, (key(o, -1.0) for o in openings))
    )
