"""Prove a stored booklet by its printed conditions."""

import pydantic_core

from service.actions.access import Caller
from service.actions.records.transactions import Records
from service.translation.proof import proof_of
from service.wire.proof import Proof
from service.wire.vessel import Vessel


def prove_stored_vessel(records: Records, caller: Caller, id: str, number: int | None) -> Proof:
    """The proof of a stored revision, the latest when `number` is None."""
    caller.require_vessel(id)
    with records.reading() as tx:
        kept = tx.vessels.revision(id, number)
    document = Vessel.model_validate(pydantic_core.from_json(kept.document))
    return {**proof_of(document), "vessel": id, "revision": kept.number}
