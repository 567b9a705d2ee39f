"""Names that belong to one record: ids, IMO numbers, and the references that a key gives.

Whatever is asked here stays true to the end of the writing transaction: writers come one at a time on both engines.
"""

from typing import Literal

from service.actions.access import Caller
from service.storage import Transaction
from service.wire.problem import error
from service.wire.refusal import Refusal

Noun = Literal["vessel", "condition"]


def taken(member: str, detail: str) -> Refusal:
    """What a writer gets who names a record by what another one is named by; `member` is the member of its document."""
    return Refusal(f"{member}_taken", detail, [error((member,), "taken", detail)])


def require_free_reference(tx: Transaction, caller: Caller, noun: Noun, reference: str | None) -> None:
    """Raises Refusal where this key entered another record of that kind under this reference."""
    if reference is None:
        return
    found = tx.references.find(caller.key_id, noun, reference)
    if found is not None:
        raise taken("reference", f"This key gave this reference to the {noun} {found}.")


def keep_reference(tx: Transaction, caller: Caller, noun: Noun, reference: str | None, id: str) -> None:
    """Keep what a record was entered under."""
    if reference is not None:
        tx.references.keep(caller.key_id, noun, reference, id)


def require_same_id(id: str, named: str | None) -> None:
    """Raises Refusal where the document of a later revision names another id than its address."""
    if named not in (None, id):
        wrong = [error(("id",), "other_id", "A record keeps its id: name the one of the address, or none.")]
        raise Refusal("invalid_request", "The document names another id.", wrong)
