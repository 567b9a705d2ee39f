"""Check the tables of a kept vessel against one another."""

import pydantic_core

from service.actions.access import Caller
from service.actions.records.transactions import Records
from service.translation.booklet_doubts import booklet_doubts
from service.wire.vessel_check import CHECK_CAUTION, VesselCheck


def check_stored_vessel(records: Records, caller: Caller, id: str, number: int | None) -> VesselCheck:
    """The doubts about a kept revision, the latest when `number` is None."""
    caller.require_vessel(id)
    with records.reading() as tx:
        kept = tx.vessels.revision(id, number)
    doubts = booklet_doubts(pydantic_core.from_json(kept.document))
    return {"vessel": id, "revision": kept.number, "doubts": doubts, "caution": CHECK_CAUTION}
