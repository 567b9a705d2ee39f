"""A ship with a year of accepted conditions: her page stays small, and one of 400 is found at once."""

import gzip
import re
from collections.abc import Iterator
from typing import Any

import pytest

from service.storage import ConditionEntry, ReviewEntry, StateEntry, Storage
from tests.pages.conftest import running_harbour
from tests.pages.harbour import Harbour, text_of_page

COUNT, FAILING = 400, 40
BYTES = 100_000
SHIP = "/vessels/halvenmoor/conditions"
PORTS = ("Farhaven", "Estmouth", "Port Linden", "Kettle Bay")
AUTHOR = {"author_key": "k", "author_name": "Office", "request_id": None}


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Harbour]:
    """400 conditions of one ship, written straight into the records as copies of two that the service judged: every
    tenth fails, all are accepted, the last one is in force."""
    database = f"sqlite:///{tmp_path_factory.mktemp('year') / 'records.db'}"
    with running_harbour(database) as harbour:
        judged = [harbour.enter(name) for name in ("timber-loll", "departure-homogeneous")]
        for line in harbour.http.get("/v1/conditions", headers=harbour.bearer("ship")).json()["items"]:
            harbour.set_state(line["id"], "withdrawn")
        storage = Storage(database)
        with storage.transaction() as tx:
            copies = [tx.conditions.revision(id).values() for id in judged]
        for first in range(0, COUNT, 100):
            with storage.transaction(write=True) as tx:
                for n in range(first, first + 100):
                    _enter(tx, n, copies[0 if n % (COUNT // FAILING) == 0 else 1])
        storage.close()
        yield harbour


def _enter(tx: Any, n: int, judged: dict[str, Any]) -> None:
    start, end = PORTS[n % 4], PORTS[(n + 1) % 4]
    ports = {
        "title": f"{start} to {end}, departure",
        "voyage": f"V{n:03d}",
        "port_from": start,
        "port_to": end,
    }
    values = {**judged, **ports, "document": "{}", "assessment": "{}"}
    entry = ConditionEntry(**{name: values[name] for name in ConditionEntry.model_fields if name in values})
    kept = tx.conditions.create("halvenmoor", entry)
    tx.reviews.append(kept.condition, 1, ReviewEntry(decision="accepted", note="As checked.", **AUTHOR))
    tx.states.append(kept.condition, StateEntry(state="in_force", reason=None, **AUTHOR))


def count_in(text: str) -> int:
    return int(re.findall(r"(\d+) of her conditions match", text)[0])


def rows_in(text: str) -> int:
    return text.count('<th scope="row" class="ship">')


def test_her_page_is_small_and_says_how_many_there_are(year: Harbour) -> None:
    with year.reader("ship") as reader:
        page = reader.get(SHIP)
    assert len(gzip.compress(page.content, 1)) < BYTES / 4
    assert f"Put aside {COUNT - 1}" in text_of_page(page)
    assert rows_in(page.text) == 50


def test_one_is_found_by_words_verdict_state_and_day(year: Harbour) -> None:
    with year.reader("ship") as reader:

        def found(query: str) -> str:
            return reader.get(f"{SHIP}?{query}").text

        assert count_in(found("words=v123")) == rows_in(found("words=v123")) == 1
        assert count_in(found("words=KETTLE+bay")) == COUNT // 2
        assert count_in(found("verdict=fail")) == FAILING
        assert count_in(found("verdict=fail&words=kettle+bay")) == FAILING // 2
        assert count_in(found("state=in_force")) == 1
        assert count_in(found("review=accepted")) == COUNT
        assert count_in(found("state=withdrawn&words=v")) >= 0
        assert count_in(found("until=2020-01-01")) == 0
        assert count_in(found("since=2020-01-01")) == COUNT
        everything = found("since=nonsense&verdict=perhaps")
        assert "of her conditions match" not in everything
        assert "Put aside" in everything


def test_pages_of_what_was_found_hold_each_once(year: Harbour) -> None:
    with year.reader("reviewer") as reader:
        address, seen = f"{SHIP}?review=accepted", []
        while address:
            text = reader.get(address).text
            seen += re.findall(r'class="ship"><a href="/conditions/([^"]+)"', text)
            older = re.search(r'<a href="([^"]+)">Older ones</a>', text)
            address = "" if older is None else older[1].replace("&amp;", "&").split("#")[0]
    assert len(seen) == len(set(seen)) == COUNT


def test_the_other_condition_of_a_comparison_is_found_the_same_way(year: Harbour) -> None:
    """A page of hers at a time, each once; by words as on her own page; the one compared is not offered."""
    with year.reader("ship") as reader:
        found = reader.get(f"{SHIP}?state=withdrawn").text
        this = re.findall(r'class="ship"><a href="/conditions/([^"]+)"', found)[0]
        start = f"/comparison?to={this}"
        address, seen = start, []
        while address:
            text = reader.get(address).text
            assert text.count("<li><a href=") <= 50
            seen += re.findall(r'<a href="/comparison\?from=([^&]+)&amp;to=', text)
            older = re.search(r'<a href="([^"]+)">Older ones</a>', text)
            address = "" if older is None else older[1].replace("&amp;", "&").split("#")[0]
        assert len(seen) == len(set(seen)) == COUNT
        assert this not in seen
        one = reader.get(f"{start}/1&words=v124").text
        assert count_in(one) == 1
        other = re.findall(r'<a href="(/comparison\?from=[^"]+)"', one)
        assert [o.endswith(f"to={this}/1") for o in other] == [True]
        assert f'<input type="hidden" name="to" value="{this}/1">' in one
        own = text_of_page(reader.get(f"{start}&state=withdrawn"))
        assert count_in(own) >= 2
        assert own.count("this one") == 1
        none = reader.get(f"{start}&words=nothing+like+it").text
        assert count_in(none) == 0
        assert "All of hers" in none
