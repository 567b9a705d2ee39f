"""Names that belong to one record: ids chosen by the sender, IMO numbers, the sender's own references."""

import json
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest

from service.storage import migrate
from tests.api.office import MERGE_PATCH, Office, code_of, condition_document, running_office, vessel_document
from tests.postgres import Server

# Invented numbers; their check digits follow IMO resolution A.1117(30), value from memory: 7 d1 + 6 d2 + ... + 2 d6
# ends in d7.
IMO, OTHER_IMO = "1234567", "7654329"


def _post(office: Office, path: str, document: dict[str, Any], **headers: str) -> httpx.Response:
    return office.http.post(path, json=document, headers=headers)


def _taken(answer: httpx.Response, member: str) -> dict[str, Any]:
    assert code_of(answer) == (409, f"{member}_taken")
    problem: dict[str, Any] = answer.json()
    assert [entry["pointer"] for entry in problem["errors"]] == [f"/{member}"]
    return problem


def test_the_numbers_of_this_file_hold() -> None:
    for number in (IMO, OTHER_IMO):
        assert sum(int(d) * w for d, w in zip(number, range(7, 1, -1))) % 10 == int(number[6])


def test_one_imo_number_is_one_ship(office: Office) -> None:
    first = office.enter_vessel(vessel_document(imo_number=IMO))
    other = office.enter_vessel(vessel_document(imo_number=OTHER_IMO))
    for _ in range(2):  # without a number there may be many
        office.enter_vessel(vessel_document())
    _taken(_post(office, "/v1/vessels", vessel_document(imo_number=IMO)), "imo_number")
    tag = {"If-Match": office.http.get(f"/v1/vessels/{other}").headers["ETag"]}
    change = office.http.put(f"/v1/vessels/{other}", json=vessel_document(imo_number=IMO), headers=tag)
    _taken(change, "imo_number")
    same = vessel_document(imo_number=OTHER_IMO, name="Renamed")
    assert office.http.put(f"/v1/vessels/{other}", json=same, headers=tag).status_code == 200
    found = office.http.get("/v1/vessels", params={"imo_number": IMO}).json()["items"]
    assert [line["id"] for line in found] == [first]
    # her number is free again once her data no longer names it
    tag = {"If-Match": office.http.get(f"/v1/vessels/{first}").headers["ETag"]}
    assert office.http.put(f"/v1/vessels/{first}", json=vessel_document(), headers=tag).status_code == 200
    office.enter_vessel(vessel_document(imo_number=IMO))


def test_who_enters_a_number_again_is_not_told_whose_it_is(office: Office) -> None:
    hidden = office.enter_vessel(vessel_document(imo_number=IMO, name="Hidden"))
    problem = _taken(_post(office, "/v1/vessels", vessel_document(imo_number=IMO)), "imo_number")
    assert hidden not in json.dumps(problem)
    assert "Hidden" not in json.dumps(problem)


def _all_at_once(offices: list[Office], document: dict[str, Any], path: str = "/v1/vessels") -> list[int]:
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda n: _post(offices[n % len(offices)], path, document), range(8)))
    return sorted(answer.status_code for answer in answers)


@pytest.mark.parametrize("names", [{"imo_number": IMO}, {"id": "one"}, {"reference": "one"}])
def test_one_of_many_at_once_gets_a_name(office: Office, names: dict[str, str]) -> None:
    assert _all_at_once([office], vessel_document(**names)) == [201] + [409] * 7
    assert len(office.http.get("/v1/vessels").json()["items"]) == 1


@pytest.mark.parametrize("names", [{"id": "one"}, {"reference": "one"}])
def test_conditions_that_are_kept_together_too(office: Office, names: dict[str, str]) -> None:
    """Those that come at the same time share a transaction."""
    path = f"/v1/vessels/{office.enter_vessel()}/conditions"
    assert _all_at_once([office], condition_document(**names), path) == [201] + [409] * 7
    assert len(office.http.get(path).json()["items"]) == 1


def test_two_servers_give_a_name_once(postgres_server: Server) -> None:
    url = postgres_server.create()
    migrate(url)
    with running_office(url) as one, running_office(url) as two:
        for names in ({"imo_number": IMO}, {"id": "one"}, {"reference": "one"}):
            assert _all_at_once([one, two], vessel_document(**names)) == [201] + [409] * 7
    postgres_server.drop(url)


def test_ids_are_chosen_or_made(office: Office) -> None:
    made = _post(office, "/v1/vessels", vessel_document(id="ms-brise-2"))
    assert (made.status_code, made.json()["id"], made.json()["vessel"]) == (201, "ms-brise-2", "ms-brise-2")
    assert made.headers["Location"] == "/v1/vessels/ms-brise-2"
    _taken(_post(office, "/v1/vessels", vessel_document(id="ms-brise-2")), "id")
    path = "/v1/vessels/ms-brise-2/conditions"
    made = _post(office, path, condition_document(id="departure-1"))
    assert (made.json()["id"], made.headers["Location"]) == ("departure-1", "/v1/conditions/departure-1")
    _taken(_post(office, path, condition_document(id="departure-1")), "id")
    assert office.http.get("/v1/conditions/departure-1").json()["document"]["id"] == "departure-1"
    for bad in ("Brise", "a_b", "-a", "", "a" * 65, "ä", "a/b", "..", 7):
        for where, document in (("/v1/vessels", vessel_document), (path, condition_document)):
            answer = _post(office, where, document(id=bad))
            assert answer.status_code == 422, bad
            assert [entry["pointer"] for entry in answer.json()["errors"]] == ["/id"]


def test_a_record_keeps_its_id(office: Office) -> None:
    vessel = office.enter_vessel(vessel_document(id="brise"))
    condition, tag = office.enter_condition(vessel, condition_document(id="departure"))
    seen, path = {"If-Match": tag}, f"/v1/conditions/{condition}"
    ship = {"If-Match": office.http.get(f"/v1/vessels/{vessel}").headers["ETag"]}
    for answer in (
        office.http.put(f"/v1/vessels/{vessel}", json=vessel_document(id="calme"), headers=ship),
        office.http.put(path, json=condition_document(id="arrival"), headers=seen),
        office.http.patch(path, json={"id": "arrival"}, headers={**MERGE_PATCH, **seen}),
    ):
        assert code_of(answer) == (422, "invalid_request")
        assert answer.json()["errors"][0]["pointer"] == "/id"
    for document in (condition_document(id="departure", title="Second"), condition_document(title="Third")):
        answer = office.http.put(path, json=document, headers=seen)
        assert answer.status_code == 200
        seen = {"If-Match": answer.headers["ETag"]}


def test_lists_keep_the_order_of_entry_whatever_the_ids(office: Office) -> None:
    ships = [office.enter_vessel(vessel_document(id=id)) for id in ("mm", "zz", "aa", "b1")]
    ids = ("m", "z", "a", "b")
    conditions = [office.enter_condition(ships[0], condition_document(id=id))[0] for id in ids]

    def listed(path: str, member: str = "id") -> list[str]:
        seen, following = [], f"{path}?limit=1"
        while following:
            page = office.http.get(following).json()
            seen += [item[member] for item in page["items"]]
            following = page["next"]
        return seen

    assert listed("/v1/vessels") == ships
    assert listed("/v1/fleet", "vessel") == ships
    assert listed("/v1/conditions") == conditions[::-1]
    assert listed(f"/v1/vessels/{ships[0]}/conditions") == conditions[::-1]


def test_references_are_echoed_filtered_and_given_once_by_a_key(office: Office) -> None:
    operator = office.key("administrator")
    vessel = office.enter_vessel(vessel_document(reference="fleet 17 ✓"), **operator)
    path = f"/v1/vessels/{vessel}/conditions"
    mate, master = (office.key("ship", [vessel], name) for name in ("Mate", "Master"))
    made = _post(office, path, condition_document(reference="17/2"), **mate)
    assert (made.status_code, made.json()["reference"]) == (201, "17/2")
    id = made.json()["condition"]
    problem = _taken(_post(office, path, condition_document(reference="17/2"), **mate), "reference")
    assert id in problem["detail"]
    other = _post(office, path, condition_document(reference="17/2"), **master)
    assert other.status_code == 201
    office.enter_condition(vessel, condition_document(), mate)
    for where in (path, "/v1/conditions"):
        found = office.http.get(where, params={"reference": "17/2"}, headers=operator).json()["items"]
        assert {line["id"] for line in found} == {id, other.json()["condition"]}
        assert {line["condition"] for line in found} == {id, other.json()["condition"]}
        assert {line["reference"] for line in found} == {"17/2"}
    asked = {"reference": "fleet 17 ✓"}
    (ship,) = office.http.get("/v1/vessels", params=asked, headers=operator).json()["items"]
    record = office.http.get(f"/v1/vessels/{vessel}", headers=operator).json()
    for shown in (ship, record):
        assert (shown["id"], shown["vessel"], shown["reference"]) == (vessel, vessel, "fleet 17 ✓")
    _taken(_post(office, "/v1/vessels", vessel_document(reference="fleet 17 ✓"), **operator), "reference")
    (line,) = office.http.get("/v1/fleet", headers=operator).json()["items"]
    assert (line["id"], line["reference"], line["condition"]["reference"]) == (vessel, "fleet 17 ✓", None)


def test_a_reference_is_that_of_the_revision(office: Office) -> None:
    vessel = office.enter_vessel()
    condition, tag = office.enter_condition(vessel, condition_document(reference="first"))
    path = f"/v1/conditions/{condition}"
    patched = office.http.patch(path, json={"reference": "second"}, headers={**MERGE_PATCH, "If-Match": tag})
    assert patched.json()["reference"] == "second"
    assert office.http.get(path).json()["reference"] == "second"
    assert office.http.get(f"{path}/revisions/1").json()["reference"] == "first"
    assert office.http.get("/v1/conditions", params={"reference": "first"}).json()["items"] == []
    again = _post(office, f"/v1/vessels/{vessel}/conditions", condition_document(reference="first"))
    _taken(again, "reference")  # it stands for what was entered under it


@pytest.mark.parametrize("bad", ["", "x" * 101, "a\nb", "a\u202eb", 7, ["a"]])
def test_references_have_a_form(office: Office, bad: Any) -> None:
    vessel = office.enter_vessel()
    for path, document in (
        ("/v1/vessels", vessel_document(reference=bad)),
        (f"/v1/vessels/{vessel}/conditions", condition_document(reference=bad)),
        ("/v1/assessments", {"vessel_id": vessel, "condition": condition_document(), "reference": bad}),
    ):
        answer = _post(office, path, document)
        assert answer.status_code == 422, path
        assert [entry["pointer"] for entry in answer.json()["errors"]] == ["/reference"]


def test_an_assessment_repeats_the_reference(office: Office) -> None:
    vessel = office.enter_vessel()
    request = {"vessel_id": vessel, "condition": condition_document()}
    assert "reference" not in _post(office, "/v1/assessments", request).json()
    assert _post(office, "/v1/assessments", {**request, "reference": "a"}).json()["reference"] == "a"
    own = {"vessel_id": vessel, "condition": condition_document(reference="b")}
    assert _post(office, "/v1/assessments", own).json()["reference"] == "b"
    assert _post(office, "/v1/assessments", {**own, "reference": "a"}).json()["reference"] == "a"
    refused = _post(office, "/v1/assessments", {"vessel_id": "nobody", "condition": {}, "reference": "c"})
    assert (code_of(refused), refused.json()["reference"]) == ((404, "unknown_vessel"), "c")


@pytest.mark.parametrize("detail", ["full", "summary"])
@pytest.mark.parametrize("lines", [4, 40])
def test_every_answer_of_a_batch_says_its_line_and_reference(
    http: httpx.Client, detail: str, lines: int
) -> None:
    good = {"vessel_id": "halvenmoor", "condition": condition_document()}
    requests: list[Any] = [{**good, "reference": f"r{n}"} for n in range(lines)]
    requests[1] = {**requests[1], "vessel_id": "nobody"}
    del requests[2]["reference"]
    text = "\n\n".join(json.dumps(request) for request in requests)
    headers = {"Content-Type": "application/x-ndjson"}
    answer = http.post(f"/v1/assessments/batch?detail={detail}", content=text, headers=headers)
    *answers, end = [json.loads(line) for line in answer.text.splitlines()]
    assert end == {"type": "end", "count": lines, "failed": 1, "complete": True}
    assert [each["line"] for each in answers] == [2 * n + 1 for n in range(lines)]
    assert [each.get("reference") for each in answers] == [None if n == 2 else f"r{n}" for n in range(lines)]
    assert answers[1]["code"] == "unknown_vessel"
