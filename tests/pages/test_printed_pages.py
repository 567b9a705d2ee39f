"""Pages on paper, as the browser prints them: nothing wider than the sheet, no navigation, the caution, whole rows."""

import io
from collections.abc import Iterator

import pypdf
import pytest
from playwright.sync_api import Browser, Page

from tests.pages.conftest import sign_in
from tests.pages.harbour import Harbour

PAPER_PX = {"width": 695, "height": 1039}
"""A4 without the margins of the style sheet (11 and 13 mm), at 96 pixels an inch."""
CUT = """() => [...document.querySelectorAll('main *, footer *')].filter(e => e.checkVisibility())
    .filter(e => !e.closest('.hidden') && !e.closest('desc, title'))
    .filter(e => { const b = e.getBoundingClientRect(); return b.width && (b.right > innerWidth + 1 || b.left < -1) })
    .map(e => [Math.round(e.getBoundingClientRect().right), e.outerHTML.slice(0, 120)])"""
SHOWN = """() => [...document.querySelectorAll('nav, form:not(.printed), button, input, summary, .skip')]
    .filter(e => e.checkVisibility() && !e.closest('.lines, .fleet')).map(e => e.outerHTML.slice(0, 80))"""
SPLIT = """() => [...document.querySelectorAll('tr')].filter(e => e.checkVisibility())
    .filter(e => getComputedStyle(e).breakInside !== 'avoid').length"""


@pytest.fixture(scope="module")
def addresses(harbour: Harbour) -> dict[str, tuple[str, str]]:
    """Pages that are printed, and words that have to be on paper."""
    condition, planned = harbour.accepted_then_changed(), harbour.enter_plan()
    harbour.review(condition, 2, "returned", "Which water?")
    strength = f"/conditions/{harbour.enter_box('Box, on paper')}/revisions/1/strength"
    return {
        "voyage": (f"/conditions/{planned}/revisions/1/voyage", "Arrival ends"),
        "tables": ("/vessels/halvenmoor/tables/cross-curves", "7000"),
        "hydrostatics": ("/vessels/halvenmoor/tables/hydrostatics", "Not held: TCB"),
        "vessel": ("/vessels/halvenmoor", "Fore peak"),
        "strength": (strength, "At the read-out points"),
        "comparison": (f"/conditions/{condition}/comparison", "−25.2 t"),
        "history": (f"/conditions/{condition}/revisions", "Which water?"),
        "fleet": ("/", "Sandrock Terminal"),
    }


@pytest.fixture(scope="module")
def page(browser: Browser, harbour: Harbour) -> Iterator[Page]:
    context = browser.new_context(base_url=harbour.address, viewport=PAPER_PX)
    yield sign_in(context, harbour, "administrator", "/keys")
    context.close()


@pytest.mark.parametrize(
    "name",
    ["voyage", "tables", "hydrostatics", "vessel", "strength", "comparison", "history", "fleet"],
)
def test_a_page_on_paper(page: Page, addresses: dict[str, tuple[str, str]], name: str) -> None:
    address, words = addresses[name]
    page.goto(address)
    page.emulate_media(media="print")
    assert page.evaluate(CUT) == []
    assert page.evaluate(SHOWN) == []
    assert page.evaluate(SPLIT) == 0
    sheets = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    page.emulate_media(media="screen")
    text = [" ".join(sheet.extract_text().split()) for sheet in sheets.pages]
    assert "approved stability booklet" in text[-1]
    assert words in " ".join(text)
    assert "Sign out" not in " ".join(text)
    assert all(len(sheet) > 200 for sheet in text), "a sheet that holds next to nothing"
