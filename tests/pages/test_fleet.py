"""The fleet page: who needs somebody first, and a thousand ships in a small page."""

import gzip
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from pydantic_core import to_json

from service.actions.access import Access
from service.actions.keys import make_key
from service.actions.start import visited_records
from service.app import create_app
from service.cli.local_server import local_server
from service.pages.fleet import group_of, in_groups, summary
from service.storage import ConditionEntry, VesselEntry
from service.wire.key import KeyRequest
from tests.api.office import OPERATOR, PEPPER, settings_for
from tests.pages.harbour import Harbour, text_of_page

SHIPS = 1000
BYTES = 100_000


def line(name: str, verdict: str | None, state: str = "unreviewed", percent: float | None = 10.0) -> Any:
    margin = None if percent is None else {"criterion": "load-lines-draft", "percent": percent}
    condition = {"verdict": verdict, "review_state": state, "smallest_margin": margin}
    return {"vessel": name, "name": name, "imo_number": None, "condition": condition if verdict else None}


FLEET = [
    line("Accepted", "pass", "accepted"),
    line("None", None),
    line("Waiting, close", "pass", percent=0.4),
    line("Fails a little", "fail", "accepted", -1.0),
    line("Incomplete", "incomplete"),
    line("Waiting, far", "pass", percent=40.0),
    line("Fails by far", "fail", percent=-90.0),
    line("Returned", "pass", "returned"),
]


def test_who_needs_somebody_comes_first_and_the_worst_of_them_before() -> None:
    order = [ship["name"] for group in in_groups(FLEET) for ship in group.lines]
    assert order == [
        *("Fails by far", "Fails a little", "Incomplete", "Waiting, close", "Waiting, far", "Returned"),
        *("Accepted", "None"),
    ]
    assert group_of(line("x", "fail", "accepted")) == "fail"


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (FLEET, "2 ships fail, 1 is incomplete, 2 wait for review"),
        (FLEET[:1], "No ship needs you"),
        (FLEET[3:4], "1 ship fails"),
        (FLEET[4:6], "1 ship is incomplete, 1 waits for review"),
        ([], "No ship here"),
    ],
)
def test_the_first_sentence_counts_them(lines: list[Any], words: str) -> None:
    assert summary(lines) == words


def test_filters_leave_what_was_asked_for(harbour: Harbour) -> None:
    harbour.enter("timber-loll")
    with harbour.reader("reviewer") as reader:
        assert "Halvenmoor" in text_of_page(reader.get("/?verdict=fail"))
        assert "Ostrel" not in text_of_page(reader.get("/?verdict=fail&name=halven"))
        assert "Ostrel" in text_of_page(reader.get("/?name=OSTREL"))
        assert "No ship matches" in text_of_page(reader.get("/?name=nobody"))


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    """A signed-in reader of a fleet of 1,000 ships, written straight into the records."""
    database = f"sqlite:///{tmp_path_factory.mktemp('fleet') / 'records.db'}"
    with local_server(create_app(settings_for(database))) as address:
        with visited_records(database) as records:
            with records.writing() as tx:
                for n in range(SHIPS):
                    _ship(tx, n)
            wanted = KeyRequest(name="Office", role="reviewer")
            token = make_key(records, Access(records, PEPPER.encode()), OPERATOR, wanted)["token"]
        with httpx.Client(base_url=address, timeout=60, trust_env=False, follow_redirects=True) as client:
            client.post("/sign-in", data={"key": token, "target": "/keys"})
            yield client


def _ship(tx: Any, n: int) -> None:
    verdict = ("fail", "incomplete", "pass", "pass", "pass")[n % 5]
    author = {"author_key": "k", "author_name": "Mate", "reason": None, "request_id": None}
    vessel = VesselEntry(
        name=f"Ship {n * 7919 % 10_000:04d}", imo_number=None, source="B", document="{}", **author
    )
    kept = tx.vessels.create(vessel)
    condition = ConditionEntry(
        title=f"Voyage {n * 31 % 977}, {('departure', 'arrival', 'ballast')[n % 3]} with {n * 13 % 90} t of stores",
        verdict=verdict,
        smallest_margin=(n * 37 % 1000) / 10 * (-1 if verdict == "fail" else 1),
        smallest_margin_criterion="is-code-2008-a-2.2.4-initial-gm",
        vessel_revision=1,
        rule_sets="[]",
        calculation_version="1",
        document="{}",
        assessment=to_json({}).decode(),
        **author,
    )
    tx.conditions.create(kept.vessel, condition)


def test_a_thousand_ships_are_one_small_page(large: httpx.Client) -> None:
    answer = large.get("/", headers={"Accept-Encoding": "gzip", "Accept": "text/html"})
    assert answer.status_code == 200
    assert answer.headers["content-encoding"] == "gzip"
    assert answer.text.count("/conditions/") == SHIPS
    assert int(answer.headers["content-length"]) < BYTES
    assert len(gzip.compress(answer.content, 5)) < BYTES
    assert (
        answer.text.index("Fails")
        < answer.text.index("Incomplete")
        < answer.text.index("Passes, not reviewed")
    )
