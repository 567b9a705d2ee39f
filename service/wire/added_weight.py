"""The weights that the service adds to those of the condition."""

from typing import Literal

from typing_extensions import TypedDict

from service.wire.quantity import Length, Mass


class AddedWeight(TypedDict):
    """A weight that the service adds: a load on the hook, passengers, water absorbed by timber, or ice. `of`: pointer
    to the condition's line, null where it belongs to none."""

    name: str
    reason: Literal["hook_load", "passengers", "absorption", "ice"]
    of: str | None
    mass: Mass
    lcg: Length
    vcg: Length
    tcg: Length
    formula: str
    from_memory: str | None
