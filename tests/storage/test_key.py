"""Keys, kept answers and the audit log."""

import pytest

from service.storage import AuditEntry, Conflict, NotFound, Storage


def test_a_key_is_kept_used_rescoped_and_revoked(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        assert not tx.keys.any()
        tx.keys.add(
            "k1", name="Brise", role="ship", secret_hash="ab", vessels=["v2", "v1", "v2"], created_by="k0"
        )
        tx.keys.add(
            "k2", name="Office", role="administrator", secret_hash="cd", expires="2027-01-01T00:00:00.000000Z"
        )
    with storage.transaction() as tx:
        assert tx.keys.any()
        assert tx.keys.get("k1").vessel_ids == {"v1", "v2"}
        assert tx.keys.get("k2").vessel_ids is None
        assert (tx.keys.get("k1").revoked, tx.keys.get("k1").last_used) == (None, None)
        assert [key.id for key in tx.keys.list()] == ["k1", "k2"]
        assert [key.id for key in tx.keys.list(after="k1")] == ["k2"]
    with storage.transaction(write=True) as tx:
        tx.keys.touch("k1")
        tx.keys.rescope("k1", [])
        revoked = tx.keys.revoke("k1").revoked
        used = tx.now
    with storage.transaction(write=True) as tx:
        assert tx.keys.revoke("k1").revoked == revoked == used
        assert tx.keys.get("k1").last_used == used
        assert tx.keys.get("k1").vessel_ids == frozenset()
        with pytest.raises(NotFound):
            tx.keys.revoke("none")


def test_a_key_is_made_once(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        tx.keys.add("k1", name="Brise", role="ship", secret_hash="ab")
    with pytest.raises(Conflict), storage.transaction(write=True) as tx:
        tx.keys.add("k1", name="Other", role="ship", secret_hash="cd")


def test_a_key_of_a_fleet_sees_what_is_in_it_now(storage: Storage) -> None:
    """And to a release that reads `vessels` alone it is a key of some ships, never of all."""
    with storage.transaction(write=True) as tx:
        tx.named_fleets.put("north", name="North", vessels=["v2", "v1", "v2"])
        tx.named_fleets.put("south", name="South", vessels=[])
        tx.keys.add("k1", name="Office", role="reviewer", secret_hash="ab", fleets=["north", "south"])
        tx.keys.add("k2", name="Brise", role="ship", secret_hash="ab", vessels=["v9"], fleets=["south"])
    with storage.transaction() as tx:
        first, second = tx.keys.get("k1"), tx.keys.get("k2")
        assert (first.vessels, first.fleet_ids) == ("[]", {"north", "south"})
        assert tx.named_fleets.scope(first.vessel_ids, first.fleet_ids) == {"v1", "v2"}
        assert tx.named_fleets.scope(second.vessel_ids, second.fleet_ids) == {"v9"}
        assert tx.named_fleets.scope(None, ()) is None
        assert tx.named_fleets.scope(None, ["nobodys"]) == frozenset()
        assert [(fleet.id, fleet.number) for fleet in tx.named_fleets.list()] == [("north", 1), ("south", 1)]
    with storage.transaction(write=True) as tx:
        fleet = tx.named_fleets.put("south", name="South and west", vessels=["v3"])
        assert (fleet.number, fleet.members, fleet.name) == (2, {"v3"}, "South and west")
    with storage.transaction() as tx:
        assert tx.named_fleets.scope(first.vessel_ids, first.fleet_ids) == {"v1", "v2", "v3"}
        assert tx.named_fleets.find("west") is None
        with pytest.raises(NotFound):
            tx.named_fleets.get("west")
    with storage.transaction(write=True) as tx:
        assert tx.keys.rescope("k1", ["v1"]).fleet_ids == frozenset()


def test_a_time_has_one_form(storage: Storage) -> None:
    for wrong in ("2027-01-01", "2027-01-01T00:00:00Z", "2027-01-01T00:00:00.000000+00:00"):
        with pytest.raises(Exception, match="not a UTC time"), storage.transaction(write=True) as tx:
            tx.keys.add("k1", name="Brise", role="ship", secret_hash="ab", expires=wrong)


def test_an_answer_is_kept_once_and_forgotten_by_age(storage: Storage) -> None:
    answer = {"fingerprint": "f", "status": 201, "headers": "{}", "body": '{"n":1.0}'}
    with storage.transaction(write=True) as tx:
        assert tx.idempotency.find("k1", "a") is None
        kept = tx.idempotency.keep("k1", "a", **answer)
        tx.idempotency.keep("k2", "a", **answer)
    with storage.transaction() as tx:
        assert tx.idempotency.find("k1", "a") == kept
    with pytest.raises(Conflict), storage.transaction(write=True) as tx:
        tx.idempotency.keep("k1", "a", **answer)
    with storage.transaction(write=True) as tx:
        assert tx.idempotency.purge(kept.created) == 0
        assert tx.idempotency.purge("9999-01-01T00:00:00.000000Z") == 2
        assert tx.idempotency.find("k1", "a") is None


def test_the_audit_log_is_read_newest_first(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        for number in range(5):
            tx.audit.append(
                AuditEntry(
                    key_id=f"k{number % 2}",
                    key_name="Brise",
                    action="add_revision",
                    status=201,
                    address="127.0.0.1",
                    vessel="v1",
                    condition="c1",
                    revision=number,
                    reason="line\nbreak",
                )
            )
    with storage.transaction() as tx:
        lines = tx.audit.list()
        assert [line.revision for line in lines] == [4, 3, 2, 1, 0]
        assert [line.revision for line in tx.audit.list(key_id="k1")] == [3, 1]
        assert [line.revision for line in tx.audit.list(vessel="v1", before=lines[2].id, limit=1)] == [1]
        assert tx.audit.list(vessel="v2") == []
        assert lines[0].address == "127.0.0.1"
