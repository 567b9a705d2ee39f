"""A superintendent with 200 ships is at the one that needs a look within ten seconds, at a desk and on a phone.

The time of the person is a sum of the operators of the keystroke-level model (S. K. Card, T. P. Moran, A. Newell, "The
keystroke-level model for user performance time with interactive systems", Communications of the ACM 23 (1980) 396-410;
values from memory) and of reading (M. Brysbaert, "How many words do we read per minute?", Journal of Memory and
Language 109 (2019), silent reading of English; value from memory). What service and browser take is measured. The task
ends when the verdict of her condition is on the screen.
"""

import math
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page

from service.storage import ConditionEntry, ReviewEntry, StateEntry, Storage, VesselEntry
from tests.pages.conftest import SIZES, running_harbour, sign_in
from tests.pages.harbour import Harbour
from tests.pages.test_sheet_tasks import PATIENCE

SHIPS = 200
SECONDS = 10.0
LONGEST = "Ship 231"
"""The third ship entered: alone of the first fifty she is not reviewed yet."""
DECIDES_S = 1.35
"""Operator M of the model: making up one's mind."""
POINTS_S = 1.1
"""Operator P: to a target with a mouse; for a thumb on a phone the same is taken (common practice, no source)."""
PRESSES_S = 0.2
"""Operator BB: a button down and up."""
SCROLLS_S = 1.0
"""A screen further, the eye finding its line again (common practice, no source)."""
WORDS_A_SECOND = 238 / 60
SAID_AROUND = "e => ['::before', '::after'].map(part => getComputedStyle(e, part).content)"


@dataclass
class Person:
    """Somebody at a page; seconds of the person and of the machine so far."""

    page: Page
    person: float = 0.0
    machine: float = 0.0
    did: list[str] = field(default_factory=list)

    def opens(self, address: str) -> None:
        """Begin: the page is asked for and drawn."""
        began = time.perf_counter()
        self.page.goto(address)
        self.page.locator("h1").wait_for()
        self.machine += time.perf_counter() - began

    def reads(self, what: Locator) -> None:
        """Scroll down to it where it is out of sight, and read it word by word."""
        box, seen = what.bounding_box(), self.page.viewport_size
        assert box is not None
        assert seen is not None
        screens = max(0, math.ceil((box["y"] + box["height"]) / seen["height"]) - 1)
        what.scroll_into_view_if_needed()
        words = len(what.inner_text().split())
        self._add(
            screens * SCROLLS_S + words / WORDS_A_SECOND, f"reads {words} words, {screens} screens down"
        )

    def follows(self, link: Locator, until: str, *, decides: bool = True) -> None:
        """Decide, point, press; wait until the target of the link is there.

        Without deciding where what was just read is what is pointed at (the model's rule of anticipated steps)."""
        self._add(DECIDES_S * decides + POINTS_S + PRESSES_S, f"follows {link.inner_text()}")
        began = time.perf_counter()
        link.click()
        self.page.locator(until).first.wait_for()
        self.machine += time.perf_counter() - began

    @property
    def seconds(self) -> float:
        """The whole, with the machine's part as on a quiet one."""
        return self.person + self.machine / PATIENCE

    def _add(self, seconds: float, what: str) -> None:
        self.person += seconds
        self.did.append(f"{what}: {seconds:.1f} s")


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Harbour]:
    """200 ships, each sailing with a condition, written straight into the records as copies of two that the service
    judged: 4 fail, 40 wait for review, one of them longest, the others are accepted."""
    database = f"sqlite:///{tmp_path_factory.mktemp('task') / 'records.db'}"
    with running_harbour(database) as harbour:
        conditions = [harbour.enter(name) for name in ("timber-loll", "departure-homogeneous")]
        mine = harbour.http.get("/v1/conditions", headers=harbour.bearer("ship")).json()["items"]
        for condition in mine:
            harbour.set_state(condition["id"], "put_aside")
        storage = Storage(database)
        with storage.transaction() as tx:
            ship = tx.vessels.revision("halvenmoor").values()
            judged = [tx.conditions.revision(id).values() for id in conditions]
        for first in range(0, SHIPS, SHIPS // 4):
            with storage.transaction(write=True) as tx:
                for n in range(first, first + SHIPS // 4):
                    _enter(tx, n, ship, judged)
        storage.close()
        yield harbour


def _enter(tx: Any, n: int, ship: dict[str, Any], judged: list[dict[str, Any]]) -> None:
    fails = n % 50 == 7
    waits = n == 3 or (n >= 50 and n % 50 < 39 and n % 3 == 0)
    whole = fails or n == 3  # nobody opens the others: their texts are left out
    left_out = {} if whole else {"document": "{}", "assessment": "{}"}
    row = {**judged[0 if fails else 1], "vessel_revision": 1, **left_out}
    named = {**ship, "name": f"Ship {n * 77 % 1000:03d}", "imo_number": None, **left_out}
    vessel = tx.vessels.create(_entry(VesselEntry, named))
    kept = tx.conditions.create(vessel.vessel, _entry(ConditionEntry, row))
    author = {"author_key": "k", "author_name": "Office", "request_id": None}
    tx.states.append(kept.condition, StateEntry(state="in_force", reason=None, **author))
    if not fails and not waits:
        tx.reviews.append(kept.condition, 1, ReviewEntry(decision="accepted", note="As checked.", **author))


def _entry(kind: Any, values: dict[str, Any]) -> Any:
    """What is handed over of a kept revision."""
    return kind(**{name: values[name] for name in kind.model_fields})


@pytest.fixture(params=SIZES)
def person(browser: Browser, fleet: Harbour, request: pytest.FixtureRequest) -> Iterator[Person]:
    """A superintendent who signed in, in a window of that size."""
    width, height = SIZES[request.param]
    context = browser.new_context(base_url=fleet.address, viewport={"width": width, "height": height})
    yield Person(sign_in(context, fleet, "reviewer", "/notices"))
    context.close()


def test_the_ship_that_fails_is_found_in_ten_seconds(person: Person) -> None:
    """The first line of the fleet is the ship in most danger."""
    page = person.page
    person.opens("/")
    person.reads(page.locator("h1"))
    first = page.locator("#fails tr:not(.grp)").first
    person.reads(first.locator("th"))
    person.reads(first.locator(".amiss"))
    if page.viewport_size == {"width": 390, "height": 844}:
        assert first.locator(".gm").is_visible()
        assert first.locator(".gm").evaluate(SAID_AROUND) == ['"GM "', '" m"']
        assert first.locator(".mg").evaluate(SAID_AROUND) == ['"margin "', '" m"']
    person.follows(first.get_by_role("link").first, ".verdict")
    assert "GM 0.225 m short" in page.locator(".lead").first.inner_text()
    assert person.seconds < SECONDS, (person.seconds, person.machine, person.did)


def test_the_ship_that_waits_longest_is_found_in_ten_seconds(person: Person) -> None:
    """A part of the headline leads to those that wait, the longest wait first."""
    page = person.page
    person.opens("/")
    person.reads(page.locator("h1"))
    person.follows(page.locator("h1").get_by_role("link", name="wait"), "#wait:target")
    first = page.locator("#wait tr:not(.grp)").first
    person.reads(first.locator("th"))
    assert first.locator("th").inner_text() == LONGEST
    person.reads(first.locator(".waits"))
    person.follows(first.get_by_role("link").first, ".verdict", decides=False)
    assert person.seconds < SECONDS, (person.seconds, person.machine, person.did)


def test_a_key_for_one_ship_of_many(browser: Browser, fleet: Harbour) -> None:
    """The long list of ships is closed; "Only these" opens it."""
    context = browser.new_context(base_url=fleet.address)
    page = sign_in(context, fleet, "administrator", "/keys")
    ship = page.get_by_role("checkbox", name=LONGEST)
    assert not ship.is_visible()
    page.get_by_label("Only these").check()
    ship.check()
    page.get_by_label("Who uses it").fill("Mate of one ship")
    page.get_by_role("button", name="Make the key").click()
    assert LONGEST in page.locator("tr", has_text="Mate of one ship").inner_text()
    context.close()
