"""States on the pages: taking force, putting aside, copies, arrivals, any two conditions compared; without scripts."""

import re

import httpx
import pytest

from service.pages import waiting
from tests.pages.harbour import Harbour, form_fields, text_of_page


def set_state(reader: httpx.Client, condition: str, state: str, reason: str = "As ordered") -> httpx.Response:
    path = f"/conditions/{condition}"
    fields = form_fields(reader.get(path).text, f"{path}/state")
    return reader.post(f"{path}/state", data={**fields, "state": state, "reason": reason})


def state_of(harbour: Harbour, condition: str) -> str:
    answer = harbour.http.get(f"/v1/conditions/{condition}/state", headers=harbour.bearer("ship"))
    state: str = answer.json()["state"]
    return state


def test_a_ship_takes_a_condition_in_force_and_the_former_one_is_put_aside(harbour: Harbour) -> None:
    first, second = harbour.enter(title="Sailed with first"), harbour.enter(title="Sailed with then")
    with harbour.reader("ship") as ship:
        taken = text_of_page(set_state(ship, first, "in_force", "She sails"))
        assert "She sails with this condition now" in taken
        assert "In force: she sails with this" in taken
        assert "by A ship, at revision 1" in taken
        harbour.revise(first, "One more", title="Sailed with first, again")
        later = text_of_page(ship.get(f"/conditions/{first}"))
        assert "In force since revision 1; revision 2 came later" in later
        assert "she sails with this." not in later
        set_state(ship, second, "in_force", "Changed orders")
        aside = text_of_page(ship.get(f"/conditions/{first}"))
        assert "Put aside" in aside
        assert "another condition took force" in aside
        assert "Changed orders" in aside
        set_state(ship, second, "withdrawn")
    assert [state_of(harbour, id) for id in (first, second)] == ["put_aside", "withdrawn"]


def test_a_state_needs_a_reason_and_a_reader_who_may(harbour: Harbour) -> None:
    condition = harbour.enter()
    path = f"/conditions/{condition}/state"
    with harbour.reader("ship") as ship, harbour.reader("integrator") as program:
        refused = set_state(ship, condition, "put_aside", "")
        assert refused.status_code == 422
        assert "Say why, in a few words" in text_of_page(refused)
        assert "<title>Error: " in refused.text
        assert 'value="put_aside" required checked' in refused.text
        nothing = set_state(ship, condition, "", "Because")
        assert "Choose what it is from now on" in text_of_page(nothing)
        assert f'action="{path}"' not in program.get(f"/conditions/{condition}").text
        token = form_fields(program.get("/").text, "/sign-out")["token"]
        forbidden = program.post(
            path, data={"token": token, "state": "in_force", "reason": "x", "seen": "1.0"}
        )
        assert forbidden.status_code == 403
        stale = form_fields(ship.get(f"/conditions/{condition}").text, path)
        set_state(ship, condition, "put_aside")
        late = ship.post(path, data={**stale, "state": "in_force", "reason": "Late"})
        assert "Somebody else changed it" in text_of_page(late)
    assert state_of(harbour, condition) == "put_aside"


def test_a_review_accepts_and_takes_in_force_at_once(harbour: Harbour) -> None:
    condition = harbour.enter()
    path = f"/conditions/{condition}/revisions/1/review"
    with harbour.reader("reviewer") as reviewer:
        fields = form_fields(reviewer.get(path).text, path)
        reviewer.post(path, data={**fields, "decision": "in_force", "note": "Sail with it"})
    assert state_of(harbour, condition) == "in_force"
    record = harbour.http.get(f"/v1/conditions/{condition}", headers=harbour.bearer("ship")).json()
    assert record["accepted"]["note"] == "Sail with it"


def test_an_arrival_is_made_of_a_departure_and_compared_with_it(harbour: Harbour) -> None:
    departure = harbour.enter(title="Leaving")
    path = f"/conditions/{departure}/copies"
    with harbour.reader("ship") as ship:
        text = ship.get(f"/conditions/{departure}").text
        fields = form_fields(text, path)
        copy = ship.post(path, data={**fields, "kind": "copy", "title": ""})
        assert "Copy of Leaving" in text_of_page(copy)
        given = {**fields, "kind": "arrival", "title": "Arriving", "used": "ninety", "unit": "percent"}
        wrong = ship.post(path, data={**given, "once": "a"})
        assert "per cent from 0 to 100" in text_of_page(wrong)
        arrival = ship.post(path, data={**given, "used": "62,5", "once": "b"})
        assert "62.5 % of consumables used up" in text_of_page(arrival)
        days = ship.post(path, data={**given, "used": "3", "unit": "days", "once": "c"})
        assert "says nothing of what is used a day" in text_of_page(days)
        id = arrival.url.path.split("/")[2]
        choice = text_of_page(ship.get(f"/comparison?to={id}"))
        assert "Leaving being worked on, revision 1" in choice
        compared = text_of_page(ship.get(f"/comparison?from={departure}&to={id}"))
        assert "Beside “Leaving”, revision 1:" in compared
        assert ship.get(f"/comparison?from={departure}&to=nothing").status_code == 404
    kept = harbour.http.get(f"/v1/conditions/{id}", headers=harbour.bearer("ship")).json()["document"]
    assert kept["title"] == "Arriving"


def test_the_next_to_review_is_the_one_that_waited_longest_however_many_wait(
    harbour: Harbour, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The list looked at has an end: it begins with the longest wait."""
    with harbour.reader("reviewer") as reviewer:
        lines = harbour.http.get(
            "/v1/conditions?review_state=unreviewed&state=worked_on&state=in_force&sort=updated&limit=1",
            headers=harbour.bearer("reviewer"),
        ).json()["items"]
        others = [harbour.enter(title=f"Waits, {number}") for number in (1, 2, 3)]
        longest = lines[0]["title"] if lines else "Waits, 1"
        monkeypatch.setattr(waiting, "LONGEST", 2)
        shown = text_of_page(reviewer.get(f"/conditions/{others[2]}/revisions/1/review"))
    told = shown[shown.find("Next waiting") :][:200]
    assert re.match(rf"Next waiting: \w+, {re.escape(longest)} ?, .* Then 1 more", told), told


def test_conditions_of_one_title_are_told_apart_where_one_may_begin_with_them(harbour: Harbour) -> None:
    for _ in range(2):
        harbour.enter(title="Ballast to the north")
    harbour.enter(title="Only once")
    with harbour.reader("ship") as ship:
        page = ship.get("/vessels/halvenmoor/conditions/new").text
    named = re.findall(r'<li><a href="[^"]*from=[^"]*">([^<]*)</a>', page)
    assert (
        sum(bool(re.fullmatch(r"Ballast to the north, \d+ \w+ \d{4}, \d\d:\d\d", name)) for name in named)
        == 2
    )
    assert "Only once" in named
