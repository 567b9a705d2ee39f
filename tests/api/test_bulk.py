"""Many conditions kept in one stream: each line as if it had been posted alone, and once however often it is sent."""

import json
from typing import Any

import pytest

from service.storage import Storage, verify
from tests.api.office import Office, code_of, condition_document, running_office

LINES = {"Content-Type": "application/x-ndjson"}


def sent(
    office: Office, vessel: str, lines: list[Any], headers: dict[str, str] | None = None
) -> list[dict[str, Any]]:
    text = b"\n".join(line if isinstance(line, bytes) else json.dumps(line).encode() for line in lines)
    answer = office.http.post(
        f"/v1/vessels/{vessel}/conditions/bulk", content=text, headers={**LINES, **(headers or {})}
    )
    assert answer.status_code == 200, answer.text
    return [json.loads(line) for line in answer.text.splitlines()]


def documents(count: int, start: int = 0) -> list[dict[str, Any]]:
    base = condition_document("ballast-departure")
    return [{**base, "title": f"Leg {n}", "reference": f"leg-{n}"} for n in range(start, start + count)]


def test_each_line_is_kept_as_if_posted_alone(office: Office) -> None:
    vessel = office.enter_vessel()
    lines = documents(20)
    *answers, end = sent(office, vessel, lines)
    assert end == {"type": "end", "count": 20, "failed": 0, "complete": True}
    assert [answer["line"] for answer in answers] == list(range(1, 21))
    assert [answer["reference"] for answer in answers] == [line["reference"] for line in lines]
    alone = office.http.post(
        f"/v1/vessels/{vessel}/conditions", json={**lines[0], "reference": "alone"}
    ).json()
    first = office.http.get(f"/v1/conditions/{answers[0]['condition']}").json()
    assert first["assessment"] | {"reference": None} == alone["assessment"] | {"reference": None}
    assert first["document"] == lines[0]
    assert (first["digest"], first["verdict"], first["created"]) == tuple(
        answers[0][name] for name in ("digest", "verdict", "created")
    )
    feed = office.http.get("/v1/changes").json()["items"]
    assert [line["condition"] for line in feed[1:21]] == [answer["condition"] for answer in answers]
    storage = Storage(office.database)
    assert verify(storage).condition_revisions == 21
    storage.close()


def test_sent_again_nothing_is_made_twice(office: Office) -> None:
    """Also where the first stream was cut off half way, and where the order of members is another one."""
    vessel = office.enter_vessel()
    first = sent(office, vessel, documents(9))[:-1]
    again = [dict(reversed(document.items())) for document in documents(12)]
    *second, end = sent(office, vessel, again)
    assert end["failed"] == 0
    assert [answer["replayed"] for answer in second] == [True] * 9 + [False] * 3
    assert [{**answer, "replayed": False} for answer in second[:9]] == first
    [other, twice, same, _] = sent(
        office, vessel, [{**again[0], "title": "Another"}, *documents(1, 20), *documents(1, 20)]
    )
    assert (other["code"], other["reference"], other["line"]) == ("reference_taken", "leg-0", 1)
    assert (twice["replayed"], same["replayed"]) == (False, True)
    assert twice["condition"] == same["condition"]
    assert len(office.http.get("/v1/conditions?limit=200").json()["items"]) == 13


def test_a_bad_line_stops_nothing(office: Office) -> None:
    vessel = office.enter_vessel()
    good = documents(3)
    nameless = {name: value for name, value in good[0].items() if name != "reference"}
    wrong = {**good[0], "reference": "wrong", "tanks": [{"tank": "no such tank", "mass": 1.0}]}
    long = {**good[0], "reference": "x" * 101}
    *answers, end = sent(office, vessel, [good[0], b"{", nameless, wrong, long, b"", good[1], b"7", good[2]])
    assert (end["count"], end["failed"]) == (8, 5)
    codes = {answer["line"]: answer.get("code") for answer in answers}
    assert codes == {
        1: None, 2: "not_json", 3: "invalid_request", 4: "invalid_condition", 5: "invalid_request", 7: None,
        8: "not_an_object", 9: None,
    }  # fmt: skip
    by_line = {answer["line"]: answer for answer in answers}
    for number, document in ((4, wrong), (5, long)):  # refused as it would be alone
        alone = office.http.post(f"/v1/vessels/{vessel}/conditions", json=document).json()
        assert {name: by_line[number][name] for name in ("code", "status", "detail", "errors")} == {
            name: alone[name] for name in ("code", "status", "detail", "errors")
        }
    assert by_line[3]["errors"][0]["pointer"] == "/reference"
    assert by_line[4]["reference"] == "wrong"


def test_who_may_and_what_is_refused_as_a_whole(office: Office) -> None:
    admin = office.key("administrator")
    own, other = office.enter_vessel(**admin), office.enter_vessel(**admin)
    ship = office.key("ship", [own])
    path = "/v1/vessels/{}/conditions/bulk"

    def status(vessel: str, headers: dict[str, str], **more: str) -> tuple[int, str]:
        content = json.dumps(documents(1)[0])
        return code_of(
            office.http.post(path.format(vessel), content=content, headers={**LINES, **headers, **more})
        )

    assert status(other, ship) == (404, "unknown_vessel")
    assert status("nobody", admin) == (404, "unknown_vessel")
    assert status(own, office.key("integrator", [own])) == (403, "forbidden")
    assert status(own, ship, **{"Content-Type": "application/json"}) == (415, "unsupported_media_type")
    [line, _] = sent(office, own, documents(1), ship)
    assert line["replayed"] is False
    [line, _] = sent(office, own, documents(1), admin)  # a reference is each key's own
    assert line["replayed"] is False
    audit = office.http.get("/v1/audit", headers=admin).json()["items"]
    assert [entry["action"] for entry in audit[:2]] == ["create_condition"] * 2


@pytest.mark.parametrize("processes", [0, 2])
def test_with_worker_processes_and_without(tmp_path: Any, processes: int) -> None:
    with running_office(f"sqlite:///{tmp_path}/records.db", worker_processes=processes) as office:
        vessel = office.enter_vessel()
        *answers, end = sent(office, vessel, documents(40))
        assert (end["count"], end["failed"]) == (40, 0)
        assert len({answer["condition"] for answer in answers}) == 40
