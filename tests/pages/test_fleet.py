"""The fleet page: who needs somebody first, and a thousand ships in a small page."""

import gzip
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from pydantic_core import to_json

from service.actions.access import Access
from service.actions.keys import make_key
from service.actions.records.lifecycle import visited_records
from service.app import create_app
from service.cli.local_server import local_server
from service.pages.fleet import group_of, in_groups, needs, summary
from service.storage import ConditionEntry, VesselEntry
from service.translation.calculation_version import CALCULATION_VERSION
from service.wire.key import KeyRequest
from tests.api.office import OPERATOR, PEPPER, settings_for
from tests.pages.harbour import Harbour, text_of_page

SHIPS = 1000
BYTES = 100_000


def line(
    name: str, verdict: str | None, state: str = "unreviewed", gm: float | None = 0.1, dangers: int | None = 0
) -> Any:
    margin = {"criterion": "is-code-2008-a-2.2.4-initial-gm", "margin": gm, "unit": "m", "gm_equivalent": gm}
    condition = {
        "verdict": verdict,
        "review_state": state,
        "dangers": dangers,
        "least_stability_margin": None if gm is None else {**margin, "side": None},
        "load_line_margin": {"draft": 0.2, "mass": 190.0},
        "calculation_version": CALCULATION_VERSION,
    }
    return {"vessel": name, "name": name, "imo_number": None, "condition": condition if verdict else None}


FLEET = [
    line("Accepted", "pass", "accepted"),
    line("None", None),
    line("Waiting, close", "pass", gm=0.004),
    line("Fails a little", "fail", "accepted", -0.01),
    line("Incomplete", "incomplete"),
    line("Waiting, far", "pass", gm=0.4),
    line("Fails by far", "fail", gm=-0.9),
    line("Fails with dangers", "fail", gm=-0.002, dangers=2),
    line("Fails by an angle", "fail", gm=None),
    line("Waiting, over-full tank", "pass", gm=0.7, dangers=1),
    line("Waiting, dangers not counted", "pass", gm=None, dangers=None),
    line("Returned", "pass", "returned"),
]


def test_who_needs_somebody_comes_first_and_the_most_urgent_of_them_before() -> None:
    """By failing, then by dangers, then by the least stability margin as a GM."""
    order = [ship["name"] for group in in_groups(FLEET) for ship in group.lines]
    assert order == [
        *("Fails with dangers", "Fails by far", "Fails a little", "Fails by an angle", "Incomplete"),
        *("Waiting, over-full tank", "Waiting, dangers not counted", "Waiting, close", "Waiting, far"),
        *("Returned", "Accepted", "None"),
    ]
    assert group_of(line("x", "fail", "accepted")) == "fail"


def test_a_line_says_dangers_margin_criterion_and_load_line() -> None:
    assert needs(line("x", "pass", gm=0.0702, dangers=1)["condition"]) == {
        "dangers": "1 danger",
        "margin": "0.070 m",
        "criterion": "Initial metacentric height, corrected for free surface",
        "load_line": "to the load line 20 cm, 190 t",
    }
    incomplete = needs(line("x", "incomplete")["condition"])
    assert incomplete["criterion"].startswith("of what was judged: ")
    none = line("x", "incomplete", gm=None)["condition"]
    assert needs(none)["criterion"] == "no stability criterion was judged"
    older = {**none, "dangers": None, "load_line_margin": None, "calculation_version": "1.0.0"}
    assert needs(older) == {
        "dangers": "dangers not counted", "margin": "", "criterion": "calculation 1.0.0", "load_line": ""
    }  # fmt: skip


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (FLEET, "4 ships fail, 1 is incomplete, 4 wait for review"),
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
        dangers=n % 11 // 9,
        least_margin=(n * 37 % 1000) / 1000 * (-1 if verdict == "fail" else 1),
        least_margin_unit="m",
        least_margin_criterion="is-code-2008-a-2.2.4-initial-gm",
        least_margin_gm=(n * 37 % 1000) / 1000 * (-1 if verdict == "fail" else 1),
        load_line_draft=(n * 13 % 400) / 200,
        load_line_mass=(n * 13 % 400) * 6.0,
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
