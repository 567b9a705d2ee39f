"""What goes with answers: media types asked for and sent, caches, addresses (RFC 9110, 8.7, 12.5, 15.5; RFC 9111)."""

import json

import httpx
import pytest

from tests.api.office import MERGE_PATCH, Office, code_of, condition_document, vessel_document


@pytest.mark.parametrize(
    ("accept", "status"),
    [
        (None, 200),
        ("", 200),
        ("*/*", 200),
        ("application/json", 200),
        ("Application/JSON; charset=utf-8", 200),
        ("application/*;q=0.1", 200),
        ("text/html, application/xhtml+xml, */*;q=0.8", 200),
        ("image/png, application/json;q=0.5", 200),
        ("*/*;q=0, application/json", 200),
        ("image/png", 406),
        ("application/problem+json", 406),
        ("application/json;q=0", 406),
        ("application/json; q=0.000, image/*", 406),
        ("*/*;q=0", 406),
        ("image/*", 406),
    ],
)
@pytest.mark.parametrize(
    "path", ["/v1/vessels", "/v1/vessels/halvenmoor", "/v1/rule-sets", "/v1/fleet", "/v1/changes"]
)
def test_what_cannot_be_answered_as_asked_is_refused(
    http: httpx.Client, path: str, accept: str | None, status: int
) -> None:
    request = http.build_request("GET", path)
    del request.headers["Accept"]
    if accept is not None:
        request.headers["Accept"] = accept
    answer = http.send(request)
    assert answer.status_code == status, answer.text
    if status == 406:
        assert code_of(answer) == (406, "not_acceptable")
        assert "application/json" in answer.json()["detail"]


def test_every_address_with_a_key_describes_406(http: httpx.Client) -> None:
    paths = http.get("/openapi.json").json()["paths"]
    for path, operations in paths.items():
        for operation in operations.values():
            assert not path.startswith("/v1/") or "406" in operation["responses"], path


def test_a_body_of_another_type_is_refused_with_the_types_taken(office: Office) -> None:
    vessel = office.enter_vessel()
    condition, tag = office.enter_condition(vessel)
    path = f"/v1/conditions/{condition}"
    for method, where, name, wanted in (
        ("POST", "/v1/vessels", "Accept", "application/json"),
        ("POST", f"/v1/vessels/{vessel}/conditions", "Accept", "application/json"),
        ("PUT", path, "Accept", "application/json"),
        ("PATCH", path, "Accept-Patch", "application/merge-patch+json"),
        ("POST", "/v1/assessments", "Accept", "application/json"),
        ("POST", "/v1/assessments/batch", "Accept", "application/x-ndjson, application/jsonl"),
    ):
        for given in ("text/plain", "application/json; charset=utf-16", None):
            headers = {"If-Match": tag} | ({} if given is None else {"Content-Type": given})
            answer = office.http.request(method, where, content=b"{}", headers=headers)
            assert code_of(answer) == (415, "unsupported_media_type"), (method, where, given)
            assert answer.headers[name] == wanted


def _vary(answer: httpx.Response) -> set[str]:
    return set(answer.headers.get_list("Vary", split_commas=True))


def test_what_caches_may_do(office: Office) -> None:
    key = office.key("administrator")
    vessel = office.enter_vessel(**key)
    condition, _ = office.enter_condition(vessel, headers=key)
    private = (
        *("/v1/vessels", f"/v1/vessels/{vessel}", f"/v1/conditions/{condition}", "/v1/fleet", "/v1/changes"),
        *(
            f"/v1/conditions/{condition}/revisions",
            "/v1/rule-sets",
            "/v1/rule-sets/is-code-2008-a-2.2",
            "/v1/keys",
        ),
        *(f"/v1/conditions/{condition}/comparison", f"/v1/vessels/{vessel}/check", "/v1/audit"),
    )
    for path in private:
        answer = office.http.get(path, headers=key)
        assert answer.status_code == 200, path
        assert answer.headers["Cache-Control"] == "private, no-cache", path
        assert {"Authorization", "Accept-Encoding"} <= _vary(answer), path
    for path in (f"/v1/vessels/{vessel}/revisions/1", f"/v1/conditions/{condition}/revisions/1"):
        assert "immutable" in office.http.get(path, headers=key).headers["Cache-Control"]
    for path in ("/livez", "/readyz", "/version", "/metrics", "/v1/nothing", "/v1/vessels/nobody"):
        assert office.http.get(path, headers=key).headers["Cache-Control"] == "no-store", path


def test_the_description_is_asked_for_by_its_tag(http: httpx.Client) -> None:
    answer = http.get("/openapi.json")
    tag = answer.headers["ETag"]
    assert answer.headers["Cache-Control"] == "no-cache"
    again = http.get("/openapi.json", headers={"If-None-Match": tag})
    assert (again.status_code, again.content, again.headers["ETag"]) == (304, b"", tag)
    assert http.get("/openapi.json", headers={"If-None-Match": '"other"'}).status_code == 200


def test_the_answer_to_a_change_says_where_exactly_this_is(office: Office) -> None:
    """Content-Location: what is there is what was answered, byte for byte. The tag is that of `Location`, where a
    vessel's is the same."""
    named = {"Idempotency-Key": "one"}
    vessel = office.http.post("/v1/vessels", json=vessel_document(id="brise"), headers=named)
    again = office.http.post("/v1/vessels", json=vessel_document(id="brise"), headers=named)
    assert again.headers["Content-Location"] == vessel.headers["Content-Location"]
    changed = office.http.put(
        "/v1/vessels/brise", json=vessel_document(name="Calme"), headers={"If-Match": vessel.headers["ETag"]}
    )
    made = office.http.post("/v1/vessels/brise/conditions", json=condition_document(id="departure"))
    tag = {"If-Match": made.headers["ETag"]}
    patched = office.http.patch(
        "/v1/conditions/departure", content=json.dumps({"title": "B"}), headers={**MERGE_PATCH, **tag}
    )
    for answer, place, number in (
        (vessel, "/v1/vessels/brise", 1),
        (changed, "/v1/vessels/brise", 2),
        (made, "/v1/conditions/departure", 1),
        (patched, "/v1/conditions/departure", 2),
    ):
        assert answer.headers["Location"] == place
        assert answer.headers["Content-Location"] == f"{place}/revisions/{number}"
        shown = office.http.get(answer.headers["Content-Location"])
        assert shown.content == answer.content
        tag = f"{number}.0" if "conditions" in place else shown.json()["digest"]
        assert answer.headers["ETag"] == f'"{tag}"'
