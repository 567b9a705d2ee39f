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
    done, skipped = 0, set[str]()
    while step := refresh_some(records, skipped):
        done += step
    return done


def refresh_some(records: Records, skipped: set[str]) -> int:
    """A part of that, short enough for a server that is to end: up to `AT_ONCE` heads, else one proof. How much; 0
    where nothing is behind. skipped: vessels that cannot be proved, which are added here."""
    return _fill_heads(records) or _prove_one(records, skipped)


def _fill_heads(records: Records) -> int:
    with records.reading() as tx:
        behind = tx.fleet_figures.behind(AT_ONCE)
    found = [(id, number, fleet_figures_of(document, answer)) for id, number, document, answer in behind]
    if found:
        with records.writing() as tx:
            for id, number, figures in found:
                tx.fleet_figures.write(id, number, figures)
    return len(found)


def _prove_one(records: Records, skipped: set[str]) -> int:
    with records.reading() as tx:
        behind = [id for id in tx.proofs.behind(CALCULATION_VERSION) if id not in skipped]
        kept = tx.vessels.revision(behind[0]) if behind else None
    if kept is None:
        return 0
    try:
        proof = proof_of(Vessel.model_validate(pydantic_core.from_json(kept.document)))
    except (Refusal, ValueError):  # kept by an earlier release, by rules that were less strict
        skipped.add(kept.vessel)
        return 1
    with records.writing() as tx:
        if tx.vessels.head_number(kept.vessel) == kept.number:
            keep_proof(tx, kept.vessel, kept.number, kept.digest, proof)
    return 1
