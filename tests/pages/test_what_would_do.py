"""What would do takes seconds: the page is there at once, says that it waits, and shows what was found."""

import re

import pytest
from playwright.sync_api import BrowserContext, Route, expect

from tests.pages.conftest import SIZES, sign_in
from tests.pages.harbour import Harbour, text_of_page

FAILS = "timber-gm-fails"
WAITS = "Being worked out: this takes some seconds."
MINUTE = 60_000
ON_A_PHONE = [dict(zip(("width", "height"), SIZES["phone"]))]


def test_the_page_does_not_wait_and_who_asks_again_sees_it_at_once(harbour: Harbour) -> None:
    path = f"/conditions/{harbour.enter(FAILS)}/revisions/1/what-would-do"
    with harbour.reader("ship") as reader:
        first = reader.get(path)
        assert WAITS in text_of_page(first)
        assert (
            f'<noscript><meta http-equiv="refresh" content="0; url={path}?mode=single&amp;wait=1">'
            in first.text
        )
        found = text_of_page(reader.get(f"{path}?wait=1", timeout=MINUTE / 1000))
        assert WAITS not in found
        assert "The least mass first." in found
        assert text_of_page(reader.get(path)) == found
        assert WAITS in text_of_page(reader.get(f"{path}?mode=shift"))
        section = reader.get(f"{path}?part=found").text
    assert section.count("<section") == 1
    assert "<html" not in section


@pytest.mark.parametrize("size", ON_A_PHONE)
def test_with_scripts_it_follows_and_is_said(
    context: BrowserContext, harbour: Harbour, complaints: list[str]
) -> None:
    """A screen reader hears that it waits, still waits, and what came of it: all in one live region."""
    path = f"/conditions/{harbour.enter(FAILS)}/revisions/1/what-would-do"
    held: list[Route] = []
    page = sign_in(context, harbour, "ship")
    page.clock.install()
    page.route("**/what-would-do*part=found", lambda route: held.append(route))
    page.goto(path)
    status = page.get_by_role("status")
    expect(status).to_have_text(WAITS)
    page.clock.run_for(10_500)
    expect(status).to_have_text("Still being worked out, 10 s so far.")
    expect(page.get_by_role("heading", name="Single changes")).to_be_visible()
    held[0].continue_()
    expect(status).to_have_text(
        re.compile(r"^Worked out: \d changes at which everything holds\.$"), timeout=MINUTE
    )
    expect(page.get_by_text("The least mass first.")).to_be_visible()
    said = int(re.findall(r"\d", status.inner_text())[0])
    assert page.locator(".would > li").count() == said
    assert complaints == []


@pytest.mark.parametrize("size", ON_A_PHONE)
def test_without_scripts_it_goes_on_by_itself(plain: BrowserContext, harbour: Harbour) -> None:
    path = f"/conditions/{harbour.enter(FAILS)}/revisions/1/what-would-do"
    page = sign_in(plain, harbour, "ship")
    page.goto(path)
    page.wait_for_url("**/what-would-do?mode=single&wait=1", timeout=MINUTE)
    expect(page.get_by_text("The least mass first.")).to_be_visible(timeout=MINUTE)


def test_nothing_is_called_nearest_where_nothing_moves(harbour: Harbour) -> None:
    """The loll is beyond any one ballast tank: then no tank is shown that stays as it is."""
    path = f"/conditions/{harbour.enter('timber-loll')}/revisions/1/what-would-do?wait=1"
    with harbour.reader("ship") as reader:
        text = text_of_page(reader.get(path, timeout=MINUTE / 1000))
    assert "No change of one tank alone makes everything hold." in text
    assert "Nor does a change of one tank alone bring her nearer." in text
    assert "0.0 → 0.0" not in text
    assert ".. " not in text
