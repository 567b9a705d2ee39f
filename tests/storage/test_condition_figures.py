"""Dangers and margins as columns: new revisions have them under their digest, older ones hold without them."""

import json
from typing import Any

import pytest
from sqlalchemy import text

from service.storage import Broken, Storage, export_history, import_history, verify
from service.storage.condition_figures import ConditionFigures
from service.storage.digest import CONDITION_FORM, FORM, SINCE_FORM_2, digest, sha256
from service.storage.engine import migration_engine
from tests.storage.records import condition, filled, kept_by_1_0_0, vessel

FIGURES = {
    "dangers": 2,
    "least_margin": -0.013,
    "least_margin_unit": "m",
    "least_margin_criterion": "vessel-gm-limits-min-gm",
    "least_margin_gm": -0.013,
    "least_margin_side": None,
    "load_line_draft": 1.73,
    "load_line_mass": 2027.8,
}
NONE = dict.fromkeys(SINCE_FORM_2)


def figures_of(record: Any) -> dict[str, Any]:
    return {name: getattr(record, name) for name in SINCE_FORM_2}


def imported(storage: Storage) -> str:
    """The history of 1.0.0 read in; the id of its condition."""
    with storage.transaction(write=True) as tx:
        return import_history(tx, kept_by_1_0_0()).condition


def test_the_fields_of_form_2_are_the_columns() -> None:
    assert set(SINCE_FORM_2) == set(ConditionFigures.model_fields) == set(FIGURES)


def test_lists_the_fleet_and_the_history_show_them(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        ship = tx.vessels.create(vessel()).vessel
        kept = tx.conditions.create(ship, condition(**FIGURES))
    assert kept.form == CONDITION_FORM
    with storage.transaction() as tx:
        [head], [line], [history] = (
            tx.conditions.list(),
            tx.fleet.list(),
            tx.conditions.history(kept.condition),
        )
        for record in (head, line, history, tx.conditions.get(kept.condition)):
            assert figures_of(record) == FIGURES
    with storage.transaction(write=True) as tx:
        tx.conditions.append(kept.condition, condition(**FIGURES | {"dangers": 0}), expected=kept.digest)
    with storage.transaction() as tx:
        assert tx.fleet.list()[0].dangers == tx.conditions.get(kept.condition).dangers == 0
    verify(storage)


def test_the_digest_of_each_form_by_hand() -> None:
    """The rule of the module: what a form does not have is left out, everything else is under the digest."""
    record = {"number": 1, "document": "{}", "dangers": 1, "load_line_mass": 36.5}
    envelope = '{"document":"' + sha256("{}") + '","form":1,"kind":"condition_revision","number":1}'
    assert digest("condition_revision", {**record, "form": FORM}) == sha256(envelope)
    envelope = (
        '{"dangers":1,"document":"' + sha256("{}") + '","form":2,"kind":"condition_revision",'
        '"load_line_mass":36.5,"number":1}'
    )
    assert digest("condition_revision", {**record, "form": CONDITION_FORM}) == sha256(envelope)


def test_revisions_of_1_0_0_hold_and_show_no_figures(storage: Storage) -> None:
    id = imported(storage)
    assert verify(storage).condition_revisions == 4
    with storage.transaction() as tx:
        head = tx.conditions.get(id)
        assert {line.form for line in tx.conditions.history(id)} == {FORM}
        for record in (head, tx.fleet.list()[0], *tx.conditions.history(id)):
            assert figures_of(record) == NONE
        assert export_history(tx, id) + "\n" == kept_by_1_0_0()  # so 1.0.0 reads it as well


def test_a_history_of_both_forms_leaves_and_comes_back(storage: Storage, sqlite_storage: Storage) -> None:
    id = imported(storage)
    with storage.transaction(write=True) as tx:
        entry = condition(**FIGURES, phase=None)
        tx.conditions.append(id, entry, expected=tx.conditions.get(id).head_digest)
    verify(storage)
    with storage.transaction() as tx:
        file = export_history(tx, id)
    forms = [set(row) >= set(SINCE_FORM_2) for row in json.loads(file)["condition"]["revisions"]]
    assert forms == [False] * 4 + [True]
    imported(sqlite_storage)  # the older file first: the longer one adds what is new
    with sqlite_storage.transaction(write=True) as tx:
        assert import_history(tx, file).condition_revisions == 1
    verify(sqlite_storage)
    with sqlite_storage.transaction() as tx:
        assert figures_of(tx.conditions.get(id)) == FIGURES
        assert export_history(tx, id) == file


def test_a_head_that_the_previous_release_moved_shows_no_figures_of_before(storage: Storage) -> None:
    """1.0.0 may run beside this release; it writes form 1 and knows nothing of the new columns of the head."""
    _, id = filled(storage, revisions=1)
    with storage.transaction(write=True) as tx:
        first = tx.conditions.revision(id)
        second = {name: value for name, value in first.values().items() if name not in SINCE_FORM_2}
        second |= {"number": 2, "form": FORM, "previous": first.digest, "verdict": "fail", "created": tx.now}
        second["digest"] = digest("condition_revision", second)
        names = ", ".join(second)
        places = ", ".join(f":{name}" for name in second)
        tx.connection.execute(text(f"INSERT INTO condition_revisions ({names}) VALUES ({places})"), second)
        tx.connection.execute(
            text(
                "UPDATE conditions SET head_number = 2, head_digest = :digest, verdict = 'fail',"
                " updated = :created WHERE id = :condition"
            ),
            second,
        )
        tx.statements.wrote = True
        tx.conditions._changes.record(
            "condition_revision",
            vessel=first.vessel,
            condition=id,
            revision=2,
            verdict="fail",
            subject=second["digest"],
        )
    verify(storage)
    with storage.transaction() as tx:
        for record in (tx.conditions.get(id), tx.conditions.list()[0], tx.fleet.list()[0]):
            assert (record.verdict, figures_of(record)) == ("fail", NONE)
    with storage.transaction(write=True) as tx:
        tx.conditions.append(id, condition(**FIGURES), expected=second["digest"])
    verify(storage)
    with storage.transaction() as tx:
        assert figures_of(tx.conditions.get(id)) == FIGURES


@pytest.mark.parametrize("table", ["condition_revisions", "conditions"])
def test_figures_written_beside_an_older_revision_are_found(storage: Storage, table: str) -> None:
    """No digest covers them, so a revision of form 1 must not have any; nor may its head."""
    id = imported(storage)
    engine = migration_engine(storage.url)
    with engine.begin() as connection:
        sqlite, trigger = connection.dialect.name == "sqlite", "condition_revisions_refuses_update"
        written = f"SELECT sql FROM sqlite_master WHERE name = '{trigger}'"
        again = connection.exec_driver_sql(written).scalar_one() if sqlite else "SELECT 1"
        connection.exec_driver_sql(
            f"DROP TRIGGER {trigger}" if sqlite else "SET LOCAL session_replication_role = replica"
        )
        connection.exec_driver_sql(f"UPDATE {table} SET dangers = 0")
        connection.exec_driver_sql(again)
    engine.dispose()
    with pytest.raises(Broken) as found:
        verify(storage)
    assert found.value.id == id
