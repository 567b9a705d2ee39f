"""What an attentive colleague would say about the distribution of weight along her length."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from ..finding_kinds import CAUTION, INFO, Finding, finding
from .still_water import WATERLINE_CAUTION, StillWater, StrengthError
from .weight_curve import is_shortened

if TYPE_CHECKING:
    from ..situation import Situation
    from ..tank import Liquid

NOTABLE = 0.01
"""Part of the displacement above which a mass at a point is worth a caution. Common practice, no source."""


def strength_findings(ship: "Situation", liquids: Sequence["Liquid"]) -> list[Finding]:
    """Everything worth saying, in a fixed order; nothing where her booklet does not let strength be computed.

    Source: common practice, no source."""
    gap, found = ship.gaps.get("strength"), ship.strength
    if isinstance(gap, StrengthError):
        return [finding(gap.code, reason=f"{gap}: her strength is not computed")]
    if found is None:
        return []
    return [*_tanks(ship, liquids), *_weights(ship), *_shortened(ship), *_waterline(found)]


def _tanks(ship: "Situation", liquids: Sequence["Liquid"]) -> Iterator[Finding]:
    for i, (line, liquid) in enumerate(zip(ship.condition.tanks, liquids)):
        if ship.vessel.tanks[line.tank].extent is None and liquid.mass:
            severity = CAUTION if liquid.mass > NOTABLE * ship.displacement.mass else INFO
            yield finding("tank_without_extent", ("tanks", i), severity=severity)


def _weights(ship: "Situation") -> Iterator[Finding]:
    for i, weight in enumerate(ship.condition.weights):
        if weight.extent is None and weight.mass:
            severity = CAUTION if abs(weight.mass) > NOTABLE * ship.displacement.mass else INFO
            yield finding("weight_without_extent", ("weights", i), severity=severity)


def _shortened(ship: "Situation") -> Iterator[Finding]:
    for i, weight in enumerate(ship.condition.weights):
        if weight.mass and weight.extent is not None and is_shortened(weight.lcg, weight.extent):
            yield finding("weight_extent_shortened", ("weights", i))


def _waterline(found: StillWater) -> Iterator[Finding]:
    if abs(found.table_difference.percent) > 100.0 * WATERLINE_CAUTION:
        yield finding(
            "strength_waterline_differs",
            reason="the sections of her strength tables displace otherwise than her hydrostatic table, by more than "
            "half a percent",
        )
