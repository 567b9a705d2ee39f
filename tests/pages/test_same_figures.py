"""The figures of an answer are the same on its page and on its report, rounded as the conventions of the pages say, for
every demonstration condition. Rounding is done anew here, by the format of Python."""

import html
import re
from collections.abc import Iterator
from typing import Any

import pytest

from service.demo import condition_names
from service.pages.condition import detail_of
from service.pages.environment import figures_for
from service.pages.page import Pages
from service.pages.report.sheet import sheet_data
from tests.api.office import condition_document, vessel_document
from tests.pages.conftest import assessment

KEY_FIGURES = '{% from "_figures.html" import key_figures %}{{ key_figures(answer, fig, num) }}'
CONDITIONS = [(ship, name) for ship in ("halvenmoor", "ostrel") for name in condition_names(ship)]


@pytest.fixture(scope="module")
def pages() -> Iterator[Pages]:
    found = Pages.new()
    yield found
    found.reports.close()


def _page(pages: Pages, record: dict[str, Any], vessel: dict[str, Any]) -> str:
    answer = record["assessment"]
    context = {"answer": answer, **figures_for(answer["units"]["system"])}
    head = pages.environment.from_string(KEY_FIGURES).render(context)
    return html.unescape(re.sub(r"<[^>]+>", " ", head + detail_of(pages, record, vessel, "ship")))


def _texts(data: object) -> Iterator[str]:
    """Every text of the sheet, drawings without their elements."""
    if isinstance(data, str):
        yield re.sub(r"<[^>]+>", " ", data)
    elif isinstance(data, dict | list):
        for part in data.values() if isinstance(data, dict) else data:
            yield from _texts(part)


def _shown(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.replace("-", "−") if float(text) else text.lstrip("-")


def _figures(answer: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """What every reader copies: a name and the figure as it is to be shown."""
    flotation, stability = answer["flotation"], answer["stability"]
    yield "displacement", _shown(answer["displacement"], 1)
    yield "deadweight", _shown(answer["deadweight"], 1)
    sags = abs((answer["load_line"] or {}).get("deflection", 0.0)) >= 0.0005
    for name in ("draft_aft", "draft_midship", "draft_forward"):
        if flotation[name] is not None:
            yield name, _shown(flotation[name], 3 if sags and name == "draft_midship" else 2)
    for mark in flotation["drafts_at_marks"]:
        yield mark["name"], _shown(mark["draft"], 2)
    for name, value in (
        ("gm", stability["gm_corrected"]),
        ("km", flotation["km"]),
        ("kg", answer["vcg_solid"]),
    ):
        if value is not None and stability["gm_corrected"] is not None:
            yield name, _shown(value, 3)
    for basis, total in answer["free_surface"].items():
        if isinstance(total, dict) and "moment" in total:
            yield basis, _shown(total["moment"], 1)
    for tank in answer["tanks"]:
        if tank["state"] != "empty":
            yield tank["name"], _shown(tank["fill"], 1)
            yield tank["name"], _shown(tank["mass"], 1)
    for c in answer["criteria"]:
        lengths = c["unit"] in ("m", "ft") and c["verdict"] in ("pass", "fail")
        if lengths and c["attained"] is not None and not c["key"].startswith("draft"):
            yield c["id"], _shown(c["attained"], 3)
    curve = answer["righting_lever"]
    if curve is not None:
        yield "greatest lever", f"{curve['maximum']:.3f}".replace("-", "−")


@pytest.mark.parametrize(("ship", "name"), CONDITIONS)
def test_page_and_report_show_what_the_answer_says(pages: Pages, ship: str, name: str) -> None:
    answer, vessel = assessment(name, ship), vessel_document(ship)
    record = {
        "condition": "c1",
        "revision": 1,
        "created": "2026-11-26T07:55:00Z",
        "author": {"name": "The mate"},
        "assessment": answer,
        "document": condition_document(name, ship),
        "digest": f"digest of {ship} {name}",
        "vessel_revision": 1,
        "vessel_digest": "digest of the vessel",
        "reason": None,
    }
    page, sheet = _page(pages, record, vessel), " ".join(_texts(sheet_data(record, [], 1, vessel)))
    found = list(_figures(answer))
    assert len(found) > 15
    for where, text in (("page", page), ("report", sheet)):
        numbers = set(re.findall(r"(?<![\d.])−?\d+(?:\.\d+)?(?![\d.]*\d)", text))
        missing = [figure for figure in found if figure[1] not in numbers]
        assert not missing, where
