"""Two roles on PostgreSQL: one owns the schema, the other serves and cannot change what was kept, nor the schema."""

import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from service.actions.records.lifecycle import forget_old_answers, open_records, visited_records
from service.actions.records.transactions import Records
from service.storage.append_only import AT_HEAD
from service.storage.roles import rights
from service.storage.schema import METADATA
from service.wire.refusal import Refusal
from tests.api.office import condition_document, refill, running_office, vessel_document
from tests.postgres import Server, postgres_server  # noqa: F401

ROOT = Path(__file__).parents[2]


class Roles:
    """A database whose schema belongs to one role, and another that serves it."""

    def __init__(self, server: Server) -> None:
        tail = uuid.uuid4().hex[:8]
        self.owner_name, self.service_name = f"owner_{tail}", f"service_{tail}"
        for name in (self.owner_name, self.service_name):
            server.execute(f"CREATE ROLE {name} LOGIN")
        self.admin = server.create()
        database = self.admin.rpartition("/")[2]
        server.execute(f"ALTER SCHEMA public OWNER TO {self.owner_name}", database)
        self.owner = self.admin.replace("postgres@", f"{self.owner_name}@")
        self.service = self.admin.replace("postgres@", f"{self.service_name}@")

    def migrate(self, *more: str) -> subprocess.CompletedProcess[str]:
        """The command, with the owner's address where only `migrate` looks for it."""
        environment = {
            "PATH": "/usr/bin:/bin",
            "LOADING_DATABASE_URL": self.service,
            "LOADING_MIGRATION_DATABASE_URL": self.owner,
        }
        command = [sys.executable, "-m", "service", "migrate", *more]
        return subprocess.run(
            command, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=100, check=False
        )


@pytest.fixture
def roles(postgres_server: Server) -> Iterator[Roles]:  # noqa: F811
    made = Roles(postgres_server)
    yield made
    postgres_server.drop(made.admin)
    for name in (made.service_name, made.owner_name):
        postgres_server.execute(f"DROP ROLE {name}")


def test_the_serving_role_serves_and_can_do_no_more(roles: Roles) -> None:
    with pytest.raises(Refusal, match="python -m service migrate"):
        open_records(roles.service)
    done = roles.migrate("--service-role", roles.service_name)
    assert done.returncode == 0, done.stderr
    assert roles.service_name in done.stdout
    with running_office(roles.service) as office:
        key = office.key("administrator")
        ship = office.enter_vessel(vessel_document(), **key)
        condition, _ = office.enter_condition(ship, headers=key)
        office.revise(condition, refill(condition_document(), "5S", fill=40.0), key).raise_for_status()
        reviewer = office.key("reviewer")
        review = {"decision": "accepted", "note": "Seen."}
        repeatable = {**reviewer, "Idempotency-Key": "once"}
        answer = office.http.post(
            f"/v1/conditions/{condition}/revisions/2/reviews", json=review, headers=repeatable
        )
        assert answer.status_code == 201, answer.text
        made = office.http.post("/v1/keys", json={"name": "Other", "role": "ship"}, headers=key).json()
        assert office.http.delete(f"/v1/keys/{made['id']}", headers=key).status_code == 200
        assert office.http.get("/v1/fleet", headers=reviewer).json()["items"]
    with visited_records(roles.service) as records:
        forget_old_answers(records)
        _refuses_what_only_the_owner_may(records, roles)


def _refuses_what_only_the_owner_may(records: Records, roles: Roles) -> None:
    conninfo = roles.service.replace("postgresql+psycopg", "postgresql")
    statements = [
        *(f"TRUNCATE {table}" for table in METADATA.tables),
        *(f"DROP TABLE {table} CASCADE" for table in METADATA.tables),
        *(f"ALTER TABLE {table} DISABLE TRIGGER ALL" for table in METADATA.tables),
        *(f"DELETE FROM {table}" for table in METADATA.tables if "DELETE" not in rights(table)),
        "UPDATE condition_revisions SET assessment = '{}'",
        "UPDATE changes SET digest = ''",
        "UPDATE alembic_version SET version_num = ''",
        "CREATE TABLE mine (id integer)",
        f"SET ROLE {roles.owner_name}",
    ]
    with psycopg.connect(conninfo, autocommit=True) as connection:
        for statement in statements:
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                connection.execute(statement.encode())


def test_rights_follow_the_triggers() -> None:
    for table in METADATA.tables:
        assert {"SELECT", "INSERT"} <= rights(table)
        for event in ("update", "delete"):
            assert f"{table}_refuses_{event}" not in AT_HEAD or event.upper() not in rights(table)


def test_a_role_that_served_may_use_the_tables_of_a_later_step(roles: Roles) -> None:
    assert roles.migrate("--service-role", roles.service_name).returncode == 0
    with psycopg.connect(roles.owner.replace("+psycopg", ""), autocommit=True) as connection:
        connection.execute(b"CREATE TABLE later (id integer)")
    again = roles.migrate()
    assert roles.service_name in again.stdout
    with psycopg.connect(roles.service.replace("+psycopg", ""), autocommit=True) as connection:
        connection.execute(b"INSERT INTO later VALUES (1)")
    unknown = roles.migrate("--service-role", "nobody_of_this_name")
    assert unknown.returncode == 3
    assert "create it first" in unknown.stderr
