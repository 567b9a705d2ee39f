"""What a tug is judged by: her propellers and rudder, her tow, and the levers that it heels her with."""

from dataclasses import dataclass

CONVENTIONAL, AZIMUTH_STERN, TRACTOR = "conventional", "azimuth_stern", "tractor"
DRIVES = (CONVENTIONAL, AZIMUTH_STERN, TRACTOR)


@dataclass(frozen=True)
class Towing:
    """Number of propellers, power of one shaft (kW), diameter of a propeller (m), part of its circle that the rudder
    intercepts at 45 degrees (0 to 1), height of the bitts above the shaft at the rudder (m); bollard pull (kN), point
    of tow (x, y, z in m), place of the propulsion (x, z in m), one of DRIVES. None where her booklet does not say."""

    propellers: int | None = None
    shaft_power: float | None = None
    propeller_diameter: float | None = None
    rudder_fraction: float | None = None
    bitts_height: float | None = None
    bollard_pull: float | None = None
    tow_point: tuple[float, float, float] | None = None
    propulsion: tuple[float, float] | None = None
    drive: str | None = None

    @property
    def is_off_centre(self) -> bool:
        """Whether she tows from off the centreline, so that her sides differ. Source: definition."""
        return self.tow_point is not None and self.tow_point[1] != 0.0


def transverse_part(drive: str, distance: float, length: float, over_stern: bool) -> float:
    """CT: the part of the bollard pull that acts athwartships. 0.5 for conventional drives; 0.90 / (1 + l / L) for
    azimuthing ones, with l (m) from the point of tow to the propulsion and L (m) the load line length, and not less
    than 0.7 for stern drives towing over the stern and tractors towing over the bow, 0.5 for the others.

    Source: 2008 IS Code Part B 2.8 as amended by MSC.415(97)."""
    if drive == CONVENTIONAL:
        return 0.5
    least = 0.7 if over_stern is (drive == AZIMUTH_STERN) else 0.5
    return max(0.90 / (1.0 + distance / length), least)
