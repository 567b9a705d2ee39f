"""What people come for, in a browser: at a phone's and a desk's size, reading without scripts, typing with them."""

import re

import pytest
from playwright.sync_api import BrowserContext, ConsoleMessage, Page, expect

from tests.pages.conftest import sign_in
from tests.pages.harbour import Harbour

MARGIN = 1
"""Pixels that rounding may put beyond the edge of the window."""


def fits(page: Page) -> bool:
    """Whether nothing makes the page wider than the window."""
    wide: int = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return wide <= MARGIN


@pytest.fixture
def complaints(context: BrowserContext) -> list[str]:
    """What the browser complains of: errors of scripts, refusals of the content policy; not that a form was refused."""
    said: list[str] = []

    def heard(message: ConsoleMessage) -> None:
        if message.type == "error" and "the server responded with a status of 422" not in message.text:
            said.append(message.text)

    context.on("console", heard)
    context.on("weberror", lambda error: said.append(str(error.error)))
    return said


def test_which_ship_needs_a_look_and_why(plain: BrowserContext, harbour: Harbour) -> None:
    """The superintendent, without scripts: fleet, the ship that fails, the reason, what it was found from."""
    harbour.enter("timber-loll")
    page = sign_in(plain, harbour, "reviewer")
    expect(page.locator(".verdict")).to_contain_text("1 ship fails")
    assert fits(page)
    page.locator(".group.fail").get_by_role("link", name="Halvenmoor").click()
    expect(page.locator(".verdict").first).to_contain_text("Fails 7 of 14, 2 dangers")
    expect(page.locator(".lead").first).to_contain_text("GM 0.225 m short")
    expect(page.locator(".lead").first).to_contain_text("needs 0.150 m")
    assert fits(page)
    page.locator(".lead a").first.click()
    assert page.url.endswith("initial-gm")
    page.locator("summary", has_text="each with its source").click()
    expect(page.locator(".full").first).to_contain_text("2008 IS Code")


def test_what_changed_since_the_accepted_revision(plain: BrowserContext, harbour: Harbour) -> None:
    condition = harbour.accepted_then_changed()
    page = sign_in(plain, harbour, "reviewer", f"/conditions/{condition}")
    expect(page.locator(".letter")).to_contain_text("No. 5 fuel oil tank port 70.8 → 44.3 m³")
    page.get_by_role("link", name="Compare revision 1 with 2").click()
    expect(page.locator("h1")).to_have_text("Revision 1 → 2")
    expect(page.locator("svg.drawing.lever")).to_be_visible()
    assert fits(page)
    page.get_by_role("link", name="History").click()
    expect(page.locator(".timeline li")).to_have_count(2)
    assert fits(page)


def test_which_tank_costs_most(context: BrowserContext, harbour: Harbour, complaints: list[str]) -> None:
    condition = harbour.enter("everything-slack")
    page = sign_in(context, harbour, "integrator", f"/conditions/{condition}")
    page.get_by_role("link", name="Dearest in GM first").click()
    shown = page.locator("#tank-table tbody td.cost").all_inner_texts()
    costs = [0.0 if text == "small" else float(text.replace("−", "-")) for text in shown]
    assert costs == sorted(costs)
    assert len(costs) > 25
    assert "order" not in page.url
    page.get_by_role("link", name="From forward to aft").click()
    expect(page.locator("#tank-table tbody th").first).to_contain_text("Fore peak")
    assert complaints == []


def test_the_curve_is_read_at_any_heel(
    context: BrowserContext, harbour: Harbour, complaints: list[str]
) -> None:
    condition = harbour.enter()
    page = sign_in(context, harbour, "integrator", f"/conditions/{condition}")
    curve = harbour.http.get(f"/v1/conditions/{condition}", headers=harbour.bearer("ship")).json()
    levers = curve["assessment"]["righting_lever"]["levers"]
    page.get_by_label("Read the curve").fill("25")
    expect(page.locator(".reading span")).to_have_text(f"25°: {levers[25]:.3f} m")
    left, right, _, _, last = map(float, page.locator("svg.lever").get_attribute("data-axis").split())
    plot = page.locator("svg.lever").bounding_box()
    page.locator("svg.lever").hover(
        position={"x": plot["width"] * (left + (right - left) * 40 / last) / 360, "y": 60}
    )
    expect(page.locator(".reading span")).to_have_text(f"40°: {levers[40]:.3f} m")
    assert complaints == []


def test_a_condition_is_accepted_with_a_note(
    context: BrowserContext, harbour: Harbour, complaints: list[str]
) -> None:
    condition = harbour.accepted_then_changed()
    page = sign_in(context, harbour, "reviewer", f"/conditions/{condition}")
    page.get_by_role("link", name="Review revision 2").locator("visible=true").click()
    page.get_by_label("Accept revision 2").check()
    page.get_by_label("Note").fill("Sum done again.\nAgrees.")
    page.get_by_role("button", name="Save decision").click()
    expect(page.locator("h1")).to_have_text("Accepted")
    digest = harbour.http.get(f"/v1/conditions/{condition}", headers=harbour.bearer("reviewer")).json()[
        "digest"
    ]
    expect(page.locator("main")).to_contain_text(digest)
    expect(page.locator("main")).to_contain_text("Revision 2 of")
    assert fits(page)
    assert complaints == []


def test_returning_needs_a_reason(plain: BrowserContext, harbour: Harbour) -> None:
    page = sign_in(plain, harbour, "reviewer", f"/conditions/{harbour.enter()}/revisions/1/review")
    page.get_by_label("Return it to").check()
    page.get_by_role("button", name="Save decision").click()
    expect(page.get_by_role("alert")).to_contain_text("Say why it is returned")
    expect(page.get_by_label("Return it to")).to_be_checked()


def test_trying_out_shows_the_effect_at_once_and_keeps_nothing(
    context: BrowserContext, harbour: Harbour, complaints: list[str]
) -> None:
    condition = harbour.enter()
    page = sign_in(context, harbour, "ship", f"/conditions/{condition}/edit")
    before = page.locator("#strip strong").first.inner_text()
    page.get_by_label("Quantity, No. 5 fuel oil tank port").fill("60")
    page.get_by_label("Quantity, No. 5 fuel oil tank starboard").fill("60")
    expect(page.locator("#strip strong").first).not_to_have_text(before)
    expect(page.locator("#strip")).to_contain_text(f"was {before}")
    expect(page.locator("#live-fo-db-5-p")).to_contain_text("60 %, slack")
    page.get_by_label("Quantity, No. 5 fuel oil tank port").fill("6o")
    expect(page.locator("#strip")).to_contain_text("“6o” is not a number")
    expect(page.locator("#said")).to_contain_text("“6o” is not a number")
    assert fits(page)
    kept = harbour.http.get(f"/v1/conditions/{condition}", headers=harbour.bearer("ship")).json()
    assert kept["revision"] == 1
    assert complaints == []


def test_the_strip_stays_in_view(context: BrowserContext, harbour: Harbour) -> None:
    page = sign_in(context, harbour, "ship", f"/conditions/{harbour.enter()}/edit")
    page.get_by_label("Quantity, Aft peak").scroll_into_view_if_needed()
    expect(page.locator("#strip .verdict")).to_be_in_viewport()


def test_a_change_is_saved_as_the_next_revision_with_its_reason(
    context: BrowserContext, harbour: Harbour, complaints: list[str]
) -> None:
    condition = harbour.enter()
    page = sign_in(context, harbour, "ship", f"/conditions/{condition}/edit")
    page.get_by_label("Quantity, No. 5 fuel oil tank port").fill("60")
    page.get_by_role("button", name="Save as revision 2").click()
    expect(page.locator("#wrong-reason")).to_contain_text("Say why")
    expect(page.get_by_label("Quantity, No. 5 fuel oil tank port")).to_have_value("60")
    page.get_by_label("Reason").fill("Bunkers used")
    page.get_by_role("button", name="Save as revision 2").click()
    expect(page.get_by_role("status")).to_contain_text("Stored as a new revision")
    expect(page.locator(".letter")).to_contain_text("70.8 → 44.3 m³")
    assert page.evaluate("localStorage.length") == 0
    assert complaints == []


def test_a_condition_is_entered_from_the_tank_list_without_scripts(
    plain: BrowserContext, harbour: Harbour
) -> None:
    """The officer builds a condition: no JSON, no scripts."""
    page = sign_in(plain, harbour, "ship", "/vessels/halvenmoor")
    page.get_by_role("link", name="Enter a condition").click()
    page.get_by_label("Title").fill("Shifting berth")
    page.get_by_label("Load line mark in force").select_option("S")
    page.get_by_label("Quantity, No. 5 fuel oil tank port").fill("50")
    page.get_by_label("Quantity, Fore peak").fill("100")
    page.get_by_label("Quantity of Fore peak is").select_option("volume")
    page.get_by_label("Name of new weight 1").fill("Crew and stores")
    for field, value in (("Mass", "20"), ("LCG", "10"), ("VCG", "9")):
        page.get_by_label(f"{field} of new weight 1").fill(value)
    page.get_by_role("button", name="Show the effect").last.click()
    expect(page.locator("#live-wb-fore-peak")).to_contain_text("slack, costs")
    assert fits(page)
    page.get_by_label("Reason").fill("Shifting to the lay-by berth")
    page.get_by_role("button", name="Save as a new condition").click()
    expect(page.locator("h1")).to_have_text("Halvenmoor: Shifting berth")
    kept = harbour.http.get(
        f"/v1{re.sub('[?].*', '', page.url.split(harbour.address)[1])}", headers=harbour.bearer("ship")
    )
    document = kept.json()["document"]
    assert [t["tank"] for t in document["tanks"]] == ["wb-fore-peak", "fo-db-5-p"] or len(
        document["tanks"]
    ) == 2
    assert {t["tank"]: t.get("volume") for t in document["tanks"]}["wb-fore-peak"] == 100.0
    assert document["weights"][0]["mass"] == 20.0


def test_somebody_else_was_faster(context: BrowserContext, harbour: Harbour) -> None:
    condition = harbour.enter()
    page = sign_in(context, harbour, "ship", f"/conditions/{condition}/edit")
    harbour.revise(condition, "Meanwhile", water_density=1.020)
    page.get_by_label("Quantity, No. 5 fuel oil tank port").fill("60")
    page.get_by_label("Reason").fill("Bunkers used")
    page.get_by_role("button", name="Save as revision").click()
    expect(page.get_by_role("alert")).to_contain_text("Somebody else kept revision 2")
    expect(page.get_by_label("Quantity, No. 5 fuel oil tank port")).to_have_value("60")
    expect(page.get_by_label("Reason")).to_have_value("Bunkers used")
    page.get_by_role("button", name="Save as revision 3").click()
    expect(page.get_by_role("status")).to_contain_text("Stored as a new revision")


def test_typed_work_outlives_the_session_and_the_window(context: BrowserContext, harbour: Harbour) -> None:
    path = f"/conditions/{harbour.enter()}/edit"
    page = sign_in(context, harbour, "ship", path)
    page.get_by_label("Quantity, No. 5 fuel oil tank port").fill("61.7")
    expect(page.locator("#live-fo-db-5-p")).to_contain_text("62 %")
    context.clear_cookies()
    page.get_by_label("Quantity, No. 5 fuel oil tank starboard").fill("61.7")
    expect(page.locator("#strip")).to_contain_text(
        "You are signed out. What you typed is kept in this browser"
    )
    page.close()
    page = sign_in(context, harbour, "ship", path)
    expect(page.locator("#restore")).to_contain_text("did not save it")
    page.get_by_role("button", name="Put it back").click()
    expect(page.get_by_label("Quantity, No. 5 fuel oil tank starboard")).to_have_value("61.7")
    expect(page.locator("#live-fo-db-5-s")).to_contain_text("62 %")


def test_a_full_review_by_keyboard_alone(browser_page: Page, harbour: Harbour) -> None:
    """From signing in to the decision: Tab, Space, arrows, Enter; the focus is always to be seen."""
    harbour.review(harbour.accepted_then_changed(water_density=1.024), 1, "accepted")
    page = browser_page
    page.goto("/sign-in")
    reach(page, "input", "key")
    page.keyboard.type(harbour.keys["reviewer"])
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/$"))
    page.keyboard.press("Tab")
    assert focused(page)["text"] == "To the content"
    page.keyboard.press("Enter")
    reach(page, "a", "Halvenmoor")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("/conditions/"))
    reach(page, "a", "Review revision 2")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("/review$"))
    reach(page, "input", "decision")
    page.keyboard.press("Space")
    reach(page, "textarea", "note")
    page.keyboard.type("Checked by hand.")
    reach(page, "button", "Save decision")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("/reviewed$"))
    expect(page.locator("h1")).to_have_text("Accepted")


@pytest.fixture
def browser_page(context: BrowserContext) -> Page:
    return context.new_page()


def focused(page: Page) -> dict[str, str]:
    """What has the focus, and whether the ring around it is drawn."""
    found: dict[str, str] = page.evaluate(
        """() => { const e = document.activeElement, s = getComputedStyle(e);
        return {tag: e.tagName.toLowerCase(), text: e.textContent.trim(), name: e.name || '',
                ring: s.outlineStyle + ' ' + s.outlineWidth}; }"""
    )
    return found


def reach(page: Page, tag: str, name: str, most: int = 60) -> None:
    """Press Tab until the element has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        at = focused(page)
        if at["tag"] != "body":
            assert at["ring"] == "solid 3px", at
        if at["tag"] == tag and name in (at["text"], at["name"]):
            return
    raise AssertionError(f"{tag} {name} is not reached by Tab")


def test_the_first_key_and_its_end(context: BrowserContext, harbour: Harbour, size: dict[str, int]) -> None:
    """An administrator makes a key, sees it once, and revokes it."""
    who = f"Chief mate {size['width']}"
    page = sign_in(context, harbour, "administrator", "/keys")
    page.get_by_label("Who uses it").fill(who)
    page.get_by_label("Ids of the vessels").fill("halvenmoor")
    page.get_by_role("button", name="Make the key").click()
    token = page.locator(".secret").inner_text()
    assert harbour.http.get("/v1/fleet", headers={"Authorization": f"Bearer {token}"}).status_code == 200
    page.goto("/keys")
    assert token not in page.content()
    page.get_by_role("button", name=f"Revoke the key of {who}").click()
    expect(page.locator("tr", has_text=who)).to_contain_text("Revoked")
    assert fits(page)
    harbour.http.get("/v1/fleet", headers={"Authorization": f"Bearer {token}"})
    assert harbour.http.get("/v1/keys", headers={"Authorization": f"Bearer {token}"}).status_code == 401
