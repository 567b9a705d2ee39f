"""Following the feed: over restarts of either side, and when it was rewound."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.client import FeedRewound, PlaceInFile, PlaceInMemory, Position, Refused, ServiceClient
from service.client.synchronous import iteration


def change(number: int, digest: str | None = None) -> dict[str, Any]:
    return {"id": number, "digest": digest or f"d{number}"}


class Feed:
    """A service with a feed of `length` changes, that answers with two at a time."""

    def __init__(self, length: int) -> None:
        self.changes = [change(number) for number in range(1, length + 1)]
        self.asked: list[dict[str, str]] = []
        self.failures: list[httpx.Response | Exception] = []

    def __call__(self, request: httpx.Request) -> httpx.Response:
        asked = dict(request.url.params)
        self.asked.append(asked)
        if self.failures:
            failure = self.failures.pop(0)
            if isinstance(failure, Exception):
                raise failure
            return failure
        after, head = int(asked["after"]), {"id": len(self.changes), "digest": f"d{len(self.changes)}"}
        if after > len(self.changes):
            problem = {
                "title": "Feed rewound",
                "detail": "",
                "status": 409,
                "code": "feed_rewound",
                "head": head,
            }
            return httpx.Response(409, json=problem, headers={"Content-Type": "application/problem+json"})
        items = self.changes[after : after + min(2, int(asked.get("limit", 2)))]
        last = items[-1]["id"] if items else after
        return httpx.Response(
            200, json={"items": items, "after": last, "more": last < len(self.changes), "head": head}
        )

    def client(self) -> ServiceClient:
        return ServiceClient("http://service", attempts=1, transport=httpx.MockTransport(self))


@pytest.fixture(autouse=True)
def pauses(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    waited: list[float] = []
    monkeypatch.setattr(iteration.time, "sleep", waited.append)
    return waited


def taken(changes: Iterator[Any], count: int) -> list[int]:
    return [next(changes)["id"] for _ in range(count)]


def test_a_program_that_is_started_again_goes_on_and_sees_the_last_one_twice(tmp_path: Path) -> None:
    place, feed = tmp_path / "feed.json", Feed(7)
    assert taken(feed.client().follow_changes(PlaceInFile(place)), 3) == [1, 2, 3]
    # the third was given out and nobody asked for another: it may not have been handled
    assert PlaceInFile(place).read() == Position(2, 2, "d2")
    assert taken(feed.client().follow_changes(PlaceInFile(place)), 5) == [3, 4, 5, 6, 7]
    assert [path.name for path in tmp_path.iterdir()] == ["feed.json"]


def test_it_waits_at_the_service_or_between_two_questions(pauses: list[float]) -> None:
    feed = Feed(1)

    def grow(seconds: float) -> None:
        pauses.append(seconds)
        feed.changes.append(change(len(feed.changes) + 1))

    changes = feed.client().follow_changes(wait=25)
    assert taken(changes, 1) == [1]
    assert feed.asked == [{"after": "0", "wait": "25"}]
    iteration.time.sleep = grow  # type: ignore[assignment]
    plain = feed.client().follow_changes(wait=0, pause=3.0)
    assert taken(plain, 3) == [1, 2, 3]
    assert pauses == [3.0, 3.0]
    assert "wait" not in feed.asked[-1]


def test_a_service_that_is_away_is_asked_until_it_is_back(pauses: list[float]) -> None:
    feed = Feed(2)
    changes = feed.client().follow_changes()
    assert taken(changes, 1) == [1]
    busy = httpx.Response(503, json={}, headers={"Retry-After": "1"})
    feed.failures = [httpx.ConnectError("refused"), httpx.ReadError("gone"), busy, httpx.ReadTimeout("slow")]
    feed.changes.append(change(3))
    assert taken(changes, 2) == [2, 3]
    assert pauses == [0.25, 0.5, 1.0, 2.0]
    # before it goes on it looks whether the feed is still the same
    assert {"after": "1", "limit": "1"} in feed.asked


def test_it_waits_a_minute_at_most(pauses: list[float]) -> None:
    feed = Feed(1)
    feed.failures = [httpx.ConnectError("refused") for _ in range(15)]
    assert taken(feed.client().follow_changes(), 1) == [1]
    assert max(pauses) <= 60.0
    assert pauses == sorted(pauses)


def test_a_feed_that_is_shorter_than_what_was_taken_is_told() -> None:
    place = PlaceInMemory(Position(9, 9, "d9"))
    with pytest.raises(FeedRewound) as rewound:
        next(Feed(4).client().follow_changes(place))
    assert rewound.value.head == {"id": 4, "digest": "d4"}
    assert rewound.value.problem["code"] == "feed_rewound"
    assert place.read() == Position(9, 9, "d9")


def test_a_restored_feed_that_grew_beyond_what_was_taken_is_told_too() -> None:
    feed = Feed(8)
    feed.changes[2:] = [change(number, f"other{number}") for number in range(3, 9)]
    with pytest.raises(FeedRewound) as rewound:
        next(feed.client().follow_changes(PlaceInMemory(Position(5, 5, "d5"))))
    assert rewound.value.head["id"] == 8
    same = feed.client().follow_changes(PlaceInMemory(Position(2, 2, "d2")))
    assert taken(same, 2) == [3, 4]


def test_what_does_not_pass_by_itself_is_raised(pauses: list[float]) -> None:
    feed = Feed(1)
    feed.failures = [
        httpx.Response(
            401,
            json={"title": "", "detail": "", "status": 401, "code": "unauthenticated"},
            headers={"Content-Type": "application/problem+json"},
        )
    ]
    with pytest.raises(Refused):
        next(feed.client().follow_changes())
    assert pauses == []


def test_another_file_is_no_position(tmp_path: Path) -> None:
    file = tmp_path / "feed.json"
    for text in ("not json", json.dumps({"colour": 1}), "[1]"):
        file.write_text(text)
        with pytest.raises(ValueError, match="no position"):
            PlaceInFile(file).read()


def test_a_question_that_is_held_back_may_take_longer_than_others() -> None:
    timeouts: list[float] = []

    def answer(request: httpx.Request) -> httpx.Response:
        timeouts.append(request.extensions["timeout"]["read"])
        return Feed(2)(request)

    client = ServiceClient("http://service", timeout=10, transport=httpx.MockTransport(answer))
    assert taken(client.follow_changes(wait=25), 2) == [1, 2]
    list(client.list_changes())
    assert timeouts == [35.0, 10.0]
