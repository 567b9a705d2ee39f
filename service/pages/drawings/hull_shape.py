"""What the booklet says of her outline: enough for a side view and an end view that are hers."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from service.translation.axes import AxesAndUnits
from service.translation.units import SCALES
from service.wire.fields import Axes, UnitSystem


@dataclass(frozen=True)
class HullShape:
    """Lengths in one system of units, x from the aft perpendicular, positive forward. depth: None where unknown;
    deck: points of the deck edge from aft to forward, empty where unknown."""

    length_bp: float
    breadth: float
    depth: float | None
    length_overall: float | None
    deck: tuple[tuple[float, float], ...]
    propeller: tuple[float, float, float] | None
    """x, height of the shaft, diameter."""

    @classmethod
    def of(cls, vessel: Mapping[str, Any], system: UnitSystem) -> "HullShape":
        """From a vessel document, in the units of an answer."""
        own, target = SCALES[vessel["units"]], SCALES[system]
        particulars, factor = vessel["particulars"], own.length / target.length
        axes = vessel.get("axes")
        frame = AxesAndUnits.of(
            own, None if axes is None else Axes.model_validate(axes), particulars["length_bp"] * own.length
        )

        def x(value: float) -> float:
            return frame.x(value) / target.length

        def scaled(name: str) -> float | None:
            value = particulars.get(name)
            return None if value is None else float(value) * factor

        points = (vessel.get("deck_edge") or {}).get("points") or []
        screw = vessel.get("propeller")
        return cls(
            particulars["length_bp"] * factor,
            particulars["breadth"] * factor,
            scaled("depth"),
            scaled("length_overall"),
            tuple(sorted((x(p["x"]), p["z"] * factor) for p in points)),
            None
            if screw is None
            else (x(screw["x"]), screw["shaft_height"] * factor, screw["diameter"] * factor),
        )

    @property
    def ends(self) -> tuple[float, float]:
        """Aftermost and foremost point, as far as they are known."""
        aft = min([0.0, *(x for x, _ in self.deck[:1])])
        over = self.length_overall
        fore = self.length_bp if over is None else max(aft + over, self.length_bp)
        return aft, max([fore, *(x for x, _ in self.deck[-1:])])

    @property
    def height(self) -> float:
        """Depth, or the deck edge amidships; twice the breadth over five where neither is known."""
        if self.depth is not None:
            return self.depth
        if self.deck:
            return min(z for _, z in self.deck)
        return 0.4 * self.breadth
