"""What a rule may read: a batch of conditions afloat, heeling to one side."""

from dataclasses import dataclass

from .condition import Batch
from .flotation import Flotation
from .frame import Floats
from .opening import FirstImmersion
from .righting_lever import RightingLever
from .vessel import Vessel


@dataclass(frozen=True)
class Situation:
    """Arrays [N] in the units of the core. `flooding` counts openings that cannot be closed weathertight,
    `flooding_automatic` those that do not close watertight automatically; NaN means that the booklet lacks the data,
    inf that there is none. `curve` is None where the booklet has no cross curves."""

    vessel: Vessel
    batch: Batch
    displacement: Floats
    vcg_solid: Floats
    vcg_corrected: Floats
    gm_corrected: Floats
    flotation: Flotation
    curve: RightingLever | None
    flooding: FirstImmersion
    flooding_automatic: FirstImmersion
    deck_edge: Floats
    half_freeboard: Floats
    wind_area: Floats
    wind_height: Floats

    def __len__(self) -> int:
        """Number of conditions. Source: definition."""
        return len(self.displacement)
