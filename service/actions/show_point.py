"""One point of a kept condition's plan, worked out from what is kept."""

import pydantic_core

from service.actions.access import Caller
from service.actions.assess import Answer, Assessor, WorkingAsked
from service.actions.records.transactions import Records
from service.wire.fields import UnitSystem


def show_point(
    records: Records,
    assessor: Assessor,
    caller: Caller,
    id: str,
    number: int,
    point: int,
    units: UnitSystem | None = None,
    working: WorkingAsked = False,
) -> Answer:
    """The condition and the assessment of a point, by the vessel's data the revision was judged by and today's
    calculation, with its working where it is asked for. Raises Refusal (point_not_found)."""
    with records.reading() as tx:
        caller.require_vessel(tx.conditions.get(id).vessel, "condition")
        kept = tx.conditions.revision(id, number)
    request = {
        "vessel_id": kept.vessel,
        "vessel_revision": kept.vessel_revision,
        "condition": pydantic_core.from_json(kept.document),
    }
    return assessor.point(request, point, units, working)
