"""How a document's units and axes turn into the core's."""

from dataclasses import dataclass

from service.translation.units import Scale
from service.wire.fields import Axes


@dataclass(frozen=True)
class AxesAndUnits:
    """How one document's positions turn into the core's: x = origin + sense_x * x, y = sense_y * y (m)."""

    scale: Scale
    origin: float
    sense_x: float
    sense_y: float

    @classmethod
    def of(cls, scale: Scale, axes: Axes | None, length_bp: float) -> "AxesAndUnits":
        """Axes of a document of a ship of `length_bp` m; absent: the core's own."""
        if axes is None:
            return cls(scale, 0.0, scale.length, scale.length)
        origin = {"aft_perpendicular": 0.0, "midship": 0.5 * length_bp, "forward_perpendicular": length_bp}
        forward = 1.0 if axes.x_positive == "forward" else -1.0
        port = 1.0 if axes.y_positive == "port" else -1.0
        return cls(scale, origin[axes.x_origin], forward * scale.length, port * scale.length)

    def x(self, value: float) -> float:
        """Longitudinal position, m from the aft perpendicular."""
        return self.origin + self.sense_x * value

    def y(self, value: float) -> float:
        """Transverse position, m, positive to port."""
        return self.sense_y * value if value else 0.0


def times(value: float | None, factor: float) -> float | None:
    """A figure that may be absent, in the core's units."""
    return None if value is None else value * factor
