"""Access keys: who may do what with which vessels."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.fields import ChosenId, Document, Name, VesselId
from service.wire.record import Moment, Next

Role = Literal["ship", "reviewer", "integrator", "administrator"]
Scope = Annotated[list[VesselId], Field(max_length=2000)]
Fleets = Annotated[list[ChosenId], Field(min_length=1, max_length=100)]
MAX_DAYS = 3660


class KeyRequest(Document):
    """A key to be made."""

    name: Name = Field(
        description="Who uses it; stands beside everything it writes.", examples=["Halvenmoor, chief mate"]
    )
    role: Role = Field(
        description="`ship` writes conditions and data of its vessels; `reviewer` reviews; `integrator` reads and "
        "assesses; `administrator` does everything and makes keys.",
        examples=["ship"],
    )
    vessels: Scope | None = Field(
        default=None,
        description="Ids of the vessels it may see; all of them when absent and no fleets are named. An administrator "
        "sees all.",
        examples=[["halvenmoor"]],
    )
    fleets: Fleets | None = Field(
        default=None,
        description="Ids of fleets whose vessels it may see, those put into them later too.",
        examples=[["north-sea"]],
    )
    days: Annotated[int, Field(ge=1, le=MAX_DAYS)] | None = Field(
        default=None, description="Days until it expires; never when absent.", examples=[365]
    )


class KeyScopeRequest(Document):
    """The vessels and fleets a key may see from now on."""

    vessels: Scope | None = Field(
        description="Ids of the vessels; null for all of them, which goes with no fleets."
    )
    fleets: Fleets | None = Field(
        default=None, description="Ids of fleets whose vessels it may see besides; none when absent."
    )


class Key(TypedDict):
    """A key without its secret."""

    id: str
    name: str
    role: Role
    vessels: Annotated[
        list[str] | None, Field(description="Vessels it may see besides those of `fleets`; null: all.")
    ]
    fleets: Annotated[list[str], Field(description="Fleets whose vessels it may see.")]
    created: Moment
    created_by: str | None
    expires: Moment | None
    revoked: Moment | None
    last_used: Annotated[str | None, Field(description="RFC 3339, UTC; noted at most once a minute.")]


class NewKey(Key):
    """A key just made: the only answer that shows its secret."""

    token: Annotated[
        str, Field(description="To be sent as `Authorization: Bearer <token>`. Not shown again.")
    ]


class KeyList(TypedDict):
    """A page of keys."""

    items: list[Key]
    next: Next
