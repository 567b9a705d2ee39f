"""What the fleet shows and nobody computed yet: proofs of booklets, ports and drafts of heads.

They are kept with each revision. Here is the rest: what an earlier release kept, what was imported, what another
calculation proved.
"""

from typing import Final

import pydantic_core

from service.actions.records.transactions import Records
from service.storage import Transaction, fleet_figures_of
from service.translation.calculation_version import CALCULATION_VERSION
from service.translation.proof import proof_of
from service.wire.proof import Proof
from service.wire.refusal import Refusal
from service.wire.vessel import Vessel

AT_ONCE: Final = 50


def keep_proof(tx: Transaction, vessel: str, revision: int, digest: str, proof: Proof) -> None:
    """Keep how a revision of a vessel was proved."""
    tx.proofs.keep(
        vessel,
        revision,
        digest,
        calculation_version=proof["calculation_version"],
        state=proof["state"],
        conditions=len(proof["conditions"]),
        off=proof["off"],
    )


def refresh_fleet(records: Records) -> int:
    """Fill and prove whatever is behind; how much there was. Raises Refusal where the records are away."""
    return _fill_heads(records) + _prove(records)


def _fill_heads(records: Records) -> int:
    filled = 0
    while True:
        with records.reading() as tx:
            behind = tx.fleet_figures.behind(AT_ONCE)
        if not behind:
            return filled
        found = [(id, number, fleet_figures_of(document, answer)) for id, number, document, answer in behind]
        with records.writing() as tx:
            for id, number, figures in found:
                tx.fleet_figures.write(id, number, figures)
        filled += len(found)


def _prove(records: Records) -> int:
    with records.reading() as tx:
        behind = tx.proofs.behind(CALCULATION_VERSION)
    proved = 0
    for id in behind:
        with records.reading() as tx:
            kept = tx.vessels.revision(id)
        try:
            proof = proof_of(Vessel.model_validate(pydantic_core.from_json(kept.document)))
        except (Refusal, ValueError):  # kept by an earlier release, by rules that were less strict
            continue
        with records.writing() as tx:
            if tx.vessels.head_number(id) == kept.number:
                keep_proof(tx, id, kept.number, kept.digest, proof)
                proved += 1
    return proved
