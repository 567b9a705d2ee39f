"""What a user of HTTP expects of every address, and refusals that say what would do."""

from typing import Any

import httpx
import pytest

from service.actions.access import RIGHTS, Caller
from service.wire.refusal import Refusal
from tests.api.problem_check import checked_problem

SHIP = "/v1/vessels/halvenmoor"


def _first_condition(http: httpx.Client) -> dict[str, Any]:
    found: dict[str, Any] = http.get(f"{SHIP}/conditions?limit=1").json()["items"][0]
    return found


@pytest.mark.parametrize(
    ("path", "meant"),
    [("/v1/vessels/", "/v1/vessels"), ("/v1//fleet", "/v1/fleet"), (f"{SHIP}/", SHIP), ("/docs/", "/docs")],
)
def test_a_slash_too_many_is_said(http: httpx.Client, path: str, meant: str) -> None:
    problem = checked_problem(http.get(path), 404)
    assert f"There is at {meant}:" in problem["detail"]
    assert checked_problem(http.get("/v1/nothing/"), 404)["detail"] == "There is nothing at this address."


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("/v1/changes?after=1&after=2", "after"),
        ("/v1/vessels?limit=1&limit=2", "limit"),
        ("/v1/conditions?verdict=pass&sort=title&sort=-title&verdict=fail", "sort"),
    ],
)
def test_a_parameter_of_one_value_is_given_once(http: httpx.Client, path: str, name: str) -> None:
    [entry] = checked_problem(http.get(path), 400)["errors"]
    assert (entry["code"], entry["parameter"]) == ("given_twice", name)
    assert http.get("/v1/conditions?verdict=pass&verdict=fail&limit=1").status_code == 200


def test_a_direct_address_takes_its_parameters_once_too(http: httpx.Client) -> None:
    answer = http.post("/v1/assessments?units=us&units=metric", json={})
    [entry] = checked_problem(answer, 400)["errors"]
    assert (entry["code"], entry["parameter"]) == ("given_twice", "units")


@pytest.mark.parametrize("tag", ["1.0", 'W/"1.0"', '"unknown"'])
def test_a_tag_that_is_none_of_the_record_is_told_from_an_old_one(http: httpx.Client, tag: str) -> None:
    path = f"/v1/conditions/{_first_condition(http)['id']}"
    headers = {"Content-Type": "application/merge-patch+json", "If-Match": tag}
    answer = http.patch(path, content=b"{}", headers=headers)
    present = http.get(path).headers["ETag"]
    assert f"`ETag` is `{present}` now" in checked_problem(answer, 412)["detail"]
    assert answer.headers["ETag"] == present
    old = http.patch(path, content=b"{}", headers={**headers, "If-Match": '"0.0"'})
    assert "Somebody else changed it" in checked_problem(old, 412)["detail"]


def test_an_answer_by_ending_takes_the_accept_of_its_file(http: httpx.Client) -> None:
    report = f"/v1/conditions/{_first_condition(http)['id']}/revisions/1/report.csv"
    for accepted in ("text/csv", "*/*", "text/html, */*;q=0.1"):
        assert http.get(report, headers={"Accept": accepted}).status_code == 200
    problem = checked_problem(http.get(report, headers={"Accept": "image/png"}), 406)
    assert "text/csv" in problem["detail"]
    missing = http.get(report.replace("/revisions/1/", "/revisions/99/"))
    assert checked_problem(missing, 404)["detail"].startswith("There is no revision 99 of the condition")


def test_what_is_unchanged_varies_as_the_whole_answer_does(http: httpx.Client) -> None:
    """RFC 9110, section 15.4.5. A key in the header is what packing asks for; without keys here any may be shown."""
    bearer = {"Authorization": "Bearer lc_none"}
    whole = http.get("/openapi.json", headers=bearer)
    same = http.get("/openapi.json", headers={**bearer, "If-None-Match": whole.headers["ETag"]})
    assert same.status_code == 304
    assert same.headers["Vary"] == whole.headers["Vary"] == "Accept-Encoding"


def test_a_form_that_people_can_read_is_named(http: httpx.Client) -> None:
    detail = checked_problem(http.get("/v1/vessels?imo_number=12"), 400)["detail"]
    assert detail.endswith("; it must match ^[0-9]{7}$.")


def test_a_role_that_may_not_is_told_which_may() -> None:
    integrator = Caller("k", "Reports", "integrator", None)
    with pytest.raises(Refusal, match=r"These may: administrator and ship\.$"):
        integrator.require("write_condition")
    with pytest.raises(Refusal, match=r"These may: administrator\.$"):
        integrator.require("add_vessel")
    assert all(any(right in rights for rights in RIGHTS.values()) for right in RIGHTS["administrator"])
