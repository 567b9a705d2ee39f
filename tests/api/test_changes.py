"""The feed: everything kept, once, in order, also beside writers."""

import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx

from service.storage import backup, restore
from tests.api.office import Office, code_of, condition_document, running_office


def test_the_feed_tells_what_was_kept_in_order(office: Office) -> None:
    vessel = office.enter_vessel()
    id, _ = office.enter_condition(vessel)
    second = office.revise(id, {"title": "Second"}).json()
    reviewer = office.key("reviewer")
    review = office.http.post(
        f"/v1/conditions/{id}/revisions/2/reviews", json={"decision": "accepted"}, headers=reviewer
    ).json()
    found = office.http.get("/v1/changes", headers=reviewer).json()
    assert [(line["id"], line["event"], line["revision"]) for line in found["items"]] == [
        (1, "vessel_revision", 1),
        (2, "condition_revision", 1),
        (3, "condition_revision", 2),
        (4, "review", 2),
    ]
    assert [line["subject"] for line in found["items"][2:]] == [second["digest"], review["digest"]]
    assert (found["items"][3]["decision"], found["items"][3]["verdict"]) == ("accepted", second["verdict"])
    assert (found["after"], found["more"]) == (4, False)
    part = office.http.get("/v1/changes?after=1&limit=2", headers=reviewer).json()
    assert ([line["id"] for line in part["items"]], part["after"], part["more"]) == ([2, 3], 3, True)
    head = {"id": 4, "digest": found["items"][-1]["digest"]}
    assert found["head"] == part["head"] == head
    end = office.http.get("/v1/changes?after=4", headers=reviewer).json()
    units = {"system": "metric", "length": "metre", "mass": "tonne"}
    assert end == {"units": units, "items": [], "after": 4, "more": False, "head": head}
    scoped = office.key("integrator", [])
    assert office.http.get("/v1/changes", headers=scoped).json() == {**end, "after": 0}
    for bad in ({"after": -1}, {"after": "now"}, {"limit": 0}, {"since": 1}, {"after": 2**54}):
        assert code_of(office.http.get("/v1/changes", params=bad, headers=reviewer)) == (400, "invalid_query")


def test_a_number_beyond_the_feed_is_told_with_its_head(office: Office) -> None:
    empty = office.http.get("/v1/changes").json()
    assert (empty["items"], empty["head"]) == ([], {"id": 0, "digest": None})
    for kept in range(2):
        head = office.http.get("/v1/changes").json()["head"]
        assert head["id"] == kept
        for after in (kept + 1, kept + 7, 2**53):
            refused = office.http.get("/v1/changes", params={"after": after})
            assert code_of(refused) == (409, "feed_rewound")
            assert refused.json()["head"] == head
        assert office.http.get("/v1/changes", params={"after": kept}).status_code == 200
        office.enter_vessel()


def test_a_poller_meets_a_restored_backup(tmp_path: Path) -> None:
    """What was kept after the backup is gone: the poller hears of it, and waits for no number that comes twice."""
    database, copy = f"sqlite:///{tmp_path}/records.db", tmp_path / "copy.db"
    with running_office(database) as office:
        office.enter_vessel()
        backup(database, copy)
        office.enter_vessel()
        after = office.http.get("/v1/changes").json()["after"]
    restore(copy, database, replace=True)
    with running_office(database) as office:
        refused = office.http.get("/v1/changes", params={"after": after})
        assert code_of(refused) == (409, "feed_rewound")
        assert refused.json()["head"] == office.http.get("/v1/changes").json()["head"]


def test_a_poller_beside_writers_misses_and_doubles_nothing(office: Office) -> None:
    writers, each = 6, 12
    vessel = office.enter_vessel()
    body = condition_document("ballast-departure")
    seen: list[int] = []
    conditions: list[str] = []
    done = threading.Event()

    def poll() -> None:
        with httpx.Client(base_url=office.address, timeout=30, trust_env=False) as http:
            while True:
                last_round = done.is_set()
                found = http.get("/v1/changes", params={"after": seen[-1] if seen else 0, "limit": 5}).json()
                seen.extend(line["id"] for line in found["items"])
                conditions.extend(line["condition"] for line in found["items"] if line["condition"])
                if last_round and not found["items"]:
                    return

    def write(_: int) -> list[str]:
        with httpx.Client(base_url=office.address, timeout=30, trust_env=False) as http:
            answers = [http.post(f"/v1/vessels/{vessel}/conditions", json=body) for _ in range(each)]
        return [answer.json()["condition"] for answer in answers]

    poller = threading.Thread(target=poll)
    poller.start()
    with ThreadPoolExecutor(writers) as pool:
        acknowledged = [id for ids in pool.map(write, range(writers)) for id in ids]
    done.set()
    poller.join(60)
    assert not poller.is_alive()
    assert seen == list(range(1, 2 + writers * each))
    assert sorted(conditions) == sorted(acknowledged)
