"""A vessel document that is not finished: what is wrong with the parts that are there, and the doubts about them."""

from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import ValidationError

from service.translation.booklet_doubts import booklet_doubts
from service.translation.prepared_vessel import prepare_model
from service.wire.problem import ProblemError, errors_of
from service.wire.refusal import Refusal
from service.wire.vessel import Vessel
from service.wire.vessel_check import Doubt

NEEDED: Final = ("units", "particulars", "lightship", "hydrostatics")
"""Without these nothing is held against anything else."""
STANDING_IN: Final[dict[str, Any]] = {
    "name": "Unfinished",
    "source": {"booklet": "Unfinished"},
    "tanks": [],
}
"""Stands for what figures do not depend on, and for tanks that are not there yet."""
MOST_ERRORS: Final = 2000


@dataclass(frozen=True)
class SoFar:
    """errors: places of the document as it stands, with members that are missing. doubts: about the parts without
    errors. usable: these parts as a document that can be calculated with; None where too little is there. paused_by:
    places that contradict one another, so that nothing is doubted until they are put right."""

    errors: list[ProblemError] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    usable: dict[str, Any] | None = None
    paused_by: list[ProblemError] = field(default_factory=list)

    @property
    def is_complete(self) -> bool:
        """Whether the document can be kept as it is."""
        return not self.errors and self.usable is not None


def check_so_far(document: dict[str, Any]) -> SoFar:
    """What can be said of an unfinished vessel document."""
    errors: list[ProblemError] = []
    try:
        Vessel.model_validate(document)
    except ValidationError as invalid:
        errors = list(errors_of(invalid, (), MOST_ERRORS))
    wrong = {member_of(error["pointer"]) for error in errors}
    if wrong & set(NEEDED):
        return SoFar(errors)
    usable = STANDING_IN | {member: value for member, value in document.items() if member not in wrong}
    try:
        prepare_model(Vessel.model_validate(usable), ())
    except ValidationError:
        return SoFar(errors)
    except Refusal as refused:
        known = {(error["pointer"], error["code"]) for error in errors}
        errors += [error for error in refused.errors if (error["pointer"], error["code"]) not in known]
        return SoFar(errors, paused_by=refused.errors)
    return SoFar(errors, list(booklet_doubts(usable)), usable)


def member_of(pointer: str) -> str:
    """The member of the document that a pointer leads into."""
    return pointer.removeprefix("/").partition("/")[0]
