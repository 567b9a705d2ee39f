"""Triggers, keys, audit lines and kept answers: what is changed behind the back of the service is found and named."""

import os
import random
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection

from service.storage import Broken, Storage, Verified, append_only, backup, cover, migrate, verify
from service.storage.engine import migration_engine, sqlite_path
from service.storage.row_digest import COVERED, ROW_DIGESTS, line_after
from service.storage.schema import METADATA
from tests.postgres import Server
from tests.storage.intruder import Intruder, changing, tampered, untyped
from tests.storage.records import ANSWER, filled, with_rows


@pytest.fixture
def rows(storage: Storage) -> tuple[Storage, Verified]:
    return storage, with_rows(storage)


@pytest.fixture
def intruder(storage: Storage) -> Iterator[Intruder]:
    found = Intruder(storage)
    yield found
    found.engine.dispose()


def broken(storage: Storage, exported: Verified | None = None) -> Broken:
    with pytest.raises(Broken) as found:
        verify(storage, exported.head if exported else None)
    return found.value


def test_what_holds_is_counted(rows: tuple[Storage, Verified]) -> None:
    storage, found = rows
    assert (found.keys, found.audit_lines, found.kept_answers, found.fleets) == (2, 4, 3, 1)
    assert found.head is not None
    assert found.head.rows_id == 2 + 1 + 1 + 3 + 3 + 2 + 1 + 1
    with storage.transaction() as tx:
        assert [line.id for line in tx.audit.list()] == [4, 3, 2, 1]


def test_every_column_of_every_row_is_covered(rows: tuple[Storage, Verified], intruder: Intruder) -> None:
    storage, exported = rows
    rng = random.Random(4)
    missed, changed = [], 0
    for name in (*(covered.table for covered in COVERED.values()), "row_digests"):
        table = METADATA.tables[name]
        with storage.transaction() as tx:
            found = [dict(row) for row in tx.connection.execute(table.select()).mappings()]
        for row in (found[0], found[-1]):
            for column in table.columns:
                if (name, column.name) == ("keys", "last_used"):
                    continue  # it changes with use; README says that nothing covers it
                value = tampered(column, row[column.name], rng)
                key = {c.name: row[c.name] for c in table.primary_key}
                intruder.do(changing(untyped(table), key, {column.name: value}))
                changed += 1
                try:
                    verify(storage, exported.head)
                    missed.append((name, key, column.name))
                except Broken:
                    pass
                place = {**key, column.name: value} if column.name in key else key
                intruder.do(changing(untyped(table), place, {column.name: row[column.name]}))
    assert missed == []
    assert changed > 80
    assert verify(storage, exported.head) == exported


@pytest.mark.parametrize(
    ("statement", "kind", "id", "reason"),
    [
        ("UPDATE keys SET role = 'administrator' WHERE id = 'k1'", "key", "k1", "digest"),
        ("UPDATE keys SET revoked = NULL WHERE id = 'k2'", "key", "k2", "digest"),
        ("DELETE FROM keys WHERE id = 'k1'", "key", "k1", "missing"),
        ("UPDATE keys SET fleets = NULL WHERE id = 'k1'", "key", "k1", "digest"),
        ("UPDATE fleets SET vessels = '[]' WHERE id = 'north'", "fleet", "north", "digest"),
        ("DELETE FROM fleets WHERE id = 'north'", "fleet", "north", "missing"),
        ("UPDATE audit SET key_name = 'Other' WHERE id = 2", "audit", "2", "digest"),
        ("DELETE FROM audit WHERE id = 4", "audit", "4", "missing"),
        ("DELETE FROM audit", "audit", "1", "missing"),
        (
            "UPDATE kept_answers SET body = '{}' WHERE idempotency_key = 'b'",
            "kept_answer",
            '["k1", "b"]',
            "digest",
        ),
        ("DELETE FROM kept_answers WHERE idempotency_key = 'a'", "kept_answer", '["k1", "a"]', "missing"),
        ("UPDATE pepper_checks SET value = 'other'", "pepper_check", "1", "digest"),
        (
            "INSERT INTO keys (id, name, role, secret_hash, created) VALUES"
            " ('k9', 'Guest', 'administrator', '00', '2026-11-26T12:00:00.000000Z')",
            "key",
            "k9",
            "added",
        ),
        (
            "INSERT INTO audit (id, created, key_id, key_name, action, status) VALUES"
            " (9, '2026-11-26T12:00:00.000000Z', 'k1', 'Mate', 'create_vessel', 201)",
            "audit",
            "9",
            "added",
        ),
        ("DELETE FROM row_digests WHERE id = 3", "row_digest", "rows", "missing"),
    ],
)
def test_the_row_is_named(
    rows: tuple[Storage, Verified], intruder: Intruder, statement: str, kind: str, id: str, reason: str
) -> None:
    storage, _ = rows
    intruder.do(statement)
    found = broken(storage)
    assert (found.kind, found.id) == (kind, id)
    assert reason in found.reason


def test_a_tail_cut_with_its_digests_is_found_against_an_exported_head(
    rows: tuple[Storage, Verified], intruder: Intruder
) -> None:
    storage, exported = rows
    assert exported.head is not None
    last = exported.head.rows_id
    intruder.do("DELETE FROM audit WHERE id = 4", f"DELETE FROM row_digests WHERE id = {last}")
    assert verify(storage).audit_lines == 3  # nothing inside the database tells
    found = broken(storage, exported)
    assert (found.kind, found.number) == ("row_digest", last)


def test_a_chain_rewritten_by_the_rule_is_found_against_an_exported_head(
    rows: tuple[Storage, Verified], intruder: Intruder
) -> None:
    storage, exported = rows

    def rewrite(connection: Connection) -> None:
        connection.exec_driver_sql("UPDATE keys SET role = 'administrator'")
        connection.exec_driver_sql("DELETE FROM row_digests")
        cover(connection, "2026-11-26T12:00:00.000000Z")
        number = connection.exec_driver_sql("SELECT max(id) FROM row_digests").scalar_one()
        while number < 20:  # as long as the chain was
            last = connection.execute(ROW_DIGESTS.select().where(ROW_DIGESTS.c.id == number)).one()
            line = line_after((number, last.digest), last.kind, last.subject, last.content, last.created)
            connection.execute(ROW_DIGESTS.insert(), line)
            number += 1

    intruder.do(rewrite)
    verify(storage)
    found = broken(storage, exported)
    assert found.kind == "row_digest"
    assert "rewritten" in found.reason


def test_answers_forgotten_by_age_are_not_missed(rows: tuple[Storage, Verified]) -> None:
    storage, _ = rows
    with storage.transaction(write=True) as tx:
        before = tx.now
        assert tx.idempotency.purge(before) == 3
    with storage.transaction(write=True) as tx:
        assert tx.idempotency.purge(before) == 0
        tx.idempotency.keep("k1", "a", **ANSWER)  # the name is free again
    assert verify(storage).kept_answers == 1


def test_a_key_changed_behind_our_back_is_revoked_but_given_nothing(
    rows: tuple[Storage, Verified], intruder: Intruder
) -> None:
    storage, _ = rows
    intruder.do("UPDATE keys SET role = 'administrator' WHERE id = 'k1'")
    with pytest.raises(Broken, match="digest"), storage.transaction(write=True) as tx:
        tx.keys.rescope("k1", None)
    assert broken(storage).id == "k1"
    with storage.transaction(write=True) as tx:
        tx.keys.revoke("k1")
    assert verify(storage).keys == 2


@pytest.mark.parametrize("name", sorted(append_only.AT_HEAD))
def test_a_missing_trigger_is_named(storage: Storage, name: str) -> None:
    engine = migration_engine(storage.url)
    with engine.begin() as connection:
        for statement in append_only.drop(connection.dialect.name, name.partition("_refuses_")[0], name):
            connection.exec_driver_sql(statement)
    engine.dispose()
    found = broken(storage)
    assert (found.kind, found.id) == ("trigger", name)


def test_a_trigger_that_refuses_nothing_is_named(storage: Storage) -> None:
    engine = migration_engine(storage.url)
    with engine.begin() as connection:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("DROP TRIGGER audit_refuses_delete")
            connection.exec_driver_sql(
                "CREATE TRIGGER audit_refuses_delete BEFORE DELETE ON audit BEGIN SELECT 1; END"
            )
        else:
            connection.exec_driver_sql(
                "CREATE OR REPLACE FUNCTION audit_refuses_delete() RETURNS trigger LANGUAGE plpgsql"
                " AS $$ BEGIN RETURN OLD; END $$"
            )
    engine.dispose()
    assert broken(storage).id == "audit_refuses_delete"


@pytest.mark.parametrize("state", ["DISABLE TRIGGER", "ENABLE REPLICA TRIGGER"])
def test_a_trigger_switched_off_on_postgresql_is_named(postgres_server: Server, state: str) -> None:
    url = postgres_server.create()
    migrate(url)
    storage = Storage(url)
    postgres_server.execute(f"ALTER TABLE changes {state} changes_refuses_update", url.rpartition("/")[2])
    assert broken(storage).id == "changes_refuses_update"
    storage.close()
    postgres_server.drop(url)


def test_files_of_a_sqlite_database_are_its_owners_alone(tmp_path: Path) -> None:
    umask = os.umask(0o022)
    try:
        path, copy = tmp_path / "records.db", tmp_path / "copy.db"
        migrate(f"sqlite:///{path}")
        storage = Storage(f"sqlite:///{path}")
        storage.occupy()
        filled(storage)
        assert sqlite_path(storage.url) == path
        backup(f"sqlite:///{path}", copy)
        names = {file.name: file.stat().st_mode & 0o777 for file in tmp_path.iterdir()}
        storage.close()
    finally:
        os.umask(umask)
    assert {"records.db", "records.db-wal", "records.db.lock", "copy.db"} <= set(names)
    assert set(names.values()) == {0o600}
