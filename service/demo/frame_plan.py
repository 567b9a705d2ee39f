"""Tanks between frames, which are counted from the aft perpendicular; metres."""

from dataclasses import dataclass
from math import inf

from .booklet import TankPlan
from .tank_shape import Block


@dataclass(frozen=True)
class FramePlan:
    """Frames of a ship, `spacing` m apart."""

    spacing: float

    def between(
        self,
        after: float,
        forward: float,
        bottom: float,
        top: float,
        inner: float = 0.0,
        outer: float = inf,
    ) -> Block:
        """A block between two frames."""
        return Block(after * self.spacing, forward * self.spacing, bottom, top, inner, outer)

    def frames(self, *blocks: Block) -> str:
        """Frame numbers of the ends, as the capacity plan prints them."""
        after = round(min(b.x_from for b in blocks) / self.spacing)
        return f"{after}-{round(max(b.x_to for b in blocks) / self.spacing)}"

    def pair(
        self,
        id: str,
        name: str,
        contents: str,
        *blocks: Block,
        step: float,
        unpumpable: float = 0.0,
        pipe: float = 0.0,
    ) -> tuple[TankPlan, TankPlan]:
        """A port tank and its mirror image to starboard."""
        port, starboard = (
            TankPlan(
                f"{id}-{side[0]}",
                f"{name} {side}",
                contents,
                side,
                blocks,
                step,
                self.frames(*blocks),
                pair=f"{id}-{other[0]}",
                unpumpable=unpumpable,
                pipe=pipe,
            )
            for side, other in (("port", "starboard"), ("starboard", "port"))
        )
        return port, starboard

    def single(
        self,
        id: str,
        name: str,
        contents: str,
        side: str,
        *blocks: Block,
        step: float,
        pipe: float = 0.0,
        heeled: tuple[float, ...] = (),
    ) -> TankPlan:
        """A tank without a transverse partner."""
        frames = self.frames(*blocks)
        return TankPlan(id, name, contents, side, blocks, step, frames, pipe=pipe, heeled=heeled)
