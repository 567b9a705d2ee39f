"""Kept vessels: their revisions, lists and what changed between two of them."""

from typing import Annotated, Any, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.record import Author, Digest, Moment, Next, OwnReference, Reason
from service.wire.state import VesselState
from service.wire.vessel import Vessel


class VesselLine(TypedDict):
    """A vessel in a list, as her latest revision names her."""

    id: str
    vessel: Annotated[str, Field(description="Her id again, under the name it has elsewhere.")]
    reference: OwnReference
    name: str
    imo_number: str | None
    state: VesselState
    revision: Annotated[int, Field(description="Number of her latest revision.")]
    digest: Digest
    created: Moment
    updated: Moment


class VesselList(TypedDict):
    """A page of vessels, in the order they were entered."""

    items: list[VesselLine]
    next: Next


class VesselRevisionLine(TypedDict):
    """A revision of a vessel's data without the data."""

    id: Annotated[str, Field(description="Id of the vessel.")]
    vessel: Annotated[str, Field(description="The same.")]
    revision: int
    name: str
    imo_number: str | None
    source: Annotated[str | None, Field(description="The booklet it was taken from.")]
    created: Moment
    author: Author
    reason: Reason
    digest: Digest
    previous_digest: Digest | None
    request_id: str | None


class VesselRevisionList(TypedDict):
    """A page of the revisions of a vessel, newest first."""

    items: list[VesselRevisionLine]
    next: Next


class VesselRevision(VesselRevisionLine):
    """A revision of a vessel's data."""

    reference: OwnReference
    document: Annotated[Vessel, Field(description="The vessel document as it was posted.")]


class VesselRecord(VesselRevision):
    """A vessel: the latest revision of her data, and her state once it was set."""

    state: Annotated[
        NotRequired[VesselState], Field(description="Absent while it was never set: she is active.")
    ]


class DocumentChange(TypedDict):
    """One place in which two documents differ. `before` or `after` is null where the place is missing."""

    path: Annotated[
        list[str],
        Field(description="Where, from the outside in; entries of lists by what names them."),
    ]
    change: Annotated[str, Field(description="added, removed or changed")]
    before: Annotated[Any, Field(description="What stood there; null where there was nothing.")]
    after: Annotated[Any, Field(description="What stands there now; null where there is nothing.")]


class VesselComparison(TypedDict):
    """What changed between two revisions of a vessel's data."""

    vessel: str
    revision_from: VesselRevisionLine
    revision_to: VesselRevisionLine
    units_changed: Annotated[
        bool,
        Field(description="True when the two documents are in different units: figures differ for that."),
    ]
    changes: list[DocumentChange]
    truncated: Annotated[bool, Field(description="True when there are more changes than are listed.")]
