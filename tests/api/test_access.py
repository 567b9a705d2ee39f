"""Every address x role x own, foreign, without key, revoked: one table, made from the published description.

A new address without a row here fails the first test. What the table holds for each: the right it takes, how to
ask it about one's own vessel, and how about somebody else's.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import httpx
import pytest

from service.actions.access import RIGHTS
from service.imports.writer import condition_folder, vessel_folder
from service.storage import Storage
from tests.api.office import MERGE_PATCH, Office, condition_document, running_office, vessel_document

ROLES = ("ship", "reviewer", "integrator", "administrator")
WITHOUT = ("none", "revoked", "unknown")
OPEN = {"/livez", "/readyz", "/version", "/metrics", "/problems", "/problems/{code}"}


@dataclass(frozen=True)
class Row:
    """One address: the right it takes; whether it names a vessel, so that a foreign one is not found."""

    method: str
    path: str
    right: str
    body: str = ""
    names_vessel: bool = True


TABLE = [
    Row("GET", "/v1/rule-sets", "read", names_vessel=False),
    Row("GET", "/v1/findings", "read", names_vessel=False),
    Row("GET", "/v1/changelog", "read", names_vessel=False),
    Row("GET", "/v1/rule-sets/{name}", "read", names_vessel=False),
    Row("POST", "/v1/assessments", "assess", "assessment"),
    Row("POST", "/v1/assessments/batch", "assess", "lines", names_vessel=False),
    Row("POST", "/v1/vcg-limits", "assess", "vcg_limits"),
    Row("POST", "/v1/inclining-tests", "assess", "inclining"),
    Row("POST", "/v1/sensitivities", "assess", "assessment"),
    Row("POST", "/v1/remedies", "assess", "remedies"),
    Row("POST", "/v1/uncertainty", "assess", "uncertainty"),
    Row("GET", "/v1/vessels", "read", names_vessel=False),
    Row("POST", "/v1/vessels", "add_vessel", "vessel", names_vessel=False),
    Row("GET", "/v1/vessels/{vessel}", "read"),
    Row("PUT", "/v1/vessels/{vessel}", "write_vessel", "vessel"),
    Row("GET", "/v1/vessels/{vessel}/revisions", "read"),
    Row("GET", "/v1/vessels/{vessel}/revisions/{number}", "read"),
    Row("GET", "/v1/vessels/{vessel}/comparison", "read"),
    Row("GET", "/v1/vessels/{vessel}/check", "read"),
    Row("GET", "/v1/booklet-template", "read", names_vessel=False),
    Row("GET", "/v1/vessels/{vessel}/workbook", "read"),
    Row("GET", "/v1/vessels/{vessel}/revisions/{number}/workbook", "read"),
    Row("POST", "/v1/vessels/workbook", "add_vessel", "workbook", names_vessel=False),
    Row("POST", "/v1/vessels/{vessel}/workbook", "write_vessel", "workbook"),
    Row("GET", "/v1/vessels/{vessel}/proof", "read"),
    Row("GET", "/v1/vessels/{vessel}/revisions/{number}/proof", "read"),
    Row("POST", "/v1/vessels/proof", "assess", "vessel", names_vessel=False),
    Row("GET", "/v1/vessels/{vessel}/condition-sheet", "read"),
    Row("GET", "/v1/conditions/{condition}/workbook", "read"),
    Row("POST", "/v1/vessels/{vessel}/conditions/workbook", "write_condition", "sheet"),
    Row("PUT", "/v1/conditions/{condition}/workbook", "write_condition", "sheet"),
    Row("GET", "/v1/vessels/{vessel}/conditions", "read"),
    Row("POST", "/v1/vessels/{vessel}/conditions", "write_condition", "condition"),
    Row("POST", "/v1/vessels/{vessel}/conditions/bulk", "write_condition", "conditions"),
    Row("GET", "/v1/conditions", "read", names_vessel=False),
    Row("GET", "/v1/conditions/{condition}", "read"),
    Row("PUT", "/v1/conditions/{condition}", "write_condition", "condition"),
    Row("PATCH", "/v1/conditions/{condition}", "write_condition", "patch"),
    Row("GET", "/v1/conditions/{condition}/revisions", "read"),
    Row("GET", "/v1/conditions/{condition}/revisions/{number}", "read"),
    Row("GET", "/v1/conditions/{condition}/revisions/{number}/points/{point}", "read"),
    Row("GET", "/v1/conditions/{condition}/revisions/{number}/report", "read"),
    Row("GET", "/v1/conditions/{condition}/comparison", "read"),
    Row("GET", "/v1/conditions/{condition}/revisions/{number}/reviews", "read"),
    Row("POST", "/v1/conditions/{condition}/revisions/{number}/reviews", "review", "review"),
    Row("POST", "/v1/conditions/{condition}/copies", "write_condition", "copy"),
    Row("GET", "/v1/comparison", "read"),
    Row("GET", "/v1/conditions/{condition}/state", "read"),
    Row("PUT", "/v1/conditions/{condition}/state", "set_state", "condition_state"),
    Row("GET", "/v1/vessels/{vessel}/state", "read"),
    Row("PUT", "/v1/vessels/{vessel}/state", "add_vessel", "vessel_state"),
    Row("GET", "/v1/vessels/{vessel}/unfinished", "read"),
    Row("PUT", "/v1/vessels/{vessel}/unfinished/{name}", "write_condition", "unfinished"),
    Row("GET", "/v1/vessels/{vessel}/unfinished/{name}", "read"),
    Row("DELETE", "/v1/vessels/{vessel}/unfinished/{name}", "write_condition"),
    Row("POST", "/v1/reassessments", "assess", "reassessment"),
    Row("GET", "/v1/fleet", "read", names_vessel=False),
    Row("GET", "/v1/changes", "read", names_vessel=False),
    Row("GET", "/v1/webhooks", "webhooks", names_vessel=False),
    Row("POST", "/v1/webhooks", "webhooks", "webhook", names_vessel=False),
    Row("GET", "/v1/webhooks/{webhook}", "webhooks"),
    Row("PATCH", "/v1/webhooks/{webhook}", "webhooks", "webhook_change"),
    Row("GET", "/v1/webhooks/{webhook}/deliveries", "webhooks"),
    Row("POST", "/v1/webhooks/{webhook}/redeliver", "webhooks", "nothing"),
    Row("POST", "/v1/webhooks/{webhook}/test", "webhooks"),
    Row("POST", "/v1/webhooks/{webhook}/secret", "webhooks", "nothing"),
    Row("DELETE", "/v1/webhooks/{webhook}", "webhooks"),
    Row("GET", "/v1/keys", "administer", names_vessel=False),
    Row("POST", "/v1/keys", "administer", "key", names_vessel=False),
    Row("GET", "/v1/keys/{key}", "administer", names_vessel=False),
    Row("PUT", "/v1/keys/{key}/scope", "administer", "scope", names_vessel=False),
    Row("DELETE", "/v1/keys/{key}", "administer", names_vessel=False),
    Row("GET", "/v1/fleets", "administer", names_vessel=False),
    Row("GET", "/v1/fleets/{fleet}", "administer", names_vessel=False),
    Row("PUT", "/v1/fleets/{fleet}", "administer", "fleet", names_vessel=False),
    Row("GET", "/v1/audit", "administer", names_vessel=False),
]


@dataclass
class People:
    """One office whose keys see the vessel `own` alone; `foreign` belongs to somebody else."""

    office: Office
    places: dict[str, dict[str, str]]
    headers: dict[str, dict[str, str]]

    def ask(self, row: Row, whose: str, headers: dict[str, str]) -> httpx.Response:
        """Send the request of a row about `own` or `foreign`."""
        place = self.places[whose]
        if row.path == "/v1/webhooks/{webhook}" and row.method == "DELETE":
            place = {**place, "webhook": self.webhook(whose)}  # it is gone then
        path = row.path.format(**place, number=1, point=0, name="is-code-2008-a-2.2")
        content, sent = _body(row.body, place)
        if path.endswith("/unfinished/is-code-2008-a-2.2"):  # there is one, whoever removed it before
            self.office.http.put(path, json={"title": "Begun"}, headers=self.headers["operator"])
        if path == "/v1/comparison":
            path += "?from={condition}/1&to={condition}/1".format(**place)
        changes = (
            row.method in ("PUT", "PATCH") and "webhook" not in row.path
        ) or row.path == "/v1/vessels/{vessel}/workbook"
        tag = {"If-Match": self._tag(path.removesuffix("/workbook"))} if changes else {}
        return self.office.http.request(row.method, path, content=content, headers={**sent, **tag, **headers})

    def webhook(self, whose: str) -> str:
        """A webhook: of the integrator's key where it is their own."""
        headers = self.headers["integrator" if whose == "own" else "operator"]
        document = {"url": "https://office.example/", "events": ["review.made"]}
        answer = self.office.http.post("/v1/webhooks", json=document, headers=headers)
        assert answer.status_code == 201, answer.text
        return str(answer.json()["id"])

    def _tag(self, path: str) -> str:
        answer = self.office.http.get(path, headers=self.headers["operator"])
        return str(answer.headers.get("ETag", '"x"'))


def _body(kind: str, place: dict[str, str]) -> tuple[bytes | None, dict[str, str]]:
    request = {"vessel_id": place["vessel"], "condition": condition_document()}
    documents: dict[str, Any] = {
        "assessment": request,
        "uncertainty": {**request, "samples": 100, "standard_deviations": {"water_density": 0.001}},
        "remedies": {**request, "mode": "single"},
        "inclining": {
            "vessel_id": place["vessel"],
            "condition": {**condition_document(), "tanks": [], "weights": []},
            "inclining": {
                "displacement": 4000.0,
                "pendulums": [{"name": "P", "length": 6.0}],
                "movements": [
                    {"moment": 0.0, "readings": {"P": 0.0}},
                    {"moment": 50.0, "readings": {"P": 0.05}},
                ],
            },
        },
        "vcg_limits": {
            "vessel_id": place["vessel"],
            "units": "metric",
            "drafts": [4.0],
            "water_density": 1.025,
        },
        "lines": request,
        "vessel": vessel_document(),
        "condition": condition_document(),
        "conditions": {**condition_document(), "reference": "bulk"},
        "patch": {"title": "Patched"},
        "review": {"decision": "accepted"},
        "condition_state": {"state": "in_force"},
        "vessel_state": {"state": "active"},
        "unfinished": {"title": "Departure"},
        "copy": {"consumables": {"percent": 90.0}},
        "reassessment": {"vessel": place["vessel"]},
        "webhook": {"url": "https://office.example/", "events": ["review.made"]},
        "webhook_change": {"description": "Changed"},
        "nothing": {},
        "key": {"name": "New", "role": "ship"},
        "scope": {"vessels": None},
        "fleet": {"name": "Others", "vessels": []},
    }
    types = {
        **{kind: {"Content-Type": "application/x-ndjson"} for kind in ("lines", "conditions")},
        "patch": MERGE_PATCH,
        "webhook_change": MERGE_PATCH,
    }
    if not kind:
        return None, {}
    if kind in ("workbook", "sheet"):
        data = vessel_folder(vessel_document()) if kind == "workbook" else _sheet()
        return data, {"Content-Type": "application/zip"}
    return json.dumps(documents[kind]).encode(), types.get(kind, {"Content-Type": "application/json"})


def _sheet() -> bytes:
    return condition_folder(vessel_document(), condition_document())


@pytest.fixture(scope="module")
def people(tmp_path_factory: pytest.TempPathFactory) -> Iterator[People]:
    """The keys are made first, so that everything is entered by a key of its own. The ship's sees a fleet, of which
    `own` is all; the others name her."""
    with running_office(f"sqlite:///{tmp_path_factory.mktemp('access')}/records.db") as office:
        operator = office.key("administrator", None, "Operator")
        places = {}
        for whose in ("own", "foreign"):
            vessel = office.enter_vessel(vessel_document(name=whose), **operator)
            condition, _ = office.enter_condition(vessel, headers=operator)
            places[whose] = {"vessel": vessel, "condition": condition}
        scope = [places["own"]["vessel"]]
        for fleet, ships in (("own", scope), ("spare", [])):
            made = office.http.put(
                f"/v1/fleets/{fleet}", json={"name": fleet, "vessels": ships}, headers=operator
            )
            assert made.status_code == 201, made.text
        headers = {role: office.key(role, scope) for role in ("reviewer", "integrator")}
        headers |= {"administrator": office.key("administrator"), "ship": office.key("ship", fleets=["own"])}
        spare = office.token("integrator", scope)
        revoked = office.token("administrator")
        storage = Storage(office.database)
        with storage.transaction(write=True) as tx:
            tx.keys.revoke(revoked.split("_")[1])
        storage.close()
        for place in places.values():
            place |= {"key": spare.split("_")[1], "fleet": "spare"}
        headers |= {
            "operator": operator,
            "none": {},
            "revoked": {"Authorization": f"Bearer {revoked}"},
            "unknown": {"Authorization": "Bearer lc_abcdefgh_" + "x" * 32},
        }
        people = People(office, places, headers)
        for whose, place in places.items():
            place["webhook"] = people.webhook(whose)
        yield people


def test_every_address_has_a_row(people: People) -> None:
    described = people.office.http.get("/openapi.json").json()["paths"]
    found = {
        (method.upper(), path)
        for path, methods in described.items()
        for method in methods
        if path not in OPEN
    }
    assert found == {(row.method, row.path) for row in TABLE}


def test_addresses_outside_the_table_tell_nothing_of_what_is_kept(people: People) -> None:
    for path in OPEN:
        text = people.office.http.get(path.format(code="stale")).text
        assert people.places["own"]["vessel"] not in text
        assert people.places["own"]["condition"] not in text


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row.method} {row.path}")
@pytest.mark.parametrize("who", [*ROLES, *WITHOUT])
@pytest.mark.parametrize("whose", ["own", "foreign"])
def test_access(people: People, row: Row, who: str, whose: str) -> None:
    answer = people.ask(row, whose, people.headers[who])
    if who in WITHOUT:
        wanted = {401}
    elif row.right not in RIGHTS[who]:
        wanted = {403}
    elif whose == "foreign" and row.names_vessel and who != "administrator":
        wanted = {404}
    else:
        wanted = {200, 201, 202, 204}
    assert answer.status_code in wanted, answer.text
    if answer.status_code >= 400:
        assert answer.headers["Content-Type"] == "application/problem+json"
    elif who != "administrator":
        # Lists and streams leave out what is foreign.
        assert people.places["foreign"]["condition"] not in answer.text
        assert people.places["foreign"]["vessel"] not in answer.text or row.path == "/v1/assessments/batch"
