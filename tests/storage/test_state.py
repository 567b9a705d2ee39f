"""States: events in a chain of their own, one condition in force per vessel, withdrawn ones out of the lists."""

import json

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from service.storage import (
    Broken,
    Conflict,
    Filter,
    NotFound,
    Stale,
    StateEntry,
    Storage,
    canonical,
    export_history,
    import_history,
    sha256,
    verify,
)
from service.storage.digest import digest
from service.storage.engine import migration_engine
from tests.storage.intruder import Intruder
from tests.storage.records import condition, filled, review, state, vessel


def two(storage: Storage) -> tuple[str, str, str]:
    """A vessel and two conditions of hers."""
    with storage.transaction(write=True) as tx:
        ship = tx.vessels.create(vessel()).vessel
        return (
            ship,
            *(tx.conditions.create(ship, condition(name)).condition for name in ("First", "Second")),  # type: ignore[return-value]
        )


def test_taking_force_puts_the_former_one_aside(storage: Storage) -> None:
    ship, first, second = two(storage)
    with storage.transaction() as tx:
        assert (tx.conditions.get(first).state, tx.states.in_force(ship), tx.states.of(first)) == (
            *("worked_on", None),
            [],
        )
    with storage.transaction(write=True) as tx:
        tx.states.append(first, state())
        kept = tx.states.append(second, state(reason="departs today"))
    assert (kept.number, kept.revision, kept.previous, kept.replaced_by) == (1, 1, None, None)
    with storage.transaction() as tx:
        aside, taken = tx.states.of(first)
        assert (aside.state, aside.number, aside.replaced_by) == ("put_aside", 2, second)
        assert (taken.state, aside.previous, aside.reason) == ("in_force", taken.digest, "departs today")
        head = tx.conditions.get(second)
        assert (head.state, head.states, head.state_digest) == ("in_force", 1, kept.digest)
        assert tx.states.in_force(ship) == second
        lines = tx.changes.after(3)
        assert [(line.event, line.condition, line.state, line.state_number) for line in lines] == [
            ("state", first, "in_force", 1),
            ("state", first, "put_aside", 2),
            ("state", second, "in_force", 1),
        ]
        assert [line.form for line in tx.changes.after(0)] == [1, 1, 1, 2, 2, 2]
        assert {line.verdict for line in lines} == {"pass"}
    assert verify(storage).states == 3
    with storage.transaction(write=True) as tx, pytest.raises(NotFound):
        tx.states.append("none", state())


def test_the_digest_by_hand(storage: Storage) -> None:
    """The rule of `digest` on a state and on the line of the feed that tells of it."""
    _, first, _ = two(storage)
    with storage.transaction(write=True) as tx:
        kept = tx.states.append(first, state())
    fields = {name: value for name, value in kept.values().items() if name != "digest"}
    assert set(fields) == {
        *("condition", "number", "state", "reason", "replaced_by", "revision", "revision_digest"),
        *("author_key", "author_name", "request_id", "created", "form", "previous"),
    }
    assert kept.digest == sha256(canonical({**fields, "kind": "condition_state"}))
    with storage.transaction() as tx:
        line = tx.changes.after(3)[0].values()
    del line["digest"]
    assert digest("change", line) == sha256(canonical({**line, "kind": "change"}))
    older = {**line, "form": 1}
    without = {name: value for name, value in older.items() if name not in ("state", "state_number")}
    assert digest("change", older) == sha256(canonical({**without, "kind": "change"}))


def test_the_database_itself_has_one_in_force(storage: Storage) -> None:
    _, first, second = two(storage)
    with storage.transaction(write=True) as tx:
        tx.states.append(first, state())
    engine = migration_engine(storage.url)
    with pytest.raises(DBAPIError), engine.begin() as connection:
        connection.execute(
            text("UPDATE conditions SET state = 'in_force', states = 1, state_digest = 'd' WHERE id = :id"),
            {"id": second},
        )
    engine.dispose()
    with storage.transaction(write=True) as tx:
        taken = tx.states.of(first)[0]
        with pytest.raises(Stale):
            tx.states.keep(taken)


def test_withdrawn_ones_can_be_left_out_and_asked_for(storage: Storage) -> None:
    ship, first, second = two(storage)
    with storage.transaction(write=True) as tx:
        other = tx.vessels.create(vessel("Calme", imo_number="9074729")).vessel
        third = tx.conditions.create(other, condition("Third")).condition
        tx.states.append(first, StateEntry(state="withdrawn", author_key="k", author_name="Mate"))
        gone = tx.states.append_vessel(other, state("withdrawn"))
    assert (gone.number, gone.revision) == (1, 1)
    with storage.transaction() as tx:
        present = Filter(states=("worked_on", "in_force", "put_aside"), of_active=True)
        assert [line.id for line in tx.conditions.list(present)] == [second]
        assert [line.id for line in tx.conditions.list(Filter(states=("withdrawn",)))] == [first]
        assert sorted(line.id for line in tx.conditions.list()) == sorted([third, second, first])
        assert [line.vessel for line in tx.fleet.list(state="active")] == [ship]
        assert [line.vessel for line in tx.fleet.list(state="withdrawn")] == [other]
        assert [line.id for line in tx.vessels.list(state="withdrawn")] == [other]
        assert tx.vessels.with_imo_number("9074729") is None
        assert tx.vessels.get(other).state == "withdrawn"
    with storage.transaction(write=True) as tx:
        tx.states.append_vessel(other, state("active"))
        assert tx.vessels.with_imo_number("9074729") == other
    assert [event.state for event in _vessel_events(storage, other)] == ["active", "withdrawn"]
    assert verify(storage).states == 3


def _vessel_events(storage: Storage, ship: str) -> list:  # type: ignore[type-arg]
    with storage.transaction() as tx:
        return tx.states.of_vessel(ship)


def test_the_fleet_shows_what_is_in_force_and_counts_what_is_worked_on(storage: Storage) -> None:
    ship, first, second = two(storage)
    with storage.transaction(write=True) as tx:
        tx.conditions.create(ship, condition("Third", verdict="fail"))
    with storage.transaction(write=True) as tx:
        tx.conditions.create(ship, condition("Fourth", verdict="fail"))
        tx.states.append(first, state())
        tx.reviews.append(first, 1, review("returned", note="Why so deep?"))
        tx.states.append(second, state("put_aside"))
    with storage.transaction() as tx:
        [line] = tx.fleet.list()
        assert (line.condition, line.state, line.verdict) == (first, "in_force", "pass")
        assert (line.reviewer_name, line.review_note) == ("Superintendent", "Why so deep?")
        [counted] = tx.fleet.worked_on([ship])
        assert (counted.vessel, counted.verdict, counted.review_state, counted.conditions) == (
            *(ship, "fail"),
            *("unreviewed", 2),
        )
    with storage.transaction(write=True) as tx:
        tx.states.append(first, state("put_aside"))
    with storage.transaction() as tx:
        [line] = tx.fleet.list()
        assert (line.title, line.state, line.reviewed) == ("Fourth", "worked_on", None)


def test_lists_show_the_last_review_of_the_head_alone(storage: Storage) -> None:
    _, first, _ = two(storage)
    with storage.transaction(write=True) as tx:
        tx.reviews.append(first, 1, review("returned", note="one"))
        tx.reviews.append(first, 1, review("returned", note="two"))
    with storage.transaction(write=True) as tx:
        found = {line.id: line for line in tx.conditions.list()}
        assert (found[first].review_note, found[first].reviewer_key) == ("two", "office01")
        entry = condition("Answered")
        tx.conditions.append(first, entry, expected=tx.conditions.get(first).head_digest)
        tx.reviews.append(first, 1, review("returned", note="late, on the first"))
        answered = next(line for line in tx.conditions.list() if line.id == first)
        assert (answered.review_state, answered.review_note) == ("unreviewed", None)


def test_states_leave_with_the_history_and_come_back(storage: Storage, sqlite_storage: Storage) -> None:
    _ship, id = filled(storage)
    with storage.transaction(write=True) as tx:
        tx.states.append(id, state("put_aside"))
    with storage.transaction() as tx:
        file = export_history(tx, id)
    assert json.loads(file)["form"] == "condition history 2"
    with sqlite_storage.transaction(write=True) as tx:
        assert import_history(tx, file).states == 2
        assert import_history(tx, file).states == 0
    verify(sqlite_storage)
    with sqlite_storage.transaction() as tx:
        assert tx.conditions.get(id).state == "put_aside"
        assert export_history(tx, id) == file
    wrong = file.replace('"put_aside"', '"withdrawn"')
    with sqlite_storage.transaction(write=True) as tx, pytest.raises(Broken):
        import_history(tx, wrong)


def test_a_history_in_force_meets_another_one_in_force(storage: Storage, sqlite_storage: Storage) -> None:
    _ship, first, second = two(storage)
    with storage.transaction(write=True) as tx:
        file = export_history(tx, first)
        tx.states.append(second, state())
        in_force = export_history(tx, second)
    with sqlite_storage.transaction(write=True) as tx:
        import_history(tx, file)
        tx.states.append(first, state())
    with (
        pytest.raises(Conflict, match="another condition of the vessel is in force"),
        sqlite_storage.transaction(write=True) as tx,
    ):
        import_history(tx, in_force)
    verify(sqlite_storage)


@pytest.mark.parametrize(
    ("statements", "kind"),
    [
        (["UPDATE conditions SET state = 'put_aside' WHERE state = 'in_force'"], "condition_state"),
        (["DELETE FROM condition_states"], "condition_state"),
        (["UPDATE condition_states SET replaced_by = 'x' WHERE number = 2"], "condition_state"),
        (["UPDATE vessels SET state = 'withdrawn'"], "vessel_state"),
        (
            ["DROP INDEX uq_conditions_in_force", "UPDATE conditions SET state = 'in_force'"],
            "condition_state",
        ),
    ],
)
def test_what_was_changed_is_found(storage: Storage, statements: list[str], kind: str) -> None:
    _, first, second = two(storage)
    with storage.transaction(write=True) as tx:
        tx.states.append(first, state())
        tx.states.append(second, state())
    verify(storage)
    intruder = Intruder(storage)
    intruder.do(*statements)
    intruder.engine.dispose()
    with pytest.raises(Broken) as found:
        verify(storage)
    assert found.value.kind == kind
