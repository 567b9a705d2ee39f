"""What people come for, in a browser: at a phone's and a desk's size, reading without scripts, typing with them."""

import re

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.pages.conftest import fits, sign_in
from tests.pages.harbour import Harbour


def test_which_ship_needs_a_look_and_why(plain: BrowserContext, harbour: Harbour) -> None:
    """The superintendent, without scripts: fleet, the ship that fails, the reason, what it was found from."""
    harbour.set_state(harbour.enter("timber-loll"), "in_force")
    page = sign_in(plain, harbour, "reviewer")
    expect(page.locator("h1")).to_contain_text("1 ship fails")
    assert fits(page)
    page.locator("#fails").get_by_role("link", name="Halvenmoor").click()
    expect(page.locator(".verdict").first).to_contain_text("Fails 7 of 18, 2 dangers")
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
    expect(page.locator("h1")).to_have_text("Halvenmoor: revision 1 → 2")
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


def test_a_full_review_by_keyboard_alone(browser_page: Page, harbour: Harbour, size: dict[str, int]) -> None:
    """From signing in to the decision: Tab, Space, arrows, Enter; the focus is always to be seen."""
    barge = f"Barge {size['width']}"
    harbour.enter_box(barge)
    page = browser_page
    page.goto("/sign-in")
    reach(page, "input", "key")
    page.keyboard.type(harbour.keys["reviewer"])
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/$"))
    page.keyboard.press("Tab")
    assert focused(page)["text"] == "To the content"
    page.keyboard.press("Enter")
    reach(page, "a", barge)
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("/conditions/"))
    reach(page, "a", "Review revision 1")
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
    """An administrator makes a key for a ship and a fleet, sees it once, and revokes it."""
    head = {"Authorization": f"Bearer {harbour.keys['administrator']}"}
    fleet, document = (
        f"/v1/fleets/west-{size['width']}",
        {"name": f"West {size['width']}", "vessels": ["ostrel"]},
    )
    assert harbour.http.put(fleet, json=document, headers=head).status_code == 201
    who = f"Chief mate {size['width']}"
    page = sign_in(context, harbour, "administrator", "/keys")
    page.get_by_label("Who uses it").fill(who)
    page.get_by_label("Only these").check()
    page.locator("[name=vessel][value=halvenmoor]").check()
    page.get_by_label(f"West {size['width']} 1 ship", exact=True).check()
    page.get_by_role("button", name="Make the key").click()
    token = page.locator(".secret").inner_text()
    assert harbour.http.get("/v1/fleet", headers={"Authorization": f"Bearer {token}"}).status_code == 200
    ships = harbour.http.get("/v1/vessels", headers={"Authorization": f"Bearer {token}"}).json()["items"]
    assert {ship["id"] for ship in ships} == {"halvenmoor", "ostrel"}
    page.goto("/keys")
    assert token not in page.content()
    expect(page.locator("tr", has_text=who)).to_contain_text(f"fleet West {size['width']}, Halvenmoor")
    page.get_by_role("button", name=f"Revoke the key of {who}").click()
    expect(page.locator("tr", has_text=who)).to_contain_text("Revoked")
    assert fits(page)
    harbour.http.get("/v1/fleet", headers={"Authorization": f"Bearer {token}"})
    assert harbour.http.get("/v1/keys", headers={"Authorization": f"Bearer {token}"}).status_code == 401
