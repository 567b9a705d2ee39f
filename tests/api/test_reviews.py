"""Reviews: accepted or returned, on one revision, by somebody else."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.api.office import MERGE_PATCH, Office, code_of


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


def test_a_review_is_news_to_a_reader_and_no_hindrance_to_a_writer(
    office: Office, kept: tuple[str, str, dict[str, str], dict[str, str]]
) -> None:
    _, id, ship, reviewer = kept
    path = f"/v1/conditions/{id}"
    seen = office.http.get(path, headers=ship)
    review = {"decision": "returned", "note": "why?"}
    office.http.post(f"{path}/revisions/1/reviews", json=review, headers=reviewer)
    now = office.http.get(path, headers={**ship, "If-None-Match": seen.headers["ETag"]})
    assert (now.status_code, now.json()["review_state"]) == (200, "returned")
    assert now.headers["ETag"] != seen.headers["ETag"]
    tag = {**ship, "If-Match": seen.headers["ETag"]}
    second = office.http.put(path, json={**seen.json()["document"], "title": "Second"}, headers=tag)
    assert (second.status_code, second.json()["revision"]) == (200, 2)
    # another revision makes both tags stale, the reviewed one too
    for old in (seen, now):
        tag = {**ship, "If-Match": old.headers["ETag"]}
        stale = office.http.patch(path, content=b'{"title": "Third"}', headers={**MERGE_PATCH, **tag})
        assert code_of(stale) == (412, "stale")
        assert stale.headers["ETag"] == office.http.get(path, headers=ship).headers["ETag"]
    # the tag of the change itself will do for the next one
    tag = {**ship, "If-Match": second.headers["ETag"]}
    third = office.http.patch(path, content=b'{"title": "Third"}', headers={**MERGE_PATCH, **tag})
    assert third.status_code == 200


def test_reviews_come_between_reading_and_judging(
    office: Office, kept: tuple[str, str, dict[str, str], dict[str, str]]
) -> None:
    """A review while a change is on its way: the change is kept."""
    _, id, ship, reviewer = kept
    path = f"/v1/conditions/{id}"
    with ThreadPoolExecutor(2) as pool:
        for number in range(1, 6):
            reviewed = pool.submit(
                office.http.post,
                f"{path}/revisions/{number}/reviews",
                json={"decision": "accepted"},
                headers=reviewer,
            )
            changed = pool.submit(office.revise, id, {"title": f"Title {number}"}, ship)
            assert (reviewed.result().status_code, changed.result().status_code) == (201, 200)


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
