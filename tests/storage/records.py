"""Entries for the storage tests; ship, people and figures are invented."""

from pathlib import Path
from typing import Any

from service.storage import (
    AuditEntry,
    ConditionEntry,
    ReviewEntry,
    StateEntry,
    Storage,
    Verified,
    VesselEntry,
    canonical,
    verify,
)

HISTORY_1_0_0 = Path(__file__).parents[1] / "regression" / "kept" / "history_1_0_0.json"
MATE = {"author_key": "mate0001", "author_name": "Chief mate"}
OFFICE = {"author_key": "office01", "author_name": "Superintendent"}
ANSWER: dict[str, Any] = {"fingerprint": "f", "status": 201, "headers": '{"etag":"x"}', "body": '{"n":1.0}'}
ENTRY = {
    "key_name": "Mate",
    "action": "add_revision",
    "status": 200,
    "request_id": "r",
    "address": "127.0.0.1",
    "vessel": "v",
    "condition": "c",
    "revision": 2,
    "digest_before": "b",
    "digest_after": "a",
    "reason": "loaded",
}


def vessel(name: str = "Brise", **fields: Any) -> VesselEntry:
    document = canonical({"name": name, "lightship": {"mass": 2160.5}})
    return VesselEntry(**{"name": name, "source": "booklet, issue 2", "document": document, **MATE, **fields})


def condition(title: str = "Departure", **fields: Any) -> ConditionEntry:
    values = {
        "title": title,
        "phase": "departure",
        "verdict": "pass",
        "smallest_margin": 0.125,
        "smallest_margin_criterion": "area to 30 degrees",
        "displacement": 4711.25,
        "gm_corrected": 0.61,
        "dangers": 1,
        "least_margin": 0.0315,
        "least_margin_unit": "m·rad",
        "least_margin_criterion": "area to 30 degrees",
        "least_margin_gm": 0.155,
        "least_margin_side": "port",
        "load_line_draft": 0.028,
        "load_line_mass": 36.9,
        "vessel_revision": 1,
        "rule_sets": canonical(["is_code_2008"]),
        "calculation_version": "1",
        "reason": "loaded",
        "request_id": "r-1",
        "document": canonical({"title": title, "tanks": [{"tank": "DB4P", "fill": 62}]}),
        "assessment": canonical({"verdict": "pass", "displacement": 4711.25}),
        **MATE,
    }
    return ConditionEntry(**{**values, **fields})


def kept_by_1_0_0() -> str:
    """The history of a condition as release 1.0.0 exported it: four revisions of form 1, one of them reviewed.

    They are the demonstration conditions departure-homogeneous (accepted), over-full-tank, timber-loll and, posted in
    feet and long tons, grain-departure."""
    return HISTORY_1_0_0.read_text("utf-8")


def review(decision: str = "accepted", **fields: Any) -> ReviewEntry:
    return ReviewEntry(**{"decision": decision, "note": "seen", **OFFICE, **fields})


def state(name: str = "in_force", **fields: Any) -> StateEntry:
    return StateEntry(**{"state": name, "reason": "she sails with this", **MATE, **fields})


def filled(storage: Storage, revisions: int = 3) -> tuple[str, str]:
    """A vessel with two revisions, a condition with some, in force, a review on the second; returns their ids."""
    with storage.transaction(write=True) as tx:
        first = tx.vessels.create(vessel())
        tx.vessels.append(first.vessel, vessel(reason="KM corrected"), expected=first.digest)
        last = tx.conditions.create(first.vessel, condition())
        for number in range(2, revisions + 1):
            entry = condition(f"Departure {number}", vessel_revision=2)
            last = tx.conditions.append(last.condition, entry, expected=last.digest)
        if revisions > 1:
            tx.reviews.append(last.condition, 2, review())
        tx.states.append(last.condition, state())
    return first.vessel, last.condition


def with_rows(storage: Storage) -> Verified:
    """Two keys, a fleet, audit lines, kept answers and a check value beside some records; the head that somebody keeps
    elsewhere."""
    filled(storage)
    with storage.transaction(write=True) as tx:
        tx.keys.add("k1", name="Mate", role="ship", secret_hash="00", vessels=["v"], created_by="k0")
        tx.keys.add(
            "k2", name="Office", role="reviewer", secret_hash="11", expires="2031-01-01T00:00:00.000000Z"
        )
        tx.pepper.append("scrypt")
        tx.named_fleets.put("north", name="North", vessels=["v"])
        for number in range(3):
            tx.audit.append(AuditEntry(key_id=f"k{number}", **ENTRY))
        for name in ("a", "b", 'c"'):
            tx.idempotency.keep("k1", name, **ANSWER)
    with storage.transaction(write=True) as tx:
        tx.keys.rescope("k1", ["v", "w"], ["north"])
        tx.named_fleets.put("north", name="North Sea", vessels=["v", "w"])
        tx.keys.revoke("k2")
        tx.keys.touch("k1")
        tx.audit.append(AuditEntry(key_id="k1", key_name="Mate", action="revoke_key", status=200))
    return verify(storage)
