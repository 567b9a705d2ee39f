"""The fleet shows the condition that was changed last, one line for each vessel."""

from typing import Any

from service.storage import Filter, Storage
from tests.storage.records import condition, review, vessel


def test_the_latest_condition_of_every_vessel(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        ships = [tx.vessels.create(vessel(name)).vessel for name in ("Brise", "Calme", "Dune")]
        first = tx.conditions.create(ships[0], condition("First"))
    with storage.transaction(write=True) as tx:
        tx.conditions.create(ships[0], condition("Second", verdict="fail", smallest_margin=-0.02))
        tx.conditions.create(ships[1], condition("Other"))
    with storage.transaction() as tx:
        lines = {line.name: line for line in tx.fleet.list()}
    assert lines["Brise"].title == "Second"
    assert (lines["Brise"].verdict, lines["Brise"].smallest_margin) == ("fail", -0.02)
    assert lines["Dune"].condition is None
    assert lines["Dune"].verdict is None
    with storage.transaction(write=True) as tx:
        again = tx.conditions.append(first.condition, condition("First again"), expected=first.digest)
        tx.reviews.append(first.condition, 2, review())
    with storage.transaction() as tx:
        lines = {line.name: line for line in tx.fleet.list()}
        assert (lines["Brise"].title, lines["Brise"].review_state) == ("First again", "accepted")
        assert (lines["Brise"].head_number, lines["Brise"].head_digest) == (2, again.digest)
        assert lines["Brise"].updated == again.created
        assert [line.name for line in tx.fleet.list(review_state="accepted")] == ["Brise"]
        assert [line.name for line in tx.fleet.list(verdict="fail")] == []
        assert [line.name for line in tx.fleet.list(vessels=ships[1:2])] == ["Calme"]
        page = tx.fleet.list(limit=2)
        assert [line.vessel for line in page + tx.fleet.list(after=page[-1].vessel)] == sorted(ships)


def test_what_a_list_costs_does_not_grow_with_history(sqlite_storage: Storage) -> None:
    """The plans of the fleet and the list of conditions touch heads alone and find them by index."""
    with sqlite_storage.transaction() as tx:
        seen: list[str] = []
        raw: Any = tx.connection.connection.driver_connection
        raw.set_trace_callback(seen.append)
        tx.fleet.list()
        tx.conditions.list()
        tx.conditions.list(Filter(verdict="fail"))
        raw.set_trace_callback(None)
        plans = [
            " / ".join(row[3] for row in tx.connection.exec_driver_sql("EXPLAIN QUERY PLAN " + statement))
            for statement in seen
            if statement.startswith("SELECT")
        ]
    assert len(plans) == 3
    for plan in plans:
        assert "revisions" not in plan
        assert "TEMP B-TREE" not in plan
    assert "SEARCH other USING COVERING INDEX ix_conditions_vessel_state_updated_id" in plans[0]
    assert "SEARCH conditions USING INDEX ix_conditions_verdict_created_id" in plans[2]
