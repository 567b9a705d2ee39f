"""What the accessibility checker cannot see, in a browser: WCAG 2.2, 2.4.11 (what has the focus is not hidden), 2.5.8
(targets of 24 pixels, or as far apart) and 1.4.10 (no scrolling in two directions at 320 pixels).

Three pages in every run, all of them in the long run."""

import pytest
from playwright.sync_api import Browser

from tests.pages.conftest import sign_in
from tests.pages.harbour import Harbour
from tests.pages.test_accessibility import addresses  # noqa: F401 - a fixture

OPEN = "document.querySelectorAll('details').forEach(d => { d.open = true })"
SMALL = """() => {
    const inText = e => e.tagName === 'A' && [...e.parentNode.childNodes].some(n =>
        n.nodeType === 3 && n.textContent.trim().length > 1) && getComputedStyle(e).display === 'inline';
    const targets = [...document.querySelectorAll('a[href], button, input, select, textarea, summary')]
        .filter(e => e.checkVisibility() && e.type !== 'hidden' && !e.closest('.hidden, .skip, svg'));
    const boxes = targets.map(e => [e, (e.matches('input[type=radio], input[type=checkbox]') && e.closest('label') || e)
        .getBoundingClientRect()]).filter(([, b]) => b.width > 0);
    const middle = b => [(b.left + b.right) / 2, (b.top + b.bottom) / 2];
    const gap = ([x, y], b) => Math.hypot(Math.max(b.left - x, 0, x - b.right), Math.max(b.top - y, 0, y - b.bottom));
    const isSmall = b => b.width < 23.5 || b.height < 23.5;
    return boxes.filter(([e, b]) => isSmall(b) && !inText(e)).filter(([e, b]) => boxes.some(([f, c]) => f !== e && (
        isSmall(c) ? Math.hypot(middle(b)[0] - middle(c)[0], middle(b)[1] - middle(c)[1]) < 23.5
                   : gap(middle(b), c) < 11.5)))
        .map(([e, b]) => `${Math.round(b.width)}x${Math.round(b.height)} ${e.outerHTML.slice(0, 110)}`);
}"""
"""Small targets that have another one within the circle of 24 pixels (the exception of spacing); links within a
sentence are excepted."""
HIDDEN = """() => {
    const found = [];
    const kinds = 'a[href], button, input, select, textarea, summary, [tabindex="0"]';
    const targets = [...document.querySelectorAll(kinds)].filter(e => e.checkVisibility() && e.type !== 'hidden' &&
        !e.disabled && e.tabIndex >= 0 && !e.closest('.hidden'));
    const step = Math.max(1, Math.floor(targets.length / 60));
    for (const way of [1, -1]) {
        scrollTo(0, way > 0 ? 0 : document.documentElement.scrollHeight);
        for (const e of (way > 0 ? targets : [...targets].reverse()).filter((_, i) => i % step === 0)) {
            e.focus();
            if (document.activeElement !== e) continue;
            const b = e.getClientRects()[0];
            const points = [[0.5, 0.5], [0.1, 0.2], [0.9, 0.2], [0.1, 0.8], [0.9, 0.8]]
                .map(([x, y]) => [b.left + x * b.width, b.top + y * b.height]);
            const seen = points.some(([x, y]) => {
                const at = document.elementFromPoint(x, y);
                return at && (e.contains(at) || at.contains(e) || at.closest('label')?.control === e);
            });
            if (!seen) found.push(e.outerHTML.slice(0, 120));
        }
    }
    return found;
}"""
"""Elements that something lies over when they get the focus, going down the page and up again."""
TWO_WAYS = """() => {
    const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
    const outside = [...document.querySelectorAll('main *')].filter(e => e.checkVisibility()
        && !e.closest('.hidden, svg') && e.getBoundingClientRect().right > innerWidth + 1
        && !e.closest('table, .scroll, .held, .eq, .sums, pre, textarea')).map(e => e.outerHTML.slice(0, 100));
    return wide > 1 ? [`${wide} px too wide`, ...outside] : outside;
}"""
"""What lies beyond the window at 320 pixels; tables, formulas and programs' texts are excepted by the criterion."""

FEW = [
    pytest.param(("/", "/vessels/halvenmoor", "condition"), id="three pages"),
    pytest.param((), id="every page", marks=pytest.mark.long),
]


@pytest.mark.timeout(900)
@pytest.mark.parametrize("chosen", FEW)
def test_targets_focus_and_width(
    browser: Browser,
    harbour: Harbour,
    request: pytest.FixtureRequest,
    chosen: tuple[str, ...],
) -> None:
    every = (
        [harbour.enter() if name == "condition" else name for name in chosen]
        if chosen
        else request.getfixturevalue("addresses")
    )
    every = [f"/conditions/{name}" if "/" not in name else name for name in every]
    found: list[str] = []
    for width, height in ((320, 640), (1280, 800)):
        context = browser.new_context(base_url=harbour.address, viewport={"width": width, "height": height})
        page = sign_in(context, harbour, "administrator", "/keys")
        for address in every:
            page.goto(address)
            page.evaluate(OPEN)
            looks = {"small": SMALL, "hidden": HIDDEN} | ({"wide": TWO_WAYS} if width == 320 else {})
            for kind, script in looks.items():
                found += [f"{address} at {width}: {kind}: {said}" for said in page.evaluate(script)]
        context.close()
    assert not found, "\n".join(found)
