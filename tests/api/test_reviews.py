"""Reviews: accepted or returned, on one revision, by somebody else."""

import pytest

from tests.api.office import Office, code_of


@pytest.fixture
def kept(office: Office) -> tuple[str, str, dict[str, str], dict[str, str]]:
    """A vessel, a condition of hers, the ship that wrote it and a reviewer."""
    vessel = office.enter_vessel()
    ship, reviewer = office.key("ship", [vessel], "Mate"), office.key("reviewer", None, "Superintendent")
    id, _ = office.enter_condition(vessel, headers=ship)
    return vessel, id, ship, reviewer


def test_a_review_is_kept_beside_its_revision(
    office: Office, kept: tuple[str, str, dict[str, str], dict[str, str]]
) -> None:
    _vessel, id, ship, reviewer = kept
    path = f"/v1/conditions/{id}/revisions/1/reviews"
    assert office.http.get(path, headers=ship).json()["review_state"] == "unreviewed"
    note = "No. 4 is slack.\nCount it so."
    returned = office.http.post(path, json={"decision": "returned", "note": note}, headers=reviewer)
    assert returned.status_code == 201
    assert (returned.json()["note"], returned.json()["author"]["name"]) == (note, "Superintendent")
    revision = office.http.get(f"/v1/conditions/{id}/revisions/1", headers=ship)
    assert returned.json()["revision_digest"] == revision.json()["digest"]
    accepted = office.http.post(path, json={"decision": "accepted"}, headers=reviewer)
    assert accepted.json()["previous_digest"] == returned.json()["digest"]
    found = office.http.get(path, headers=ship).json()
    assert [item["decision"] for item in found["items"]] == ["returned", "accepted"]
    assert found["review_state"] == "accepted"
    for method in ("PUT", "PATCH", "DELETE"):
        assert office.http.request(method, path, headers=reviewer).status_code == 405


def test_the_state_shows_in_every_list_and_a_new_revision_has_none(
    office: Office, kept: tuple[str, str, dict[str, str], dict[str, str]]
) -> None:
    vessel, id, ship, reviewer = kept

    def states() -> set[str]:
        def get(path: str) -> dict[str, object]:
            answer: dict[str, object] = office.http.get(path, headers=ship).json()
            return answer

        condition = get(f"/v1/conditions/{id}")
        lists = [
            get(f"/v1/vessels/{vessel}/conditions")["items"][0],  # type: ignore[index]
            get("/v1/conditions")["items"][0],  # type: ignore[index]
            get("/v1/fleet")["items"][0]["condition"],  # type: ignore[index]
            get(f"/v1/conditions/{id}/revisions")["items"][0],  # type: ignore[index]
            condition,
        ]
        return {str(line["review_state"]) for line in lists}

    assert states() == {"unreviewed"}
    office.http.post(
        f"/v1/conditions/{id}/revisions/1/reviews", json={"decision": "accepted"}, headers=reviewer
    )
    assert states() == {"accepted"}
    assert len(office.http.get("/v1/fleet?review_state=accepted", headers=ship).json()["items"]) == 1
    office.revise(id, {"title": "Bunkers shifted"}, headers=ship)
    assert states() == {"unreviewed"}
    lines = office.http.get(f"/v1/conditions/{id}/revisions", headers=ship).json()["items"]
    assert [line["review_state"] for line in lines] == ["unreviewed", "accepted"]
    late = office.http.post(
        f"/v1/conditions/{id}/revisions/1/reviews", json={"decision": "returned"}, headers=reviewer
    )
    assert late.status_code == 201
    assert states() == {"unreviewed"}


def test_a_review_changes_the_tag_so_that_its_author_reads_it_first(
    office: Office, kept: tuple[str, str, dict[str, str], dict[str, str]]
) -> None:
    _, id, ship, reviewer = kept
    path = f"/v1/conditions/{id}"
    seen = office.http.get(path, headers=ship)
    office.http.post(
        f"{path}/revisions/1/reviews", json={"decision": "returned", "note": "why?"}, headers=reviewer
    )
    stale = office.http.put(
        path, json=seen.json()["document"], headers={**ship, "If-Match": seen.headers["ETag"]}
    )
    assert code_of(stale) == (412, "stale")
    now = office.http.get(path, headers={**ship, "If-None-Match": seen.headers["ETag"]})
    assert (now.status_code, now.json()["review_state"]) == (200, "returned")
    assert stale.headers["ETag"] == now.headers["ETag"]
    answer = office.http.put(
        path, json=seen.json()["document"], headers={**ship, "If-Match": now.headers["ETag"]}
    )
    assert answer.status_code == 200


def test_nobody_reviews_his_own_revision(
    office: Office, kept: tuple[str, str, dict[str, str], dict[str, str]]
) -> None:
    _vessel, id, ship, _ = kept
    head = office.key("administrator", None, "Head of office")
    path = f"/v1/conditions/{id}/revisions/{{}}/reviews"
    assert code_of(office.http.post(path.format(1), json={"decision": "accepted"}, headers=ship)) == (
        403,
        "forbidden",
    )
    office.revise(id, {"title": "By the office"}, headers=head)
    own = office.http.post(path.format(2), json={"decision": "accepted"}, headers=head)
    assert code_of(own) == (409, "own_revision")
    assert office.http.post(path.format(1), json={"decision": "accepted"}, headers=head).status_code == 201


def test_what_is_not_a_review(office: Office, kept: tuple[str, str, dict[str, str], dict[str, str]]) -> None:
    _, id, _, reviewer = kept
    path = f"/v1/conditions/{id}/revisions/1/reviews"
    for document in (
        {},
        {"decision": "approved"},
        {"decision": "accepted", "by": "me"},
        {"decision": "accepted", "note": "\u202e"},
        {"decision": "accepted", "note": "x" * 2001},
    ):
        assert code_of(office.http.post(path, json=document, headers=reviewer)) == (422, "invalid_request")
    missing = office.http.post(
        f"/v1/conditions/{id}/revisions/2/reviews", json={"decision": "accepted"}, headers=reviewer
    )
    assert code_of(missing) == (404, "unknown_revision")
    assert office.http.get(f"/v1/conditions/{id}/revisions/2/reviews", headers=reviewer).status_code == 404
