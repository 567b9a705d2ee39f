"""What is worked out once for a revision of a vessel's data, for every page that shows her: doubts and proof."""

from collections.abc import Mapping
from typing import Any

from pydantic_core import from_json, to_json

from service.actions.access import Caller
from service.actions.check_vessel import check_stored_vessel
from service.actions.prove_booklet import prove_stored_vessel
from service.actions.show_vessel import show_vessel
from service.pages.page import PageParts
from service.pages.wording import tank_names
from service.wire.vessel_check import VesselCheck


def check_of(parts: PageParts, caller: Caller, vessel: str, revision: int, digest: str) -> VesselCheck:
    """The doubts about her tables."""
    check: VesselCheck = parts.pages.pieces.value(
        ("check", vessel, digest), lambda: check_stored_vessel(parts.records, caller, vessel, revision)
    )
    return check


def proof_of(parts: PageParts, caller: Caller, vessel: str, revision: int, digest: str) -> dict[str, Any]:
    """Her proof with the count of figures of each condition, tanks by their names in its words."""

    def proof_with_counts() -> bytes:
        proof: Any = prove_stored_vessel(parts.records, caller, vessel, revision)
        conditions = [{**one, "figures": len(one["figures"])} for one in proof["conditions"]]
        text, _ = show_vessel(parts.records, caller, vessel, revision)
        names = tank_names(from_json(text)["document"])
        return to_json({**proof, "conditions": conditions, "words": with_tank_names(proof["words"], names)})

    found: dict[str, Any] = from_json(parts.pages.pieces.value(("proof", vessel, digest), proof_with_counts))
    return found


def with_tank_names(words: str, names: Mapping[str, str]) -> str:
    """The proof in a sentence with the names of tanks where it has their ids. names: by id."""
    for id, name in names.items():
        words = words.replace(f" of the tank {id} of ", f" of {name} in ")
    return words
