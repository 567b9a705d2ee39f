"""Conditions that calculation 1.0.0 judged, kept by that release: shown as they were judged, and judged again."""

import io
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from pypdf import PdfReader

from service.actions.records.lifecycle import visited_records
from service.storage import import_history
from service.translation.calculation_version import CALCULATION_VERSION
from tests.pages.conftest import running_harbour
from tests.pages.harbour import Harbour, form_fields, text_of_page
from tests.storage.records import kept_by_1_0_0

REVISIONS = json.loads(kept_by_1_0_0())["condition"]["revisions"]
HEADLINES = {1: "Passes", 2: "Passes, 1 danger", 3: "Fails 6 of 10, 2 dangers", 4: "Passes"}


@dataclass(frozen=True)
class Older:
    """A service, the id of the condition, and of its vessel."""

    harbour: Harbour
    condition: str
    vessel: str

    def page(self, path: str, role: str = "administrator") -> str:
        with self.harbour.reader(role) as reader:
            answer = reader.get(path)
        assert answer.status_code == 200, path
        return text_of_page(answer)


@pytest.fixture(scope="module")
def older(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Older]:
    database = f"sqlite:///{tmp_path_factory.mktemp('older') / 'records.db'}"
    with running_harbour(database) as harbour:
        with visited_records(database) as records, records.writing() as tx:
            made = import_history(tx, kept_by_1_0_0())
        yield Older(harbour, made.condition, made.vessel)


@pytest.mark.parametrize("number", HEADLINES)
def test_a_condition_is_shown_as_it_was_judged(older: Older, number: int) -> None:
    text = older.page(f"/conditions/{older.condition}/revisions/{number}")
    assert f" {HEADLINES[number]} " in text
    assert f"by calculation 1.0.0; today's is {CALCULATION_VERSION}. Judge again" in text
    kept = json.loads(REVISIONS[number - 1]["assessment"])
    nearest = kept["smallest_margin"]
    if kept["verdict"] == "pass":
        row = next(c for c in kept["criteria"] if c["id"] == nearest["criterion"])
        assert "Nearest to its limit: " in text
        assert f" {row['attained']:.3f} , at most {row['limit']:.3f} {row['unit']}, {row['clause']}." in text
    assert f"{kept['righting_lever']['maximum']:.3f}" in text
    assert "Least stability margin" not in text
    assert "that counts" not in text  # 1.0.0 did not say what counts


def test_todays_conditions_offer_no_second_judgement(older: Older) -> None:
    id = older.harbour.enter()
    assert "Judge again" not in older.page(f"/conditions/{id}")
    again = older.page(f"/conditions/{id}/revisions/1/judged-again")
    assert "No figure changed by as much as is printed" in again


def test_lists_name_the_calculation_and_count_nothing(older: Older) -> None:
    history = older.page(f"/conditions/{older.condition}/revisions")
    assert history.count("dangers not counted; calculation 1.0.0") == len(REVISIONS)
    vessel = older.page(f"/vessels/{older.vessel}")
    assert "Passes, dangers not counted; calculation 1.0.0" in vessel
    fleet = older.page("/?name=kept")
    assert "dangers not counted" in fleet
    assert "calculation 1.0.0" in fleet


@pytest.mark.parametrize("number", HEADLINES)
def test_it_is_judged_again_beside_what_was_kept(older: Older, number: int) -> None:
    text = older.page(f"/conditions/{older.condition}/revisions/{number}/judged-again", "integrator")
    assert f"Kept: {HEADLINES[number]}." in text
    assert f"By calculation {CALCULATION_VERSION} and revision 1 of the vessel's data" in text
    assert "Least stability margin" in text or "GM 0.225 m short" in text
    assert "not asked → " in text  # clauses that 1.0.0 did not judge
    assert "Draft amidships on the lower side against the load line mark in force" in text


def test_judging_again_keeps_nothing(older: Older) -> None:
    def feed() -> Any:
        return older.harbour.http.get("/v1/changes", headers=older.harbour.bearer("reviewer")).json()

    before = feed()
    older.page(f"/conditions/{older.condition}/revisions/2/judged-again")
    assert feed() == before


def test_who_may_not_see_the_ship_may_not_judge_her_again(older: Older) -> None:
    with older.harbour.reader("reviewer") as reader:
        assert reader.get("/conditions/none/revisions/1/judged-again").status_code == 404
        path = f"/conditions/{older.condition}/revisions/9/judged-again"
        assert reader.get(path).status_code == 404


@pytest.mark.parametrize("number", HEADLINES)
def test_the_report_of_an_older_revision(older: Older, number: int) -> None:
    with older.harbour.reader("integrator") as reader:
        answer = reader.get(f"/conditions/{older.condition}/revisions/{number}/report.pdf")
    assert answer.status_code == 200
    pages = PdfReader(io.BytesIO(answer.content)).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert len(pages) == 1
    assert f"{HEADLINES[number]} " in text
    assert "judged by calculation 1.0.0" in text


def test_two_older_revisions_and_one_of_today_are_compared(older: Older) -> None:
    path = f"/conditions/{older.condition}/comparison"
    assert "different calculations" not in older.page(f"{path}?from=1&to=3")
    assert "The condition: passes → fails, 2 dangers." in older.page(f"{path}?from=1&to=3")
    with older.harbour.reader("ship") as reader:
        form = reader.get(f"/conditions/{older.condition}/edit")
        fields = form_fields(form.text, f"/conditions/{older.condition}/edit")
        saved = reader.post(
            f"/conditions/{older.condition}/edit",
            data={**fields, "reason": "Judged by today's calculation", "do": "save"},
        )
    assert saved.status_code == 200
    number = len(REVISIONS) + 1
    text = older.page(f"{path}?from={number - 1}&to={number}")
    assert f"judged by different calculations, 1.0.0 and {CALCULATION_VERSION}" in text
    latest = older.page(f"/conditions/{older.condition}")
    assert "Judge again" not in latest
    assert "Least stability margin" in latest


def test_a_reviewer_is_told_which_calculation_judged(older: Older) -> None:
    text = older.page(f"/conditions/{older.condition}/revisions/2/review", "reviewer")
    assert f"Judged by calculation 1.0.0; today's is {CALCULATION_VERSION}." in text
    assert "Passes, 1 danger" in text
