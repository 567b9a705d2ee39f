"""Access keys: shown once, kept as a hash, expiring, revocable, limited to vessels and in how often they ask."""

import json
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx
import pytest
from structlog.testing import capture_logs

from service.actions.access import KNOWN_SECONDS, is_this_machine, secret_hash
from service.app import create_app
from service.cli.local_server import local_server
from service.storage import Storage, as_text
from tests.api.office import (
    PEPPER,
    Office,
    code_of,
    condition_document,
    running_office,
    settings_for,
    vessel_document,
)

PATH = "/v1/keys"


def _bearer(token: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {token}"}


def test_the_secret_is_shown_once_and_kept_as_a_hash(office: Office) -> None:
    made = office.http.post(PATH, json={"name": "Head of office", "role": "administrator"})
    assert made.status_code == 201
    assert made.headers["Cache-Control"] == "no-store"
    key, token = made.json(), made.json()["token"]
    prefix, id, secret = token.split("_")
    assert (prefix, id, len(secret)) == ("lc", key["id"], 32)
    headers = _bearer(token)
    shown = office.http.get(f"{PATH}/{id}", headers=headers)
    listed = office.http.get(PATH, headers=headers)
    assert shown.json() == listed.json()["items"][0]
    assert all(secret not in answer.text and "token" not in answer.text for answer in (shown, listed))
    assert shown.json()["created_by"] == "local"
    storage = Storage(office.database)
    with storage.transaction() as tx:
        kept = tx.keys.get(id)
        everything = repr([kept, tx.audit.list()])
    storage.close()
    assert kept.secret_hash == secret_hash(PEPPER.encode(), secret) != secret
    assert secret not in everything


def test_the_first_key_ends_the_time_without_keys(office: Office) -> None:
    assert office.http.get("/v1/vessels").status_code == 200
    head = office.http.post(PATH, json={"name": "Head", "role": "administrator"}).json()
    answer = office.http.get("/v1/vessels")
    assert code_of(answer) == (401, "unauthenticated")
    assert answer.headers["WWW-Authenticate"] == "Bearer"
    assert office.http.get("/v1/vessels", headers=_bearer(head["token"])).status_code == 200
    for open_to_all in ("/livez", "/readyz", "/version", "/openapi.json", "/problems"):
        assert office.http.get(open_to_all).status_code == 200


@pytest.mark.parametrize(
    "shown",
    [
        "Bearer",
        "Bearer lc_x",
        "Bearer lc_00000000_" + "a" * 32,
        "Bearer lc_%00_x",
        "Basic bGM6eA==",
        "lc_a_b",
        "",
    ],
)
def test_what_is_no_key_opens_nothing(office: Office, shown: str) -> None:
    office.key("administrator")
    assert code_of(office.http.get("/v1/vessels", headers={"Authorization": shown})) == (
        401,
        "unauthenticated",
    )


def test_another_secret_under_the_same_id_opens_nothing(office: Office) -> None:
    token = office.token("administrator")
    other = token[:-1] + ("a" if token[-1] != "a" else "b")
    assert code_of(office.http.get("/v1/vessels", headers=_bearer(other))) == (401, "unauthenticated")


def test_a_revoked_key_opens_nothing_and_stays_listed(office: Office) -> None:
    head, token = office.key("administrator"), office.token("ship", [], "Mate")
    id = token.split("_")[1]
    assert office.http.get("/v1/vessels", headers=_bearer(token)).status_code == 200
    revoked = office.http.delete(f"{PATH}/{id}", headers=head)
    assert revoked.json()["revoked"] is not None
    assert code_of(office.http.get("/v1/vessels", headers=_bearer(token))) == (401, "unauthenticated")
    again = office.http.delete(f"{PATH}/{id}", headers=head)
    assert again.json()["revoked"] == revoked.json()["revoked"]
    assert id in [key["id"] for key in office.http.get(PATH, headers=head).json()["items"]]
    assert code_of(office.http.delete(f"{PATH}/none", headers=head)) == (404, "unknown_key")


def test_a_key_revoked_by_another_process_is_forgotten_soon(office: Office) -> None:
    office.key("administrator")
    token = office.token("integrator")
    assert office.http.get("/v1/vessels", headers=_bearer(token)).status_code == 200
    storage = Storage(office.database)
    with storage.transaction(write=True) as tx:
        tx.keys.revoke(token.split("_")[1])
    storage.close()
    time.sleep(KNOWN_SECONDS + 0.1)
    assert office.http.get("/v1/vessels", headers=_bearer(token)).status_code == 401


def test_an_expired_key_opens_nothing(office: Office) -> None:
    head = office.key("administrator")
    storage = Storage(office.database)
    past = as_text(datetime.now(UTC) - timedelta(seconds=1))
    with storage.transaction(write=True) as tx:
        tx.keys.add(
            "expired1", name="Past", role="ship", secret_hash=secret_hash(PEPPER.encode(), "s"), expires=past
        )
    storage.close()
    assert code_of(office.http.get("/v1/vessels", headers=_bearer("lc_expired1_s"))) == (
        401,
        "unauthenticated",
    )
    made = office.http.post(PATH, json={"name": "Soon", "role": "ship", "days": 2}, headers=head).json()
    left = datetime.fromisoformat(made["expires"]) - datetime.now(UTC)
    assert timedelta(days=1, hours=23) < left <= timedelta(days=2)


def test_a_key_sees_the_vessels_of_its_scope(office: Office) -> None:
    mine, other = office.enter_vessel(), office.enter_vessel(vessel_document(name="Other"))
    foreign, _ = office.enter_condition(other)
    head = office.key("administrator")
    token = office.token("ship", [mine])
    headers = _bearer(token)
    assert [v["id"] for v in office.http.get("/v1/vessels", headers=headers).json()["items"]] == [mine]
    assert office.http.get("/v1/conditions", headers=headers).json()["items"] == []
    hidden = office.http.get(f"/v1/conditions/{foreign}", headers=headers)
    missing = office.http.get("/v1/conditions/none", headers=headers)
    assert code_of(hidden) == code_of(missing) == (404, "unknown_condition")
    assert hidden.json()["detail"] == missing.json()["detail"]
    request = {"vessel_id": other, "condition": condition_document()}
    assert code_of(office.http.post("/v1/assessments", json=request, headers=headers)) == (
        404,
        "unknown_vessel",
    )
    lines = json.dumps(request) + "\n" + json.dumps({**request, "vessel_id": mine})
    batch = office.http.post(
        "/v1/assessments/batch", content=lines, headers={**headers, "Content-Type": "application/x-ndjson"}
    )
    first, second, _ = (json.loads(line) for line in batch.text.splitlines())
    assert first["code"] == "unknown_vessel"
    assert "verdict" in second
    id = token.split("_")[1]
    scope = office.http.put(f"{PATH}/{id}/scope", json={"vessels": [other]}, headers=head)
    assert scope.json()["vessels"] == [other]
    assert office.http.get(f"/v1/conditions/{foreign}", headers=headers).status_code == 200
    assert (
        office.http.put(f"{PATH}/{id}/scope", json={"vessels": None}, headers=head).json()["vessels"] is None
    )
    assert len(office.http.get("/v1/vessels", headers=headers).json()["items"]) == 2


def test_what_is_refused_of_keys(office: Office) -> None:
    head = office.key("administrator")
    for document in (
        {"name": "x", "role": "captain"},
        {"name": "x", "role": "ship", "vessels": ["nobody"]},
        {"name": "x", "role": "administrator", "vessels": []},
        {"name": "x", "role": "ship", "days": 0},
        {"name": "", "role": "ship"},
        {"name": "x", "role": "ship", "secret": "mine"},
    ):
        assert code_of(office.http.post(PATH, json=document, headers=head)) == (422, "invalid_request")
    repeated = {**head, "Idempotency-Key": "a"}
    answer = office.http.post(PATH, json={"name": "x", "role": "ship"}, headers=repeated)
    assert code_of(answer) == (400, "invalid_header")
    id = head["Authorization"].split("_")[1]
    assert code_of(office.http.put(f"{PATH}/{id}/scope", json={"vessels": []}, headers=head)) == (
        409,
        "conflict",
    )
    assert len(office.http.get(PATH, headers=head).json()["items"]) == 1


def test_the_last_use_is_noted_at_most_once_a_minute(office: Office) -> None:
    head = office.key("administrator")
    id = head["Authorization"].split("_")[1]
    assert office.http.get(f"{PATH}/{id}", headers=head).json()["last_used"] is not None
    first = office.http.get(f"{PATH}/{id}", headers=head).json()["last_used"]
    time.sleep(KNOWN_SECONDS + 0.1)
    assert office.http.get(f"{PATH}/{id}", headers=head).json()["last_used"] == first


def test_every_write_leaves_a_note_with_its_key(office: Office) -> None:
    head = office.key("administrator", None, "Head")
    id = head["Authorization"].split("_")[1]
    named = {**head, "X-Request-ID": "audit-1"}
    vessel = office.http.post(
        "/v1/vessels", json=vessel_document(), params={"reason": "new"}, headers=named
    ).json()
    condition, _ = office.enter_condition(vessel["vessel"], headers=head)
    revised = office.revise(condition, {"title": "x"}, headers=head, reason="why").json()
    office.http.post(PATH, json={"name": "Mate", "role": "ship"}, headers=head)
    notes = office.http.get("/v1/audit", params={"key": id}, headers=head).json()["items"]
    assert [note["action"] for note in notes] == [
        "create_key",
        "revise_condition",
        "create_condition",
        "create_vessel",
    ]
    assert (notes[3]["request_id"], notes[3]["reason"], notes[3]["address"]) == (
        "audit-1",
        "new",
        "127.0.0.1",
    )
    assert notes[1]["digest_before"] == revised["previous_digest"]
    assert (notes[1]["digest_after"], notes[1]["revision"], notes[1]["reason"]) == (
        revised["digest"],
        2,
        "why",
    )
    page = office.http.get("/v1/audit", params={"limit": 1, "vessel": vessel["vessel"]}, headers=head).json()
    assert page["items"][0]["action"] == "revise_condition"
    assert office.http.get(page["next"], headers=head).json()["items"][0]["action"] == "create_condition"


def test_a_key_that_asks_too_often_is_told_when_to_come_back(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    database = f"sqlite:///{tmp_path_factory.mktemp('rate')}/records.db"
    with running_office(database, rate_per_second=0.5, rate_burst=3) as office:
        one, two = office.key("ship", []), office.key("integrator")
        answers = [office.http.get("/v1/vessels", headers=one) for _ in range(4)]
        assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
        assert [answer.headers["RateLimit"].split(";")[1] for answer in answers] == [
            "r=2",
            "r=1",
            "r=0",
            "r=0",
        ]
        assert answers[0].headers["RateLimit-Policy"] == '"default";q=3;w=6'
        assert code_of(answers[3]) == (429, "rate_limited")
        assert 1 <= int(answers[3].headers["Retry-After"]) <= 2
        assert office.http.get("/v1/vessels", headers=two).status_code == 200
        assert office.http.get("/livez").status_code == 200


@pytest.mark.parametrize(
    ("host", "near"),
    [
        *((name, True) for name in ("127.0.0.1", "127.8.8.8", "::1", "localhost", "test")),
        *(
            (name, False)
            for name in ("10.0.0.1", "::2", "192.0.2.7", "evil.example", "127.0.0.1.example", "", None)
        ),
    ],
)
def test_what_means_this_machine(host: str | None, near: bool) -> None:
    assert is_this_machine(host) is near


def test_without_keys_a_name_that_others_could_point_here_is_not_believed(office: Office) -> None:
    port = httpx.URL(office.address).port
    for host, status in (("evil.example", 401), (f"localhost:{port}", 200), (f"127.0.0.1:{port}", 200)):
        assert office.http.get("/v1/vessels", headers={"Host": host}).status_code == status


def test_each_log_line_names_the_request_and_the_key(tmp_path: Path) -> None:
    app = create_app(settings_for(f"sqlite:///{tmp_path}/records.db", access_log=True))
    with capture_logs() as lines, local_server(app) as address:
        office = Office(address, f"sqlite:///{tmp_path}/records.db", httpx.Client())
        head = office.key("administrator")
        for headers in (head, {}):
            answer = httpx.get(
                f"{address}/v1/fleet", headers={**headers, "X-Request-ID": "trip-1"}, trust_env=False
            )
            assert answer.headers["X-Request-ID"] == "trip-1"
        office.http.close()
    told = [(line["request_id"], line["status"], line["key"]) for line in lines if line["event"] == "request"]
    id = head["Authorization"].split("_")[1]
    assert told == [("trip-1", 200, id), ("trip-1", 401, None)]
    assert head["Authorization"].split("_")[2] not in repr(lines)
