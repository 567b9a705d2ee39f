"""Fleets: named sets of ships, as scopes of keys."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.fields import Document, Name, VesselId
from service.wire.record import Moment, Next

MOST_VESSELS = 2000


class NamedFleetRequest(Document):
    """A fleet as it is from now on."""

    name: Name = Field(description="What people call it.", examples=["North Sea"])
    vessels: Annotated[list[VesselId], Field(max_length=MOST_VESSELS)] = Field(
        description="Ids of all its ships; a ship may be in several fleets.", examples=[["halvenmoor"]]
    )


class NamedFleet(TypedDict):
    """A fleet. Keys that name it see its ships."""

    id: str
    name: str
    vessels: list[str]
    number: Annotated[int, Field(description="How often it was set.")]
    created: Moment
    updated: Moment


class NamedFleetList(TypedDict):
    """A page of fleets, in the order of their ids."""

    items: list[NamedFleet]
    next: Next
