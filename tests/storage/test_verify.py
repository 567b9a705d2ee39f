"""Whatever is changed behind the back of the service, the walk along the digests finds it.

The matrix changes every column of every kind of record, one at a time; the rest are the attacks a chain of
digests is for: bytes of the file, swapped and missing records, a tail cut off, a chain rewritten from its start.
"""

import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Column, Connection, Table

from service.storage import Broken, Storage, Verified, backup, verify
from service.storage.condition import FOLLOWS
from service.storage.digest import SINCE_FORM_2, digest
from service.storage.schema import METADATA
from tests.storage.intruder import Intruder, changing, tampered, untyped
from tests.storage.records import condition, filled, review

CHAINED = ("vessel_revisions", "condition_revisions", "reviews", "condition_states", "changes")


def some_records(storage: Storage) -> Verified:
    """A small database; returns the head that somebody keeps elsewhere."""
    filled(storage, revisions=3)
    _, other = filled(storage, revisions=2)
    with storage.transaction(write=True) as tx:
        tx.reviews.append(other, 2, review("returned"))
        bare = condition(
            "Bare", phase=None, smallest_margin=None, reason=None, request_id=None, verdict="fail"
        )
        tx.conditions.create(tx.conditions.get(other).vessel, bare)
    return verify(storage)


@pytest.fixture
def records(storage: Storage) -> tuple[Storage, Verified]:
    return storage, some_records(storage)


@pytest.fixture
def intruder(storage: Storage) -> Iterator[Intruder]:
    found = Intruder(storage)
    yield found
    found.engine.dispose()


def matrix(storage: Storage) -> list[tuple[Table, dict[str, Any], Column[Any]]]:
    """Every column of the first and last row of the chained tables and the tables of heads, with the row. Left out is
    the number that hides ports and drafts until they are computed anew."""
    cases = []
    for table in (METADATA.tables[name] for name in (*CHAINED, "vessels", "conditions")):
        with storage.transaction() as tx:
            rows = [dict(row) for row in tx.connection.execute(table.select()).mappings()]
        columns = [column for column in table.columns if column.name != "shown_number"]
        cases += [(table, row, column) for row in (rows[0], rows[-1]) for column in columns]
    return cases


def test_every_column_of_every_kind_of_record_is_covered(
    records: tuple[Storage, Verified], intruder: Intruder
) -> None:
    storage, exported = records
    rng = random.Random(20261125)
    cases = matrix(storage)
    assert len(cases) > 180
    if storage.url.get_backend_name() == "postgresql":
        cases = rng.sample(cases, 60)  # the same walk: this engine only has to give back what it was given
    missed = []
    for table, row, column in cases:
        value = tampered(column, row[column.name], rng)
        if value is None:
            continue
        key = {c.name: row[c.name] for c in table.primary_key}
        intruder.do(changing(untyped(table), key, {column.name: value}))
        try:
            verify(storage, exported.head)
            missed.append((table.name, key, column.name))
        except Broken:
            pass
        changed = {**key, column.name: value} if column.name in key else key
        intruder.do(changing(untyped(table), changed, {column.name: row[column.name]}))
    assert missed == []
    assert verify(storage, exported.head) == exported


def broken(storage: Storage, exported: Verified | None = None) -> Broken:
    with pytest.raises(Broken) as found:
        verify(storage, exported.head if exported else None)
    return found.value


def test_the_first_broken_link_is_named(records: tuple[Storage, Verified], intruder: Intruder) -> None:
    storage, _ = records
    with storage.transaction() as tx:
        first = min(line.id for line in tx.conditions.list())
    intruder.do(
        f"UPDATE condition_revisions SET document = document || ' ' WHERE condition = '{first}' AND number > 1"
    )
    found = broken(storage)
    assert (found.kind, found.id, found.number) == ("condition_revision", first, 2)
    assert "digest" in found.reason


def test_two_swapped_revisions_are_found(records: tuple[Storage, Verified], intruder: Intruder) -> None:
    storage, _ = records
    with storage.transaction() as tx:
        first = min(line.id for line in tx.conditions.list())
    where = f"WHERE condition = '{first}' AND number ="
    intruder.do(
        f"UPDATE condition_revisions SET number = 99 {where} 1",
        f"UPDATE condition_revisions SET number = 1 {where} 2",
        f"UPDATE condition_revisions SET number = 2 {where} 99",
    )
    found = broken(storage)
    assert (found.kind, found.id, found.number) == ("condition_revision", first, 1)


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_missing_revision_is_found(
    records: tuple[Storage, Verified], intruder: Intruder, number: int
) -> None:
    storage, _ = records
    with storage.transaction() as tx:
        first = min(line.id for line in tx.conditions.list())
    intruder.do(f"DELETE FROM condition_revisions WHERE condition = '{first}' AND number = {number}")
    found = broken(storage)
    assert (found.kind, found.id, found.number) == ("condition_revision", first, number)


@pytest.mark.parametrize("table", [*CHAINED, "vessels", "conditions"])
def test_an_emptied_table_is_found(records: tuple[Storage, Verified], intruder: Intruder, table: str) -> None:
    storage, _ = records
    intruder.do(f"DELETE FROM {table}")
    broken(storage)


def cut_tail(connection: Connection, keep: int) -> None:
    """Remove everything the feed names after line `keep`, and set the heads back: no trace is left inside."""
    for name, key in (
        ("vessel_revisions", "vessel"),
        ("condition_revisions", "condition"),
        ("reviews", "condition"),
        ("condition_states", "condition"),
    ):
        connection.exec_driver_sql(
            f"DELETE FROM {name} WHERE digest IN (SELECT subject FROM changes WHERE id > {keep})"
        )
        if name.endswith("_revisions"):
            parent = key + "s"
            connection.exec_driver_sql(f"DELETE FROM {parent} WHERE id NOT IN (SELECT {key} FROM {name})")
    connection.exec_driver_sql(f"DELETE FROM changes WHERE id > {keep}")


def relink(connection: Connection) -> None:
    """Give every record a digest that fits what it holds now, as somebody who knows the rule would do."""
    tables = METADATA.tables
    vessels: dict[tuple[str, int], str] = {}
    conditions: dict[tuple[str, int], str] = {}
    reviews: dict[tuple[str, int], str] = {}

    def walk(name: str, kind: str, parent: str, counter: str) -> Iterator[dict[str, Any]]:
        table = tables[name]
        order = (table.c[parent], table.c[counter]) if parent else (table.c[counter],)
        last: tuple[str, str] | None = None
        for row in map(dict, connection.execute(table.select().order_by(*order)).mappings().all()):
            row["previous"] = last[1] if last and (not parent or last[0] == row[parent]) else None
            yield row
            row["digest"] = digest(kind, row)
            last = (row[parent] if parent else "", row["digest"])
            key = {c.name: row[c.name] for c in table.primary_key}
            connection.execute(changing(table, key, row))

    rows = []
    for row in walk("vessel_revisions", "vessel_revision", "vessel", "number"):
        rows.append(row)
    for row in rows:
        vessels[row["vessel"], row["number"]] = row["digest"]
        head = {"head_number": row["number"], "head_digest": row["digest"]}
        head |= {"updated": row["created"], "name": row["name"], "imo_number": row["imo_number"]}
        connection.execute(changing(tables["vessels"], {"id": row["vessel"]}, head))
    rows = []
    for row in walk("condition_revisions", "condition_revision", "condition", "number"):
        row["vessel_digest"] = vessels[row["vessel"], row["vessel_revision"]]
        rows.append(row)
    for row in rows:
        conditions[row["condition"], row["number"]] = row["digest"]
        head = {"head_number": row["number"], "head_digest": row["digest"], "updated": row["created"]}
        head |= {name: row[name] for name in (*FOLLOWS, *SINCE_FORM_2)} | {"review_state": "unreviewed"}
        head |= {"figures_number": row["number"]}
        head |= {"reviews": 0, "review_digest": None, "state": "worked_on", "states": 0, "state_digest": None}
        connection.execute(changing(tables["conditions"], {"id": row["condition"]}, head))
    rows = []
    for row in walk("reviews", "review", "condition", "number"):
        row["revision_digest"] = conditions[row["condition"], row["revision"]]
        rows.append(row)
    for row in rows:
        reviews[row["condition"], row["number"]] = row["digest"]
        head = {"reviews": row["number"], "review_digest": row["digest"]}
        table = tables["conditions"]
        connection.execute(changing(table, {"id": row["condition"]}, head))
        at_head = {"id": row["condition"], "head_number": row["revision"]}
        connection.execute(changing(table, at_head, {"review_state": row["decision"]}))
    rows = []
    states: dict[tuple[str, int], str] = {}
    for row in walk("condition_states", "condition_state", "condition", "number"):
        row["revision_digest"] = conditions[row["condition"], row["revision"]]
        rows.append(row)
    for row in rows:
        states[row["condition"], row["number"]] = row["digest"]
        head = {"state": row["state"], "states": row["number"], "state_digest": row["digest"]}
        connection.execute(changing(tables["conditions"], {"id": row["condition"]}, head))
    for row in walk("changes", "change", "", "id"):
        kept = {
            "vessel_revision": lambda row: vessels[row["vessel"], row["revision"]],
            "condition_revision": lambda row: conditions[row["condition"], row["revision"]],
            "review": lambda row: reviews[row["condition"], row["review"]],
            "state": lambda row: states[row["condition"], row["state_number"]],
        }
        row["subject"] = kept[row["event"]](row)


def test_a_cut_tail_is_found_against_an_exported_head_alone(
    records: tuple[Storage, Verified], intruder: Intruder
) -> None:
    storage, exported = records
    for keep in range(exported.changes - 1, 2, -1):
        intruder.do(lambda connection, keep=keep: cut_tail(connection, keep), relink)
        assert verify(storage).changes == keep  # nothing inside the database tells
        found = broken(storage, exported)
        assert (found.kind, found.number) == ("change", keep + 1)


def test_a_rewritten_chain_is_found_against_an_exported_head_alone(
    records: tuple[Storage, Verified], intruder: Intruder
) -> None:
    storage, exported = records
    edit = "UPDATE condition_revisions SET verdict = 'pass', smallest_margin = 0.3 WHERE verdict = 'fail'"
    intruder.do(edit, "UPDATE changes SET verdict = 'pass' WHERE verdict = 'fail'", relink)
    assert verify(storage).changes == exported.changes
    found = broken(storage, exported)
    assert (found.kind, found.number) == ("change", exported.changes)
    assert "rewritten" in found.reason


def test_flipped_bits_of_the_file_are_found(sqlite_storage: Storage, tmp_path: Path) -> None:
    exported = some_records(sqlite_storage)
    whole = tmp_path / "whole.db"
    backup(sqlite_storage.url.render_as_string(), whole)
    sound = whole.read_bytes()
    # Pages with the texts of a kept revision: every place where its document or answer stands.
    places = [
        n for word in (b'"tanks"', b'"displacement":4711.25', b"Chief mate") for n in positions(sound, word)
    ]
    rng = random.Random(3)
    flipped = tmp_path / "flipped.db"
    missed = []
    for place in rng.choices(places, k=150):
        at = place + rng.randrange(7)
        damaged = bytearray(sound)
        damaged[at] ^= 1 << rng.randrange(8)
        flipped.write_bytes(damaged)
        other = Storage(f"sqlite:///{flipped}", readers=1)
        try:
            verify(other, exported.head)
            missed.append(at)
        except Broken:
            pass
        other.close()
    assert missed == []


def positions(data: bytes, word: bytes) -> Iterator[int]:
    at = data.find(word)
    while at >= 0:
        yield at
        at = data.find(word, at + 1)


def test_an_empty_database_verifies(storage: Storage) -> None:
    assert verify(storage) == Verified(0, 0, 0, 0, None)
