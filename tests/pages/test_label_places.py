"""Labels of the drawings of a voyage: measured by a browser, none touches another one."""

import copy
import random
from typing import Any

import pytest
from playwright.sync_api import Browser

from service.pages.drawings.label_places import Box, LabelPlaces, box_of
from service.pages.drawings.voyage_plot import draft_plot, gm_plot
from tests.pages.conftest import assessment

LINE = {"contents": "fuel_oil", "mass_per_day": 10.6, "order": [["fo-db-5-p", "fo-db-5-s"]]}
SEASON = {"from": "11-01", "to": "03-31", "mark": "W", "otherwise": "S"}
PLAN = {
    "kind": "voyage",
    "departs": "2026-10-28T12:00:00Z",
    "every_days": 4,
    "consumption": [{**LINE, "leave": 2.0}],
    "stages": [
        {"name": "River", "days": 1, "water_density": 1.0},
        {"name": "Ocean", "days": 10, "water_density": 1.025, "season": SEASON},
        {"name": "Arrival", "days": 1, "phase": "arrival"},
    ],
}
TOUCHING = """() => [...document.querySelectorAll('svg')].flatMap(drawing => {
    const labels = [...drawing.querySelectorAll('text')].map(e => [e.textContent, e.getBoundingClientRect()]);
    return labels.flatMap(([a, p], i) => labels.slice(i + 1).filter(([, q]) =>
        Math.min(p.right, q.right) - Math.max(p.left, q.left) > 0.5 &&
        Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 0.5).map(([b]) => `${a} and ${b}`));
})"""


@pytest.fixture(scope="module")
def plans() -> list[Any]:
    """A voyage of eleven points, and the same with points moved to day 0 and figures moved by chance."""
    found: list[Any] = [assessment("departure-homogeneous", plan=PLAN)]
    for seed in range(8):
        chance, moved = random.Random(seed), copy.deepcopy(found[0])
        for place, point in enumerate(moved["plan"]["points"]):
            point["day"] = 0.0 if place <= seed < 6 else point["day"]
            point["gm_corrected"] += chance.uniform(-0.6, 0.3)
            for end in ("draft_aft", "draft_forward"):
                point[end] += chance.uniform(-0.5, 0.5)
            point["margins"] = {id: m + chance.uniform(-0.3, 0.1) for id, m in point["margins"].items()}
        found.append(moved)
    return found


@pytest.mark.parametrize(("width", "columns"), [(320, 1), (390, 1), (1280, 2)])
def test_no_label_touches_another_one(browser: Browser, plans: list[Any], width: int, columns: int) -> None:
    drawings = [
        draw(answer, name=f"{name}-{place}")
        for place, answer in enumerate(plans)
        for name, draw in (("gm", gm_plot), ("drafts", draft_plot))
    ]
    page = browser.new_page(viewport={"width": width, "height": 800})
    page.set_content(f"<main>{''.join(drawings)}</main>")
    page.add_style_tag(path="service/pages/static/page.css")
    page.add_style_tag(content=f"main {{ columns: {columns}; }} svg {{ break-inside: avoid; }}")
    assert page.evaluate(TOUCHING) == []
    counted = page.evaluate("document.querySelectorAll('svg .label-bold, svg .label-halo').length")
    page.close()
    assert counted > 3 * len(drawings)


def test_the_worst_point_keeps_its_figures(plans: list[Any]) -> None:
    """What is left out for lack of room is never the least margin."""
    for answer in plans:
        words = str(gm_plot(answer))
        assert 'class="fat"' in words
        assert "short: " in words or "least: " in words


def test_a_label_takes_a_free_place_that_no_curve_crosses() -> None:
    places = LabelPlaces(100.0, [[(0.0, 50.0), (100.0, 50.0)]])
    on_the_curve, above = ((50.0, 58.0), "middle"), ((50.0, 40.0), "middle")
    assert places.place("1.00", [on_the_curve, above]) == above
    assert places.place("1.00", [above]) is None
    assert places.place("1.00", [on_the_curve]) == on_the_curve
    assert places.place("1.00", [((99.0, 20.0), "start")]) is None


@pytest.mark.parametrize(
    ("start", "end", "crossed"),
    [
        ((0.0, 5.0), (20.0, 5.0), True),
        ((5.0, 0.0), (5.0, 20.0), True),
        ((11.0, 0.0), (13.0, 20.0), False),
        ((12.0, 0.0), (12.0, 20.0), False),
        ((2.0, 2.0), (3.0, 3.0), True),
        ((0.0, 14.0), (14.0, 0.0), True),
        ((0.0, 21.0), (21.0, 0.0), False),
    ],
)
def test_whether_a_line_crosses_a_label(
    start: tuple[float, float], end: tuple[float, float], crossed: bool
) -> None:
    assert Box(0.0, 0.0, 10.0, 10.0).is_crossed(start, end) is crossed


def test_bold_words_and_their_side() -> None:
    assert box_of((10.0, 0.0), "0.123", "end").right == 10.0
    plain, bold = box_of((0.0, 0.0), "0.123"), box_of((0.0, 0.0), "0.123", bold=True)
    assert plain.right < bold.right
