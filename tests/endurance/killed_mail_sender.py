"""A server killed at random moments while it hands mail over: whatever is kept is told, and each mail has one id.

Writers enter conditions. The mail server is slow, refuses, hangs up before it takes a mail and after. In the end every
condition that the feed names is told in exactly one mail by its Message-ID; a mail that was taken twice says the same.
"""

import random
import re
import statistics
import threading
import time
from collections import defaultdict
from dataclasses import dataclass, field

import httpx

from service.actions.records.lifecycle import visited_records
from service.demo import read_vessel
from tests.api.mail_server import Behaviour, MailHost, mail_host
from tests.endurance.killed_sender import (
    FIRST_POST_SECONDS,
    JSON,
    PEPPER,
    SETTLE_SECONDS,
    SHIP,
    administrator_key,
    enter_conditions,
)
from tests.endurance.server import ServerProcess
from tests.pages.harbour import form_fields

WRITERS = 2
LONGEST = 0.6
TIMEOUT_SECONDS = 1.0
BEHAVIOURS: tuple[Behaviour, ...] = (
    "take",
    "slow",
    "refuse_data",
    "hang_up",
    "take_and_hang_up",
    "take_slowly",
    "busy",
)
WEIGHTS = (6, 2, 1, 1, 2, 8, 1)
TO = "office@fleet.example"
TOLD = re.compile(r"/conditions/(\S+)/revisions/1\b")


@dataclass
class Outcome:
    """What was kept and what was told."""

    rounds: int
    kept: int = 0
    mails: int = 0
    taken: int = 0
    twice: int = 0
    talks: int = 0
    starts: list[float] = field(default_factory=list)

    def __str__(self) -> str:
        return (
            f"{self.rounds} kills: {self.kept} conditions kept, each told in one of {self.mails} mails, none lost; "
            f"{self.talks} talks, {self.taken} mails taken, {self.twice} of them more than once under one id; "
            f"start to ready {statistics.median(self.starts):.2f} s"
        )


def run(database: str, rounds: int, seed: int = 1) -> Outcome:
    """Kill a server `rounds` times. Raises AssertionError where a condition was told in no mail, or in two by id."""
    chance, outcome = random.Random(seed), Outcome(rounds)
    token = administrator_key(database)
    headers = {"Authorization": f"Bearer {token}"}
    with mail_host() as host:
        settings = {
            "key_pepper": PEPPER, "smtp_host": "127.0.0.1", "smtp_port": host.port, "smtp_security": "none",
            "public_url": "https://ships.example", "smtp_sender": "ships@fleet.example",
            "smtp_timeout_seconds": TIMEOUT_SECONDS, "smtp_retry_seconds": 0.05, "smtp_gather_seconds": 0.05,
        }  # fmt: skip
        with ServerProcess(database, **settings) as server:
            with httpx.Client(base_url=server.address, headers=headers, timeout=30, trust_env=False) as http:
                vessel = http.post("/v1/vessels", content=read_vessel(SHIP), headers=JSON).json()["vessel"]
            _subscribe(server.address, token, host)
            confirmed = len(host.taken)
            for _ in range(rounds):
                host.behaviours.extend(chance.choices(BEHAVIOURS, WEIGHTS, k=8))
                _round(server, headers, vessel, chance.uniform(0.0, LONGEST), host)
                outcome.starts.append(server.start())
            host.behaviours.clear()
            _until_nothing_waits(database)
            with httpx.Client(base_url=server.address, headers=headers, timeout=30, trust_env=False) as http:
                kept = _kept(http)
        _check(host, confirmed, kept, outcome)
    return outcome


def _subscribe(address: str, token: str, host: MailHost) -> None:
    """Give an address on the page of notices and type the code that comes."""
    with httpx.Client(base_url=address, timeout=30, trust_env=False, follow_redirects=True) as reader:
        reader.headers["Sec-Fetch-Site"] = "same-origin"
        reader.post("/sign-in", data={"key": token, "target": "/notices"})

        def send(**fields: str) -> str:
            page = form_fields(reader.get("/notices").text, "/notices/mail")
            return reader.post("/notices/mail", data={"token": page["token"], **fields}).text

        send(do="give", address=TO, kind="needs_review")
        code = re.search(r"The code is ([A-Z2-7]{8})", host.wait_for(1)[0].text)
        assert code is not None
        assert "You are told from now on" in send(do="confirm", code=code[1])


def _round(
    server: ServerProcess, headers: dict[str, str], vessel: str, seconds: float, host: MailHost
) -> None:
    """Write, and kill some time after the first talk of this round began."""
    before, until = host.talks, time.monotonic() + FIRST_POST_SECONDS
    writers = [
        threading.Thread(target=enter_conditions, args=(server.address, headers, vessel))
        for _ in range(WRITERS)
    ]
    for writer in writers:
        writer.start()
    while host.talks == before:
        assert time.monotonic() < until, "no mail was handed over"
        time.sleep(0.005)
    time.sleep(seconds)
    server.kill()
    for writer in writers:
        writer.join(30)
        assert not writer.is_alive()


def _until_nothing_waits(database: str) -> None:
    until = time.monotonic() + SETTLE_SECONDS
    while states := _states(database) - {"sent"}:
        assert states == {"waiting"}, states
        assert time.monotonic() < until, "mail still waits"
        time.sleep(0.1)


def _states(database: str) -> set[str]:
    with visited_records(database) as records, records.reading() as tx:
        return {row[0] for row in tx.connection.exec_driver_sql("SELECT DISTINCT state FROM mails")}


def _kept(http: httpx.Client) -> list[str]:
    """Every condition of the feed."""
    found: list[str] = []
    last, more = 0, True
    while more:
        page = http.get("/v1/changes", params={"after": last}).json()
        found += [line["condition"] for line in page["items"] if line["event"] == "condition_revision"]
        last, more = page["items"][-1]["id"], page["more"]
    return found


def _check(host: MailHost, confirmed: int, kept: list[str], outcome: Outcome) -> None:
    """Each condition in one mail by its id; what came twice under an id is the same."""
    texts: dict[str, list[str]] = defaultdict(list)
    for taken in host.taken[confirmed:]:
        assert taken.to == [TO]
        texts[str(taken.message["Message-ID"])].append(taken.text)
    told: dict[str, set[str]] = defaultdict(set)
    for id, same in texts.items():
        assert len(set(same)) == 1, f"two mails under one id: {same}"
        for condition in TOLD.findall(same[0]):
            told[condition].add(id)
    assert sorted(told) == sorted(kept), "what is in the feed was told, and nothing else"
    assert {len(ids) for ids in told.values()} == {1}, "a condition was told in two mails"
    outcome.kept, outcome.mails, outcome.talks = len(kept), len(texts), host.talks
    outcome.taken = sum(map(len, texts.values()))
    outcome.twice = sum(len(same) > 1 for same in texts.values())
