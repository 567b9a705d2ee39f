"""axe-core finds nothing to complain of on any page, in light and dark (WCAG 2.2 A and AA, best practices)."""

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.pages.conftest import SIZES, sign_in
from tests.pages.harbour import Harbour
from tests.pages.test_what_is_missing import NO_EQUILIBRIUM, OFF_TRIM, weights

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module")
def addresses(harbour: Harbour) -> list[str]:
    """Every kind of page, with something on it."""
    condition, planned = harbour.accepted_then_changed(), harbour.enter_plan()
    harbour.review(condition, 2, "returned", "Which water?")
    kept = f"/conditions/{condition}"
    return [
        *(
            "/",
            "/?name=nobody",
            "/keys",
            "/fleets",
            harbour.named_fleet(),
            "/notices",
            "/vessels/new",
            "/vessels/halvenmoor",
            "/vessels/halvenmoor/edit",
        ),
        *(
            "/vessels/halvenmoor/workbook",
            "/vessels/halvenmoor/conditions",
            "/vessels/halvenmoor/condition-sheet",
        ),
        *harbour.begun_booklet(),
        *(
            "/vessels/halvenmoor/conditions/new",
            "/vessels/halvenmoor/soundings/new",
            "/sign-in",
            "/nowhere",
            kept,
            f"{kept}/edit",
        ),
        *(
            f"/conditions/{harbour.enter(name)}"
            for name in ("timber-loll", "everything-slack", "over-full-tank")
        ),
        *(
            f"{kept}/revisions",
            f"{kept}/comparison",
            f"/comparison?to={condition}",
            f"{kept}/revisions/2/review",
            f"{kept}/revisions/2/reviewed",
            f"{kept}/revisions/1/judged-again",
            f"{kept}/revisions/2/working",
            f"/conditions/{harbour.enter_box('Box, read aloud')}/revisions/1/strength",
            f"/conditions/{harbour.enter('timber-gm-fails')}/revisions/1/what-would-do?wait=1",
            f"/conditions/{harbour.enter('timber-loll')}/revisions/1/what-would-do",
            *(f"/conditions/{planned}/revisions/1/{rest}" for rest in ("voyage", "voyage/3", "what-moves")),
            f"/comparison?from={condition}&to={planned}",
            "/vessels/halvenmoor/tables/cross-curves",
            "/vessels/halvenmoor/tables/tank-tables",
            "/vessels/halvenmoor/vcg-limits",
        ),
        f"/conditions/{harbour.enter(weights=weights(OFF_TRIM))}",
        f"/conditions/{harbour.enter(weights=weights(NO_EQUILIBRIUM))}",
    ]


FEW, EVERY = 30, 1
RUNS = [
    pytest.param(("phone", "light", 0, FEW), id="phone, light"),
    pytest.param(("desktop", "dark", 3, FEW), id="desktop, dark"),
    pytest.param(("phone", "light", 0, EVERY), id="phone, light, every page", marks=pytest.mark.long),
    pytest.param(("desktop", "dark", 0, EVERY), id="desktop, dark, every page", marks=pytest.mark.long),
    pytest.param(("desktop", "light", 0, EVERY), id="desktop, light, every page", marks=pytest.mark.long),
]
"""Both sizes have the same tones and both tones the same sizes, so that two of the four show all. The checker takes
seconds a page: a few are looked at in each of the two, and all in the long run."""


@pytest.fixture(params=RUNS)
def reader(
    browser: Browser, harbour: Harbour, request: pytest.FixtureRequest
) -> Iterator[tuple[Page, slice]]:
    """An administrator's window and which pages it looks at; the content policy is set aside for the checker's own
    script alone."""
    size, tone, first, step = request.param
    width, height = SIZES[size]
    context = browser.new_context(
        base_url=harbour.address,
        bypass_csp=True,
        color_scheme=tone,
        viewport={"width": width, "height": height},
    )
    yield sign_in(context, harbour, "administrator", "/keys"), slice(first, None, step)
    context.close()


@pytest.mark.timeout(400)
def test_no_page_has_a_violation(reader: tuple[Page, slice], addresses: list[str]) -> None:
    axe, (page, looked_at) = Axe(), reader
    found = {}
    for address in addresses[looked_at]:
        page.goto(address)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
        options = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
        result = axe.run(page, options=options)
        if result.violations_count:
            found[address] = [
                (v["id"], v["nodes"][0]["html"][:160], v["nodes"][0].get("failureSummary", "")[:300])
                for v in result.response["violations"]
            ]
    assert found == {}
