"""A vessel document made ready for calculation."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

import rfc8785
from pydantic import BaseModel, ValidationError

from service.core.vessel import Vessel
from service.translation.proof import proof_summary
from service.translation.vessel import vessel_of
from service.translation.working.typed import Figures
from service.wire.assessment import VesselReference
from service.wire.fields import Axes
from service.wire.problem import error, first_errors
from service.wire.refusal import Refusal
from service.wire.vessel import Vessel as VesselDocument

Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True)
class PreparedVessel:
    """A vessel ready for calculation, with the axes its conditions default to and what to call it. figures: those of
    her document that workings have read, by the units of the answer."""

    vessel: Vessel
    axes: Axes | None
    reference: VesselReference
    figures: dict[str, Figures] = field(default_factory=dict, compare=False, repr=False)


FindVessel = Callable[[str, int | None], PreparedVessel]
"""Gives a stored vessel by id and revision (None: the latest). Raises Refusal (unknown_vessel)."""
FindDocument = Callable[[str, int], dict[str, Any]]
"""Gives the document of a stored vessel by id and revision. Raises Refusal (unknown_vessel)."""
Canonical = Callable[[Any], str]
"""Gives the JSON Canonicalization Scheme (RFC 8785) of a document."""
ReadyVessel = Callable[[str, int | None], PreparedVessel | None]
"""Gives what `FindVessel` gives where that is in memory, None where it is not. Never waits, never refuses."""


def by_the_book(document: Any) -> str:
    """The canonical text of a document, by the package that implements RFC 8785."""
    return rfc8785.dumps(document).decode()


def prepare_vessel(
    document: object,
    root: tuple[str | int, ...] = ("vessel",),
    id: str | None = None,
    revision: int | None = None,
    canonical: Canonical = by_the_book,
) -> PreparedVessel:
    """Validate and prepare a vessel document; raises Refusal with places below `root`."""
    wire = validated(VesselDocument, document, root)
    vessel = vessel_of(wire, root, posted=id is None)
    reference: VesselReference = {
        "name": wire.name,
        "id": id,
        "revision": revision,
        "digest": data_digest(document, canonical),
        "proof": None if id is None else proof_summary(wire, vessel),
    }
    return PreparedVessel(vessel, wire.axes, reference)


def data_digest(document: object, canonical: Canonical = by_the_book) -> str:
    """SHA-256 of what figures are computed from: a vessel document without its printed conditions."""
    assert isinstance(document, dict)
    data = {name: value for name, value in document.items() if name != "printed_conditions"}
    return hashlib.sha256(canonical(data).encode()).hexdigest()


def prepare_model(document: VesselDocument, root: tuple[str | int, ...]) -> Vessel:
    """The vessel of a document that fits its schema; raises Refusal with every place that contradicts another."""
    return vessel_of(document, root)


def validated(model: type[Model], document: object, root: tuple[str | int, ...]) -> Model:
    """A parsed document as its wire model; raises Refusal with every place that breaks the schema, below `root`."""
    try:
        return model.model_validate(document)
    except ValidationError as invalid:
        found = first_errors(model, document, invalid, root)
        raise Refusal(
            "invalid_request",
            "The request breaks its published schema.",
            found,
            not_listed=invalid.error_count() - len(found),
        ) from None


def once_each(find_vessel: FindVessel) -> FindVessel:
    """`find_vessel` that finds each vessel once."""
    found: dict[tuple[str, int | None], PreparedVessel] = {}

    def find(id: str, revision: int | None) -> PreparedVessel:
        if (id, revision) not in found:
            found[id, revision] = find_vessel(id, revision)
        return found[id, revision]

    return find


def unknown_vessel() -> Refusal:
    """The refusal of a request that names a vessel not stored here, or one its sender may not see."""
    wrong = [error(("vessel_id",), "unknown_vessel", "no vessel with this id and revision is stored.")]
    return Refusal("unknown_vessel", "No vessel with this id and revision is stored here.", wrong)
