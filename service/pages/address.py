"""Parts of the addresses of pages."""

import re
from typing import Annotated

from fastapi import Path

from service.wire.fields import VESSEL_ID_PATTERN, UnitSystem
from service.wire.refusal import Refusal

_ID = re.compile(VESSEL_ID_PATTERN)

ConditionId = Annotated[str, Path(max_length=64)]
VesselId = Annotated[str, Path(max_length=64)]
RevisionNumber = Annotated[int, Path(ge=1, le=2**31 - 1)]


def known_form(id: str, kind: str) -> str:
    """An id that can be one at all; anything else is simply not there."""
    if not _ID.fullmatch(id):
        raise Refusal(f"unknown_{kind}", f"There is no {kind} at this address.")
    return id


def units_asked(text: str | None) -> UnitSystem | None:
    """The system of units that an address asks for; None: as it was posted."""
    return "us" if text == "us" else "metric" if text == "metric" else None


def other(system: UnitSystem) -> UnitSystem:
    """The other system."""
    return "metric" if system == "us" else "us"
