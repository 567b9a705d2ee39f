"""The fleet page: who needs somebody first, and a thousand ships in a small page."""

import gzip
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import httpx
import pytest
from pydantic_core import to_json

from service.actions.access import Access
from service.actions.keys import make_key
from service.actions.records.lifecycle import visited_records
from service.app import create_app
from service.cli.local_server import local_server
from service.pages.fleet import headline, in_groups
from service.pages.fleet_rows import group_of, row_of, what_is_wrong
from service.pages.since_last_visit import news_of_fleet, when_in_words
from service.storage import ConditionEntry, VesselEntry
from service.translation.calculation_version import CALCULATION_VERSION
from service.wire.key import KeyRequest
from tests.api.office import OPERATOR, PEPPER, settings_for
from tests.pages.harbour import Harbour, text_of_page

SHIPS = 1000
BYTES = 100_000


NOW = datetime(2026, 11, 26, 14, 5, tzinfo=UTC)
NO_OTHERS = {"count": 0, "fail": 0, "incomplete": 0, "returned": 0, "unreviewed": 0}
GM = "is-code-2008-a-2.2.4-initial-gm"


def line(
    name: str, verdict: str | None, review: str = "unreviewed", gm: float | None = 0.1, **changes: Any
) -> Any:
    others = {**NO_OTHERS, **changes.pop("others", {})}
    proved = changes.pop("proof", {})
    criterion, margin = changes.pop("least", (GM, gm))
    unit = changes.pop("unit", "m")
    said = {"who": {"key": "k", "name": "Office"}, "when": "2026-11-24T16:40:00Z", "note": "Look"}
    least = {"criterion": criterion, "margin": margin, "unit": unit, "gm_equivalent": gm, "side": None}
    condition = {
        "id": f"c-{name}",
        "title": "Departure",
        "revision": 2,
        "verdict": verdict,
        "review_state": review,
        "state": "in_force",
        "dangers": 0,
        "gm_corrected": 0.4,
        "least_stability_margin": None if gm is None and margin is None else least,
        "load_line_margin": {"draft": 0.2, "mass": 190.0},
        "port_from": None,
        "port_to": None,
        "phase": "departure",
        "draft_aft": 6.236,
        "draft_forward": 5.3,
        "calculation_version": CALCULATION_VERSION,
        "updated": "2026-11-26T11:00:00Z",
        "returned": said if review == "returned" else None,
        "accepted": said if review == "accepted" else None,
        **changes,
    }
    shown = condition if verdict else None
    proof = {"state": "proved", "is_older": False, **proved} if proved is not None else None
    ship = {"vessel": name, "name": name, "imo_number": None, "proof": proof}
    return {**ship, "condition": shown, "others": others}


FLEET = [
    line("Accepted", "pass", "accepted"),
    line("None", None),
    line("Waits three hours", "pass", gm=0.004),
    line("Fails a little", "fail", "accepted", -0.01),
    line("Incomplete", "incomplete", "accepted"),
    line("Waits five hours", "pass", gm=0.4, updated="2026-11-26T09:00:00Z"),
    line("Fails by far", "fail", gm=-0.9),
    line("Fails with dangers", "fail", gm=-0.002, dangers=2),
    line("Returned trial", "fail", "returned", -0.1, state="worked_on"),
    line("Returned", "pass", "returned"),
    line("Another waits", "pass", "accepted", others={"unreviewed": 2, "fail": 2}),
]


def rows(fleet: list[Any], role: str = "reviewer", order: str = "") -> list[Any]:
    return [row_of(ship, role, NOW, order) for ship in fleet]


def test_who_needs_somebody_comes_first_and_the_most_urgent_of_them_before() -> None:
    """A failing condition in force stays among those that fail whoever answered it; waits by their length."""
    found = in_groups(rows(FLEET), reviews=True)
    assert [group.name for group in found] == ["fails", "returned", "wait", "incomplete", "none", "order"]
    assert [row.ship for group in found for row in group.rows] == [
        *("Fails with dangers", "Fails by far", "Fails a little"),
        *("Returned", "Returned trial"),
        *("Waits five hours", "Another waits", "Waits three hours"),
        *("Incomplete", "None", "Accepted"),
    ]
    by_name = in_groups(rows(FLEET, order="name"), reviews=True)[0]
    assert [row.ship for row in by_name.rows] == ["Fails a little", "Fails by far", "Fails with dangers"]
    returned_at_sea = line("x", "fail", "returned", state="in_force")
    assert group_of(returned_at_sea) == "fails"


@pytest.mark.parametrize(
    ("ship", "words"),
    [
        (line("x", "fail", gm=-0.225), "GM 0.225 m short"),
        (line("x", "fail", gm=-0.463, least=("halvenmoor-max-vcg", -0.463)), "VCG 0.463 m too high"),
        (
            line("x", "fail", gm=-0.1, least=("is-code-2008-a-2.3.1-steady-wind", -0.7), unit="degree"),
            "wind 0.7° too much",
        ),
        (line("x", "fail", load_line_margin={"draft": -0.034, "mass": -40.0}), "34 mm over load line"),
        (line("x", "fail"), "a rule is not met"),
        (
            line("x", "fail", smallest_margin={"criterion": "load-lines-low-side", "percent": -1.03}),
            "over load line on voyage",
        ),
        (
            line("x", "fail", smallest_margin={"criterion": "vessel-strength-shear", "percent": -2.0}),
            "strength not met",
        ),
        (line("x", "pass", dangers=1), "passes; 1 danger"),
        (line("x", "incomplete"), "not everything is judged"),
        (line("x", "pass"), "passes"),
    ],
)
def test_what_is_wrong_is_said_in_five_words(ship: Any, words: str) -> None:
    assert what_is_wrong(ship["condition"]) == words
    assert len(words.split()) <= 5


def test_an_older_calculation_says_what_it_did_not_count() -> None:
    ship = line("x", "incomplete", gm=None, dangers=None, calculation_version="1.0.0")
    assert what_is_wrong(ship["condition"]).endswith("dangers not counted, calculation 1.0.0")


def test_a_line_says_who_waits_and_since_when() -> None:
    by_role = [row_of(FLEET[2], role, NOW).waits for role in ("reviewer", "ship")]
    assert by_role == ["you, 3 h: revision 2", "the office, 3 h: revision 2"]
    assert row_of(FLEET[9], "reviewer", NOW).waits == "the ship: returned 24 Nov 16:40"
    assert row_of(FLEET[9], "ship", NOW).waits == "you: returned 24 Nov 16:40"
    assert row_of(FLEET[3], "reviewer", NOW).waits == "nobody: accepted 24 Nov, note"
    another = row_of(FLEET[10], "reviewer", NOW)
    assert (another.waits, another.others) == (
        "nobody: accepted 24 Nov, note; you: 2 to review",
        "2 others fail",
    )
    assert another.margin == "+0.100"


@pytest.mark.parametrize(
    ("role", "fleet", "lead"),
    [
        ("reviewer", FLEET, "3 ships fail as they sail. 3 ships wait for you."),
        ("ship", FLEET, "3 ships fail as they sail. 2 ships were returned to you."),
        ("integrator", FLEET, "3 ships fail as they sail."),
        ("reviewer", FLEET[3:4], "1 ship fails as she sails."),
        ("reviewer", FLEET[:1], ""),
    ],
)
def test_the_headline_speaks_to_its_reader(role: str, fleet: list[Any], lead: str) -> None:
    groups = in_groups(rows(fleet, role), role == "reviewer")
    first, rest = headline(groups, role, all_in_force=True)
    assert " ".join(part.strong + part.after for part in first) == lead
    assert {part.group for part in (*first, *rest)} == {group.name for group in groups}


def test_a_search_leaves_what_was_asked_for(harbour: Harbour) -> None:
    harbour.enter("timber-loll")
    with harbour.reader("reviewer") as reader:
        found = reader.get("/?name=halven").text
        assert found.index('role="search"') < found.index('class="fleet"'), "the search stands below the list"
        assert "Ostrel" not in text_of_page(reader.get("/?name=halven"))
        assert "Ostrel" in text_of_page(reader.get("/?name=OSTREL&order=margin"))
        assert "Ostrel" not in text_of_page(reader.get("/?name=estmouth"))
        assert "No ship matches" in text_of_page(reader.get("/?name=nobody"))


def test_a_ship_reads_what_was_returned_to_her_on_her_own_page(harbour: Harbour) -> None:
    condition, other = harbour.enter(title="Sent back"), harbour.enter(title="Sails")
    harbour.review(condition, 1, "returned", "Why less in No. 1?")
    wanted = {"name": "Mate of one ship", "role": "ship", "vessels": ["halvenmoor"]}
    made = harbour.http.post("/v1/keys", json=wanted, headers=harbour.bearer("administrator"))
    harbour.keys["mate"] = made.json()["token"]
    harbour.set_state(other, "in_force")
    with harbour.reader("mate") as mate, harbour.reader("reviewer") as reviewer:
        own = text_of_page(mate.get("/"))
        assert "returned to you" in own
        assert "Why less in No. 1?" in own
        assert "Answer it" in own
        assert "In force: Sails , passes, GM" in own
        seen = text_of_page(reviewer.get("/vessels/halvenmoor/conditions"))
        assert "returned to her" in seen
        assert "waits for you" in seen
        assert "Her booklet" in seen
    del harbour.keys["mate"]


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
    assert answer.text.index('id="fails"') < answer.text.index('id="wait"')


def test_a_line_says_where_she_goes_her_drafts_and_what_is_open_about_her_booklet() -> None:
    at_sea = line("x", "pass", port_from="Farhaven", port_to="Estmouth", phase="at_sea")
    row = row_of(at_sea, "reviewer", NOW)
    assert (row.title, row.drafts, row.proof) == ("Farhaven to Estmouth, at sea", "6.24 / 5.30", "")
    assert row_of(line("x", "pass", port_to="Estmouth"), "reviewer", NOW).title == "to Estmouth, departure"
    assert row_of(line("x", "pass", port_from="Farhaven"), "ship", NOW).title == "from Farhaven, departure"
    assert row_of(line("x", "pass", draft_aft=None), "ship", NOW).drafts == ""
    for proof, words in (
        ({"state": "off"}, "off"),
        ({"state": "thin"}, "thin"),
        ({"state": "proved", "is_older": True}, "proved, judged by older data"),
        (None, "not computed yet"),
    ):
        assert row_of(line("x", "pass", proof=proof), "reviewer", NOW).proof == words


def test_what_was_answered_since_the_last_visit_is_counted(harbour: Harbour) -> None:
    """A return that a new revision answers; shown or not, reviewed no more."""
    condition = harbour.enter(title="To be answered")
    harbour.review(condition, 1, "returned", "Why so little?")
    with harbour.reader("reviewer") as reader, visited_records(harbour.database) as records:
        reader.get("/")
        with records.writing() as tx:
            tx.connection.exec_driver_sql("UPDATE visits SET seen = '2026-01-01T00:00:00.000000Z'")
        before = text_of_page(reader.get("/"))
        harbour.revise(condition, "More of it", title="Answered")
        after = text_of_page(reader.get("/"))
    count = re.compile(r"(\d+) answered")
    found = count.search(before)
    assert int(count.search(after)[1]) == (int(found[1]) if found else 0) + 1  # type: ignore[index]


def test_what_is_new_since_the_last_visit_stands_over_the_fleet() -> None:
    since = "2026-11-26T10:00:00Z"
    news = news_of_fleet(FLEET, since, NOW)
    assert news.when == "today 10:00"
    assert news.parts == [("fails", "3 new failures"), ("wait", "2 new to review")]
    assert news_of_fleet(FLEET[:1], "2026-11-26T12:00:00Z", NOW).parts == []
    assert ("wait", "1 answered") in news_of_fleet(FLEET, since, NOW, answered=1).parts
    assert when_in_words("2026-11-25T18:10:00Z", NOW) == "yesterday 18:10"
    assert when_in_words("2026-11-20T18:10:00Z", NOW) == "20 Nov 18:10"
