"""Fleets made and changed on pages: by administrators alone, without scripts, and never over another one's change."""

import re

import httpx
import pytest
from playwright.sync_api import Browser, expect

from service.pages.named_fleets import id_for
from tests.pages.conftest import fits, sign_in
from tests.pages.harbour import Harbour, form_fields, text_of_page


def ships_in(page: httpx.Response) -> list[str]:
    """The ships whose boxes are marked."""
    return re.findall(r'name="vessel" value="([^"]+)" checked', page.text)


def test_an_administrator_makes_a_fleet_and_gives_it_to_a_key(harbour: Harbour) -> None:
    with harbour.reader("administrator") as reader:
        assert 'href="/fleets"' in reader.get("/keys").text
        form = form_fields(reader.get("/fleets").text, "/fleets")
        asked = {**form, "name": "Făr Nörth", "vessel": ["ostrel"]}
        # searching loses nothing that was typed or marked
        sought = reader.post("/fleets", data={**asked, "search": "halv", "do": "search"})
        assert ships_in(sought) == ["ostrel"]
        assert form_fields(sought.text, "/fleets")["name"] == "Făr Nörth"
        assert 'value="halvenmoor"' in sought.text
        assert 'value="quarrenby"' not in sought.text
        asked |= {"do": "keep", "vessel": ["ostrel", "halvenmoor"]}
        made = reader.post("/fleets", data=asked)
        assert (made.status_code, made.url.path) == (200, "/fleets/far-north")
        assert ships_in(made) == ["halvenmoor", "ostrel"]
        assert reader.post("/fleets", data=asked).url.path == "/fleets/far-north"
        taken = reader.post("/fleets", data={**asked, "vessel": ["ostrel"]})
        assert taken.status_code == 422
        assert "There is a fleet Făr Nörth already" in text_of_page(taken)
        for wrong, words in (({"name": ""}, "Name of the fleet"), ({"vessel": ["nobody"]}, "not here")):
            refused = reader.post("/fleets", data={**asked, "name": "Other", **wrong})
            assert refused.status_code == 422
            assert words in text_of_page(refused)
        keys = form_fields(reader.get("/keys").text, "/keys")
        reader.post("/keys", data={**keys, "name": "Far mate", "scope": "some", "fleet": "far-north"})
        assert "Far mate, administrator" not in text_of_page(reader.get("/fleets/far-north"))
        assert "Far mate, ship" in text_of_page(reader.get("/fleets/far-north"))
        assert re.search(
            r"Făr Nörth : 2 ships \(Halvenmoor, Ostrel\) Seen by Far mate\.",
            text_of_page(reader.get("/fleets")),
        )
    kept = harbour.http.get("/v1/fleets/far-north", headers=harbour.bearer("administrator")).json()
    assert (kept["number"], kept["vessels"]) == (1, ["halvenmoor", "ostrel"])


@pytest.mark.parametrize("role", ["ship", "reviewer", "integrator"])
def test_nobody_else_sees_or_changes_a_fleet(harbour: Harbour, role: str) -> None:
    head = harbour.bearer("administrator")
    harbour.http.put("/v1/fleets/closed", json={"name": "Closed", "vessels": []}, headers=head)
    with harbour.reader(role) as reader:
        token = form_fields(reader.get("/").text, "/sign-out")["token"]
        assert "/fleets" not in reader.get("/").text
        for path in ("/fleets", "/fleets/closed", "/fleets/none"):
            seen = reader.get(path)
            sent = reader.post(
                path, data={"token": token, "name": "Open", "vessel": "ostrel", "tag": "1", "do": "keep"}
            )
            assert (seen.status_code, sent.status_code) == (403, 403)
            assert "Closed" not in seen.text + sent.text
    fleet = harbour.http.get("/v1/fleets/closed", headers=head).json()
    assert (fleet["name"], fleet["number"]) == ("Closed", 1)


def test_a_change_made_meanwhile_is_named_and_not_undone(harbour: Harbour) -> None:
    head, path = harbour.bearer("administrator"), "/fleets/shared"
    first = {"name": "Shared", "vessels": ["halvenmoor"]}
    tag = harbour.http.put(f"/v1{path}", json=first, headers=head).headers["ETag"]
    with harbour.reader("administrator") as reader:
        form = form_fields(reader.get(path).text, path)
        theirs = {"name": "Shared by two", "vessels": ["halvenmoor", "quarrenby"]}
        harbour.http.put(f"/v1{path}", json=theirs, headers={**head, "If-Match": tag})
        mine = {**form, "vessel": ["halvenmoor", "ostrel"], "do": "keep"}
        stale = reader.post(path, data=mine)
        words = text_of_page(stale)
        assert stale.status_code == 409
        assert "In it now, but not in yours: Quarrenby." in words
        assert "In yours, but not in it now: Ostrel." in words
        assert "Its name there: Shared by two. Yours: Shared." in words
        assert ships_in(stale) == ["halvenmoor", "ostrel"]
        assert harbour.http.get(f"/v1{path}", headers=head).json()["vessels"] == theirs["vessels"]
        again = {**form_fields(stale.text, path), "vessel": ["ostrel", "quarrenby"], "do": "keep"}
        kept = reader.post(path, data=again)
        assert (kept.status_code, ships_in(kept)) == (200, ["ostrel", "quarrenby"])
        assert reader.get("/fleets/none").status_code == reader.get("/fleets/Not here").status_code == 404
    fleet = harbour.http.get(f"/v1{path}", headers=head).json()
    assert (fleet["name"], fleet["number"]) == ("Shared", 3)


def test_an_id_is_made_of_the_name() -> None:
    assert id_for(" North Sea, 2nd line ") == "north-sea-2nd-line"
    assert re.fullmatch("fleet-[0-9a-f]{8}", id_for("日本海"))
    assert len(id_for("x" * 200)) == 64


def test_ships_are_picked_from_a_list_that_follows_what_is_typed(browser: Browser, harbour: Harbour) -> None:
    context = browser.new_context(base_url=harbour.address, viewport={"width": 390, "height": 844})
    page = sign_in(context, harbour, "administrator", "/fleets")
    page.get_by_label("Name of the fleet").fill("By search")
    page.get_by_label("Part of the name").fill("ostr")
    expect(page.locator("label", has=page.locator("[value=halvenmoor]"))).to_be_hidden()
    page.locator("[name=vessel][value=ostrel]").check()
    page.get_by_label("Part of the name").fill("")
    expect(page.locator("label", has=page.locator("[value=halvenmoor]"))).to_be_visible()
    page.get_by_role("button", name="Make the fleet").click()
    expect(page.locator("h1")).to_have_text("By search")
    expect(page.locator("[name=vessel][value=ostrel]")).to_be_checked()
    assert fits(page)
    page.goto("/fleets")
    assert fits(page)
    context.close()
