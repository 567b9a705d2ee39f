"""A server killed at random moments while it sends to a webhook: every change that is kept arrives, under one id.

Three writers enter conditions. The receiver is slow now and then, hangs up, answers 500. After the last round
everything in the feed must have been taken (answered 2xx) at least once; what came twice came under the same id, with
the same body.
"""

import json
import random
import statistics
import threading
import time
from collections import Counter, defaultdict
from dataclasses import dataclass, field

import httpx

from service.actions.access import Access, Caller
from service.actions.keys import make_key
from service.actions.pepper import usable_pepper
from service.actions.records.lifecycle import visited_records
from service.demo import read_condition, read_vessel
from service.storage import migrate
from service.wire.key import KeyRequest
from tests.api.receiver import Post, Receiver, receiver
from tests.endurance.server import ServerProcess

SHIP = "halvenmoor"
PEPPER = "pepper of the endurance run"
WRITERS = 3
LONGEST = 1.0
SETTLE_SECONDS = 90.0
FIRST_POST_SECONDS = 60.0
OPERATOR = Caller("operator", "Operator", "administrator", None)


@dataclass
class Outcome:
    """What was kept and what arrived."""

    rounds: int
    kept: int = 0
    taken: int = 0
    posts: int = 0
    starts: list[float] = field(default_factory=list)
    twice: int = 0
    """Messages that were taken more than once."""

    def __str__(self) -> str:
        return (
            f"{self.rounds} kills: {self.kept} changes kept, {self.taken} taken by the receiver, none lost; "
            f"{self.posts} posts, {self.twice} messages taken twice, each under one id; "
            f"start to ready {statistics.median(self.starts):.2f} s"
        )


def run(database: str, rounds: int, seed: int = 1) -> Outcome:
    """Kill a server `rounds` times. Raises AssertionError where a change did not arrive, or came under two ids."""
    chance, outcome = random.Random(seed), Outcome(rounds)
    headers = {"Authorization": f"Bearer {administrator_key(database)}"}
    settings = {
        "key_pepper": PEPPER,
        "webhook_networks": "127.0.0.0/8",
        "webhook_timeout_seconds": 1,
        "webhook_retry_seconds": 0.05,
    }
    taken: dict[str, list[Post]] = defaultdict(list)
    with receiver() as target, ServerProcess(database, **settings) as server:
        target.behave = lambda post: _behaviour(post, taken, chance)
        with httpx.Client(base_url=server.address, headers=headers, timeout=30, trust_env=False) as http:
            made = http.post(
                "/v1/webhooks",
                json={
                    "url": target.address,
                    "events": ["revision.kept", "vessel.revised", "verdict.changed"],
                },
            )
            assert made.status_code == 201, made.text
            vessel = http.post("/v1/vessels", content=read_vessel(SHIP), headers=JSON).json()["vessel"]
        for _ in range(rounds):
            _round(server, headers, vessel, chance.uniform(0.02, LONGEST), target)
            outcome.starts.append(server.start())
        with httpx.Client(base_url=server.address, headers=headers, timeout=30, trust_env=False) as http:
            _check(http, target, taken, outcome)
    return outcome


JSON = {"Content-Type": "application/json"}


def _behaviour(post: Post, taken: dict[str, list[Post]], chance: random.Random) -> int | float:
    kind = chance.random()
    if kind < 0.05:
        return 500
    if kind < 0.1:
        return -1
    taken[post.id].append(post)
    return chance.uniform(0.0, 0.08) if kind < 0.5 else 204


def _round(
    server: ServerProcess, headers: dict[str, str], vessel: str, seconds: float, target: Receiver
) -> None:
    """Write, and kill some time after the first message of this round came."""
    before = len(target.posts)
    writers = [
        threading.Thread(target=enter_conditions, args=(server.address, headers, vessel))
        for _ in range(WRITERS)
    ]
    for writer in writers:
        writer.start()
    target.wait_for(before + 1, FIRST_POST_SECONDS)
    time.sleep(seconds)
    server.kill()
    for writer in writers:
        writer.join(30)
        assert not writer.is_alive()


def enter_conditions(address: str, headers: dict[str, str], vessel: str) -> None:
    """Enter one condition after the other until the server is gone."""
    body = read_condition(SHIP, "ballast-departure")
    with httpx.Client(base_url=address, headers={**headers, **JSON}, timeout=30, trust_env=False) as http:
        while True:
            try:
                answer = http.post(f"/v1/vessels/{vessel}/conditions", content=body)
            except httpx.TransportError:
                return
            assert answer.status_code in (201, 503), answer.text


def _check(http: httpx.Client, target: Receiver, taken: dict[str, list[Post]], outcome: Outcome) -> None:
    """Wait until nothing waits, then compare the feed with what was taken."""
    [webhook] = http.get("/v1/webhooks").json()["items"]
    address, until = f"/v1/webhooks/{webhook['id']}/deliveries", time.monotonic() + SETTLE_SECONDS
    while waiting := http.get(address, params={"state": "waiting"}).json()["items"]:
        assert time.monotonic() < until, waiting[:3]
        time.sleep(0.1)
    assert http.get(address, params={"state": "dead"}).json()["items"] == []
    feed: list[int] = []
    while True:
        page = http.get("/v1/changes", params={"after": feed[-1] if feed else 0}).json()
        feed += [line["id"] for line in page["items"]]
        if not page["more"]:
            break
    ids: dict[int, set[str]] = defaultdict(set)
    for id, posts in taken.items():
        assert len(bodies := {post.body for post in posts}) == 1, bodies
        ids[json.loads(posts[0].body)["data"]["id"]].add(id)
    assert sorted(ids) == feed, "what is in the feed was taken, and nothing else"
    assert Counter(len(found) for found in ids.values()) == {1: len(feed)}
    outcome.kept, outcome.taken, outcome.posts = len(feed), len(ids), len(target.posts)
    outcome.twice = sum(len(posts) > 1 for posts in taken.values())


def administrator_key(database: str) -> str:
    """The token of a new key; the database is migrated first."""
    migrate(database)
    with visited_records(database) as records:
        usable_pepper(records, PEPPER.encode(), lambda: b"")
        request = KeyRequest(name="Operator", role="administrator")
        return make_key(records, Access(records, PEPPER.encode()), OPERATOR, request)["token"]
