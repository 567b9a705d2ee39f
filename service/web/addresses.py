"""Parts of the addresses of resources and pages: ids, numbers of revisions, units."""

import re
from typing import Annotated

from fastapi import Path

from service.wire.fields import VESSEL_ID_PATTERN, UnitSystem
from service.wire.refusal import Refusal

_ID = re.compile(VESSEL_ID_PATTERN)

VesselAddress = Annotated[str, Path(description="Id of the vessel.", max_length=64)]
ConditionAddress = Annotated[str, Path(description="Id of the condition.", max_length=64)]
RevisionNumber = Annotated[int, Path(ge=1, le=2**31 - 1, description="Number of the revision.")]
MAX_POINT = 299
PointNumber = Annotated[
    int,
    Path(alias="point", ge=0, le=MAX_POINT, description="Number of the point; 0 is the condition itself."),
]


def identifier(text: str, kind: str) -> str:
    """A part of an address that has the form of an id. Raises `Refusal` (unknown_<kind>) for anything else."""
    if not _ID.fullmatch(text):
        raise Refusal(f"unknown_{kind}", f"There is no {kind} at this address.")
    return text


def units_asked(text: str | None) -> UnitSystem | None:
    """The system of units that an address asks for; None: as it was posted."""
    return "us" if text == "us" else "metric" if text == "metric" else None


def other_system(system: UnitSystem) -> UnitSystem:
    """The other system."""
    return "metric" if system == "us" else "us"
