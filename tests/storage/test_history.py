"""A condition's history leaves as one file and comes back elsewhere as it was."""

import json
from typing import Any

import pytest

from service.storage import (
    Broken,
    Conflict,
    Imported,
    NotFound,
    Storage,
    export_history,
    import_history,
    migrate,
    verify,
)
from tests.storage.records import condition, filled, review, vessel


@pytest.fixture
def elsewhere(sqlite_storage: Storage) -> Storage:
    return sqlite_storage


def exported(storage: Storage, id: str) -> str:
    with storage.transaction() as tx:
        return export_history(tx, id)


def imported(storage: Storage, text: str) -> Imported:
    with storage.transaction(write=True) as tx:
        return import_history(tx, text)


def test_it_comes_back_as_it_was(storage: Storage, elsewhere: Storage) -> None:
    ship, kept = filled(storage)
    filled(elsewhere)  # something else is there already
    text = exported(storage, kept)
    assert imported(elsewhere, text) == Imported(ship, kept, 2, 3, 1, 1)
    assert exported(elsewhere, kept) == text
    with storage.transaction() as here, elsewhere.transaction() as there:
        assert here.conditions.get(kept) == there.conditions.get(kept)
        assert here.vessels.get(ship) == there.vessels.get(ship)
        assert here.conditions.revision(kept, 2) == there.conditions.revision(kept, 2)
        assert here.reviews.of(kept) == there.reviews.of(kept)
        assert [line.event for line in there.changes.after(7)] == (
            ["vessel_revision"] * 2 + ["condition_revision"] * 3 + ["review", "state"]
        )
    assert verify(elsewhere).condition_revisions == 6
    assert imported(elsewhere, text) == Imported(ship, kept, 0, 0, 0)


def test_a_longer_history_adds_what_is_new(storage: Storage, elsewhere: Storage) -> None:
    ship, kept = filled(storage, revisions=2)
    imported(elsewhere, exported(storage, kept))
    with storage.transaction(write=True) as tx:
        head = tx.conditions.get(kept)
        newest = tx.vessels.append(ship, vessel("Brise III"), expected=tx.vessels.get(ship).head_digest)
        entry = condition("Later", vessel_revision=newest.number)
        tx.conditions.append(kept, entry, expected=head.head_digest)
        tx.reviews.append(kept, 3, review("returned"))
    text = exported(storage, kept)
    assert imported(elsewhere, text) == Imported(ship, kept, 1, 1, 1)
    assert exported(elsewhere, kept) == text
    verify(elsewhere)
    # and the older file still agrees with what is there
    with elsewhere.transaction() as tx:
        assert tx.conditions.get(kept).review_state == "returned"


def test_two_histories_that_part_are_refused(storage: Storage, elsewhere: Storage) -> None:
    _, kept = filled(storage, revisions=2)
    imported(elsewhere, exported(storage, kept))
    for place, title in ((storage, "Ours"), (elsewhere, "Theirs")):
        with place.transaction(write=True) as tx:
            head = tx.conditions.get(kept)
            tx.conditions.append(kept, condition(title), expected=head.head_digest)
    before = verify(elsewhere)
    with pytest.raises(Conflict, match=r"another history of condition .* from number 3"):
        imported(elsewhere, exported(storage, kept))
    assert verify(elsewhere) == before


def edits(file: dict[str, Any]) -> dict[str, Any]:
    """Ways to spoil a file; each changes a fresh copy."""

    def revision(number: int) -> dict[str, Any]:
        return file["condition"]["revisions"][number - 1]

    return {
        "document": lambda: revision(2).update(document=revision(2)["document"].replace("62", "41")),
        "verdict": lambda: revision(1).update(verdict="fail"),
        "digest": lambda: revision(3).update(digest="0" * 64),
        "order": lambda: file["condition"]["revisions"].reverse(),
        "missing": lambda: file["condition"]["revisions"].pop(1),
        "extra field": lambda: revision(1).update(port="x"),
        "field left out": lambda: revision(1).pop("title"),
        "another owner": lambda: file["condition"].update(id="other"),
        "vessel": lambda: file["vessel"]["revisions"][0].update(name="Other"),
        "vessel cut": lambda: file["vessel"]["revisions"].pop(),
        "review": lambda: file["condition"]["reviews"][0].update(decision="returned"),
        "review without its revision": lambda: file["condition"]["revisions"].__delitem__(slice(1, None)),
        "no revisions": lambda: file["condition"].update(revisions=[], reviews=[]),
        "no vessel": lambda: file.pop("vessel"),
        "form": lambda: file.update(form="something else"),
        "unknown rule": lambda: revision(1).update(form=3),
        "older rule": lambda: revision(1).update(form=1),
        "figure": lambda: revision(1).update(dangers=0),
        "figure left out": lambda: revision(1).pop("least_margin_gm"),
        "lone surrogate": lambda: revision(1).update(title="\ud800"),
    }


@pytest.mark.parametrize("edit", edits({}))
def test_a_spoilt_file_is_refused_and_nothing_is_kept(
    sqlite_storage: Storage, tmp_path: Any, edit: str
) -> None:
    _, kept = filled(sqlite_storage)
    file = json.loads(exported(sqlite_storage, kept))
    edits(file)[edit]()
    url = f"sqlite:///{tmp_path / 'empty.db'}"
    migrate(url)
    empty = Storage(url)
    with pytest.raises((Broken, Conflict)):
        imported(empty, json.dumps(file))
    assert verify(empty).changes == 0
    empty.close()


@pytest.mark.parametrize("text", ["", "[]", "null", "{}", '{"form": "condition history 1"}', "[" * 5000])
def test_what_is_no_file_of_ours_is_refused(sqlite_storage: Storage, text: str) -> None:
    with pytest.raises(Conflict):
        imported(sqlite_storage, text)


def test_an_unknown_condition_has_no_history(storage: Storage) -> None:
    with pytest.raises(NotFound):
        exported(storage, "none")
