"""Soundings on a phone: forty tanks, one after another, with one thumb; and without scripts."""

import re
import time

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from service.pages.sheet import sounding_round as rounds
from service.pages.sheet.numbers import NotANumber
from tests.api.office import vessel_document
from tests.pages.conftest import fits, sign_in
from tests.pages.harbour import Harbour, form_fields

FORTY = 40


@pytest.fixture(scope="module")
def ship_of_forty(harbour: Harbour) -> str:
    """Halvenmoor with four more tanks."""
    vessel = vessel_document(name="Forty Tanks", id="forty-tanks")
    more = [
        {
            **{k: v for k, v in vessel["tanks"][0].items() if k != "pair"},
            "id": f"more-{n}",
            "name": f"Void {n}",
            "lcg": 10.0 + n,
        }
        for n in range(FORTY - len(vessel["tanks"]))
    ]
    vessel["tanks"] = [*vessel["tanks"], *more]
    made = harbour.http.post("/v1/vessels", json=vessel, headers=harbour.bearer("administrator"))
    assert made.status_code == 201, made.text
    return "forty-tanks"


def test_forty_soundings_on_a_phone(browser: Browser, harbour: Harbour, ship_of_forty: str) -> None:
    """Type, Enter, type, Enter: each answer before the next, all forty in the sheet afterwards."""
    phone = browser.new_context(
        base_url=harbour.address, viewport={"width": 390, "height": 844}, has_touch=True
    )
    page = sign_in(phone, harbour, "administrator", f"/vessels/{ship_of_forty}/soundings/new")
    began = time.perf_counter()
    for number in range(1, FORTY + 1):
        expect(page.locator(".m1")).to_contain_text(f"Tank {number} of {FORTY}")
        page.locator("#reading").type("0,25" if number % 2 else "0.25")
        if number in (1, 17):
            expect(page.locator("#answer")).to_contain_text(re.compile("Between her rows|Her row"))
            button = page.get_by_role("button", name="Next").last.bounding_box()
            assert button["y"] + button["height"] < 844  # within a thumb's reach, not below the fold
            assert button["height"] >= 44
            assert fits(page)
        page.locator("#reading").press("Enter")
    expect(page.locator("main")).to_contain_text(f"{FORTY} taken, 0 to go")
    assert time.perf_counter() - began < 60.0
    page.get_by_role("link", name="All taken: to the sheet").click()
    expect(page.locator("[name='q:wb-fore-peak']")).to_have_value("0.25")
    expect(page.locator("[name='q:more-3']")).to_have_value("0.25")
    phone.close()


def test_without_scripts_a_reading_is_shown_kept_and_corrected(
    plain: BrowserContext, harbour: Harbour
) -> None:
    condition = harbour.enter()
    page = sign_in(plain, harbour, "ship", f"/vessels/halvenmoor/soundings/{condition}.1")
    page.get_by_label("Sounding, m").fill("9,9,9")
    page.get_by_role("button", name="Show what it says").click()
    expect(page).to_have_title(re.compile("^Error: "))
    expect(page.locator("#answer")).to_contain_text("is not a number")
    page.get_by_label("Sounding, m").fill("0,62")
    page.get_by_role("button", name="Show what it says").click()
    expect(page.locator("#answer")).to_contain_text("slack")
    page.get_by_role("button", name="Next").last.click()
    expect(page.locator("h1")).to_have_text("No. 1 double bottom tank port")
    page.get_by_text("empty", exact=True).click()
    page.get_by_role("button", name="Next").last.click()
    expect(page.locator(".m1")).to_contain_text("No. 1 double bottom tank port, empty")
    assert fits(page)
    page.goto(f"/conditions/{condition}/edit")
    expect(page.locator("[name='q:wb-db-1-p']")).to_have_value("")
    expect(page.locator("#was-q_wb-fore-peak")).to_contain_text("was")


def test_the_rows_a_reading_lies_between() -> None:
    tank = {
        "table": {
            "rows": [
                {"sounding": s, "volume": v} for s, v in ((0.0, 0.0), (0.6, 49.6), (0.65, 53.9), (1.2, 102.4))
            ]
        }
    }
    words = rounds.rows_in_words(tank, {"sounding": 0.62}, "metric")
    assert words == "Between her rows 0.60 m (49.6 m³) and 0.65 m (53.9 m³). Full at 1.20 m."
    assert rounds.rows_in_words(tank, {"sounding": 0.6}, "metric").startswith("Her row 0.60 m (49.6 m³)")
    assert (
        rounds.rows_in_words(tank, {"sounding": 1.3}, "metric")
        == "Off her table, which goes from 0.00 m to 1.20 m."
    )
    assert rounds.rows_in_words(tank, {"volume": 3.0}, "metric") == ""


def test_a_reading_off_her_table_is_refused_and_not_taken_as_empty() -> None:
    rows = [{"sounding": 0.0, "volume": 0.0}, {"sounding": 1.2, "volume": 102.4}]
    tank = {"id": "a", "capacity": 102.4, "table": {"rows": rows}}
    assert rounds.line_for(tank, "sounding", "1,2", None) == {"tank": "a", "sounding": 1.2}
    for text in ("99", "1.21", "-0.1"):
        with pytest.raises(NotANumber, match=r"off her table, which goes from 0 to 1\.2"):
            rounds.line_for(tank, "sounding", text, None)


def late(harbour: Harbour, name: str, **fields: str) -> tuple[int, dict[str, str]]:
    """What the service answers to a reading that waited for a signal."""
    path = f"/vessels/halvenmoor/soundings/{name}"
    with harbour.reader("ship") as reader:
        token = form_fields(reader.get(path).text, path)["token"]
        answer = reader.post(path, data={"token": token, "do": "late", "taken": "0", **fields})
    found: dict[str, str] = answer.json()
    return answer.status_code, found


def test_a_reading_that_waited_is_taken_once_and_undoes_nobodys(harbour: Harbour) -> None:
    """Sent twice it changes nothing; over what somebody wrote meanwhile only when that is said."""
    name = "late-readings"
    mine = {"tank": "wb-fore-peak", "way": "sounding", "reading": "1,2", "before": ""}
    kept = f"/v1/vessels/halvenmoor/unfinished/{name}"
    assert late(harbour, name, **mine) == (200, {"kept": "wb-fore-peak"})
    once = harbour.http.get(kept, headers=harbour.bearer("ship")).json()
    assert late(harbour, name, **mine)[0] == 200
    again = harbour.http.get(kept, headers=harbour.bearer("ship")).json()
    assert again == once
    assert again["document"]["tanks"] == [{"tank": "wb-fore-peak", "sounding": 1.2}]
    other = {**mine, "reading": "3.4"}
    status, told = late(harbour, name, **other)
    assert (status, told["now"]) == (409, "sounding 1.20 m")
    assert late(harbour, name, **{**other, "before": told["before"]})[0] == 200
    assert late(harbour, name, **{**mine, "mine": "yes"})[0] == 200
    status, told = late(harbour, name, **{**mine, "reading": "much"})
    assert (status, "is not a number" in told["wrong"]) == (422, True)
    assert late(harbour, name, **{**mine, "way": "empty", "mine": "yes"})[0] == 200
    last = harbour.http.get(kept, headers=harbour.bearer("ship")).json()
    assert last["document"]["tanks"] == []


def test_without_a_signal_readings_wait_in_the_browser(browser: Browser, harbour: Harbour) -> None:
    """Two tanks read off line, told so, sent when the signal is back; nothing is lost by leaving the page."""
    phone = browser.new_context(base_url=harbour.address, viewport={"width": 390, "height": 844})
    path = "/vessels/halvenmoor/soundings/off-line"
    page = sign_in(phone, harbour, "ship", path)
    phone.set_offline(True)
    for _ in range(2):
        page.locator("#reading").fill("0,3")
        tank = page.locator("#tank").inner_text()
        page.locator("#reading").press("Enter")
        expect(page.locator("#tank")).not_to_have_text(tank)
    expect(page.locator("#waiting")).to_contain_text("2 readings are in this browser only.")
    assert fits(page)
    phone.set_offline(False)
    expect(page.locator("#waiting")).to_be_empty(timeout=15_000)
    kept = harbour.http.get(
        "/v1/vessels/halvenmoor/unfinished/off-line", headers=harbour.bearer("ship")
    ).json()
    assert [line["sounding"] for line in kept["document"]["tanks"]] == [0.3, 0.3]
    phone.close()
