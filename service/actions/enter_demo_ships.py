"""Enter the demonstration ships and their conditions, as an author of their own, where they are not there yet; of each
ship one condition is in force."""

import json

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.keep_condition import draft_new, judge, keep
from service.actions.keep_vessel import add_vessel, prepare_to_store
from service.actions.records.transactions import Records
from service.actions.set_state import append_state
from service.demo import (
    condition_names,
    demo_vessel_ids,
    read_condition,
    read_printed_conditions,
    read_vessel,
)
from service.wire.refusal import Refusal

DEMONSTRATION = Caller("demonstration", "Demonstration", "administrator", None)
_WHY = "Demonstration"
IN_FORCE = {
    "halvenmoor": "departure-homogeneous",
    "ostrel": "departure-terminal",
    "quarrenby": "departure-full",
}
"""The condition each ship sails with."""


def enter_demo_ships(records: Records, assessor: Assessor) -> None:
    """Keep each demonstration ship under her own id, with her conditions."""
    for id in demo_vessel_ids():
        printed = {"printed_conditions": json.loads(read_printed_conditions(id))}
        checked = prepare_to_store(assessor, json.loads(read_vessel(id)) | printed)
        try:
            add_vessel(records, DEMONSTRATION, checked, reason=_WHY, id=id)
        except Refusal as refused:
            if refused.code == "id_taken":  # entered before, or by another process just now
                continue
            raise
        for name in condition_names(id):
            draft = draft_new(DEMONSTRATION, id, json.loads(read_condition(id, name)))
            made = keep(records, DEMONSTRATION, judge(assessor, DEMONSTRATION, draft, _WHY))
            if name == IN_FORCE[id]:
                with records.writing() as tx:
                    head = tx.conditions.get(made.address.rsplit("/", 1)[1])
                    append_state(tx, DEMONSTRATION, head, "in_force", _WHY)
