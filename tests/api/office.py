"""A running service with its records on a test database, and the people who use it by their keys."""

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import httpx

from service.actions.access import Access, Caller
from service.actions.keys import make_key
from service.actions.records.lifecycle import visited_records
from service.app import create_app
from service.cli.local_server import local_server
from service.demo import read_condition, read_vessel
from service.settings import Settings
from service.wire.key import KeyRequest

PEPPER = "pepper of the tests"
OPERATOR = Caller("operator", "Operator", "administrator", None)
MERGE_PATCH = {"Content-Type": "application/merge-patch+json"}
SHIP, OTHER_SHIP = "halvenmoor", "ostrel"


def vessel_document(ship: str = SHIP, **changes: Any) -> dict[str, Any]:
    """The vessel document of a demonstration ship."""
    return {**json.loads(read_vessel(ship)), **changes}


def condition_document(
    name: str = "departure-homogeneous", ship: str = SHIP, **changes: Any
) -> dict[str, Any]:
    """A condition document of a demonstration ship."""
    return {**json.loads(read_condition(ship, name)), **changes}


def settings_for(database: str, **changes: Any) -> Settings:
    """Settings of a service on a test database."""
    given = {"access_log": False, "database_url": database, "key_pepper": PEPPER}
    given |= {"rate_per_second": 0.0, "unknown_keys_per_second": 0.0}
    return Settings(**{**given, **changes})


@dataclass
class Office:
    """One service: where it is, its database, and a client without a key."""

    address: str
    database: str
    http: httpx.Client

    def key(
        self, role: str, vessels: Sequence[str] | None = None, name: str | None = None, **more: Any
    ) -> dict[str, str]:
        """The header of a new key."""
        return {"Authorization": f"Bearer {self.token(role, vessels, name, **more)}"}

    def token(
        self, role: str, vessels: Sequence[str] | None = None, name: str | None = None, **more: Any
    ) -> str:
        """A new key, made as the command line makes it."""
        request = KeyRequest(
            name=name or f"A {role}", role=role, vessels=None if vessels is None else list(vessels), **more
        )
        with visited_records(self.database) as records:
            return make_key(records, Access(records, PEPPER.encode()), OPERATOR, request)["token"]

    def enter_vessel(self, document: dict[str, Any] | None = None, **headers: str) -> str:
        """A new vessel; her id."""
        answer = self.http.post("/v1/vessels", json=document or vessel_document(), headers=headers)
        assert answer.status_code == 201, answer.text
        id: str = answer.json()["vessel"]
        return id

    def enter_condition(
        self, vessel: str, document: dict[str, Any] | None = None, headers: dict[str, str] | None = None
    ) -> tuple[str, str]:
        """A new condition; its id and its tag."""
        answer = self.http.post(
            f"/v1/vessels/{vessel}/conditions", json=document or condition_document(), headers=headers
        )
        assert answer.status_code == 201, answer.text
        return answer.json()["condition"], answer.headers["ETag"]

    def revise(
        self,
        condition: str,
        patch: dict[str, Any],
        headers: dict[str, str] | None = None,
        reason: str = "loaded",
    ) -> httpx.Response:
        """The next revision of a condition, from its present state."""
        tag = self.http.get(f"/v1/conditions/{condition}", headers=headers).headers["ETag"]
        return self.http.patch(
            f"/v1/conditions/{condition}",
            content=json.dumps(patch),
            params={"reason": reason},
            headers={**MERGE_PATCH, "If-Match": tag, **(headers or {})},
        )


@contextmanager
def running_office(database: str, **changes: Any) -> Iterator[Office]:
    """A service on `database` in this process, at a free port."""
    with (
        local_server(create_app(settings_for(database, **changes))) as address,
        httpx.Client(base_url=address, timeout=30, trust_env=False) as http,
    ):
        yield Office(address, database, http)


def refill(document: dict[str, Any], tank: str, **filling: Any) -> dict[str, Any]:
    """A merge patch that fills one tank of a condition otherwise."""
    tanks = [{"tank": tank, **filling} if line["tank"] == tank else line for line in document["tanks"]]
    return {"tanks": tanks}


def code_of(answer: httpx.Response) -> tuple[int, str]:
    """Status and code of a refusal, which must be a problem document."""
    assert answer.headers["Content-Type"] == "application/problem+json", answer.text
    problem = answer.json()
    assert problem["status"] == answer.status_code
    assert problem["request_id"] == answer.headers["X-Request-ID"]
    return answer.status_code, problem["code"]
