"""A plan on pages and paper: each point as a condition, the report of the whole, its tables; two plans compared."""

import csv
import io
import re
from typing import Any

import openpyxl
import pytest
from pypdf import PdfReader

from service.pages.plan_in_words import stage_name, tanks_that_changed
from service.pages.report.plan_sheet import plan_data
from service.wire.figures import figure
from tests.pages.harbour import Harbour, text_of_page


@pytest.fixture(scope="module")
def planned(harbour: Harbour) -> str:
    return harbour.enter_plan()


@pytest.fixture(scope="module")
def answer(harbour: Harbour, planned: str) -> dict[str, Any]:
    found: dict[str, Any] = harbour.http.get(
        f"/v1/conditions/{planned}/revisions/1", headers=harbour.bearer("ship")
    ).json()["assessment"]
    return found


def test_a_point_shows_the_answer_of_its_address(
    harbour: Harbour, planned: str, answer: dict[str, Any]
) -> None:
    """Drafts, GM, tanks and criteria of the points address, in both units."""
    base = f"/conditions/{planned}/revisions/1"
    last = len(answer["plan"]["points"]) - 1
    with harbour.reader("ship") as reader:
        for index, units in ((0, "metric"), (last, "metric"), (last, "us")):
            query = f"?units={units}"
            point = harbour.http.get(
                f"/v1{base}/points/{index}{query}", headers=harbour.bearer("ship")
            ).json()["assessment"]
            text = text_of_page(reader.get(f"{base}/voyage/{index}{query}"))
            gm = point["stability"]["gm_corrected"]
            assert f"GM {figure(gm, 'lever', units).split()[0]}" in text
            assert figure(point["flotation"]["draft_aft"], "draft", units).split()[0] in text
            for tank in point["tanks"]:
                if tank["state"] != "empty":
                    assert figure(tank["mass"], "mass", units).split()[0] in text
        voyage = reader.get(f"{base}/voyage").text
        assert all(f'href="{base}/voyage/{index}"' in voyage for index in range(last + 1))
        assert reader.get(f"{base}/voyage/{last + 1}").status_code == 404
        worked = reader.get(f"{base}/working?point={last}")
        assert worked.status_code == 200
        assert f"point {last} of her plan" in text_of_page(worked)
        assert f'href="{base}/working?point={last}"' in reader.get(f"{base}/voyage/{last}").text
        assert reader.get(f"{base}/working?point={last + 1}").status_code == 404
        other = harbour.enter()
        for page in ("voyage", "voyage/0", "voyage.pdf"):
            without = reader.get(f"/conditions/{other}/revisions/1/{page}")
            assert (without.status_code, "This revision has no plan." in without.text) == (404, True), page


def test_a_sequence_without_days_shows_none(harbour: Harbour, answer: dict[str, Any]) -> None:
    """Page, point and report count its points instead; a voyage shows its days."""
    sequence = harbour.enter("loading-sequence")
    base = f"/conditions/{sequence}/revisions/1"
    with harbour.reader("ship") as reader:
        record = reader.get(f"/v1{base}", headers=harbour.bearer("ship")).json()
        page, point = reader.get(f"{base}/voyage").text, text_of_page(reader.get(f"{base}/voyage/3"))
    assert {p["day"] for p in record["assessment"]["plan"]["points"]} == {0.0}
    assert not re.search(r">day<|day 0|over 0 days", page)
    assert ">point<" in page
    assert "day 0" not in point
    data = plan_data(record, [], 1)
    assert "day" not in [column["title"] for column in data["points"]["columns"]]
    assert "0 days" not in data["standing"]
    with_days = plan_data({**record, "assessment": answer}, [], 1)
    assert "day" in [column["title"] for column in with_days["points"]["columns"]]


def test_no_two_points_of_a_stage_have_one_name(answer: dict[str, Any]) -> None:
    names = [stage_name(answer["plan"], point["index"]) for point in answer["plan"]["points"]]
    assert len(names) == len(set(names))
    assert tanks_that_changed(answer, answer) == []  # type: ignore[arg-type]


def test_the_report_of_a_voyage_names_every_point(
    harbour: Harbour, planned: str, answer: dict[str, Any]
) -> None:
    base = f"/conditions/{planned}/revisions/1"
    with harbour.reader("ship") as reader:
        by_page = reader.get(f"{base}/voyage.pdf")
    ask = {**harbour.bearer("ship"), "Accept": "application/pdf"}
    by_key = harbour.http.get(f"/v1{base}/report?part=plan", headers=ask)
    assert by_page.status_code == by_key.status_code == 200
    assert by_page.content == by_key.content
    pdf = PdfReader(io.BytesIO(by_key.content))
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    for point in answer["plan"]["points"]:
        assert f"{point['gm_corrected']:.3f}" in text
        assert stage_name(answer["plan"], point["index"]) in text  # type: ignore[arg-type]
    for word in ("Consumption", "The worst of each criterion", "Master, name and date", "Not reviewed."):
        assert word in text
    assert text.count("approved stability booklet") == len(pdf.pages)
    assert pdf.trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]


def test_tables_of_a_plan(harbour: Harbour, planned: str, answer: dict[str, Any]) -> None:
    path = f"/v1/conditions/{planned}/revisions/1/report"
    get, key = harbour.http.get, harbour.bearer("ship")
    points = list(
        csv.DictReader(io.StringIO(get(f"{path}.csv?part=plan", headers=key).text.lstrip("\ufeff")))
    )
    assert [int(row["point"]) for row in points] == [p["index"] for p in answer["plan"]["points"]]
    assert [float(row["GM corrected, m"]) for row in points] == pytest.approx(
        [p["gm_corrected"] for p in answer["plan"]["points"]]
    )
    book = openpyxl.load_workbook(io.BytesIO(get(f"{path}.xlsx?part=plan", headers=key).content))
    assert book.sheetnames == ["about", "plan", "plan_worst", "plan_margins", "plan_consumption"]
    assert book["plan_worst"].max_row == 1 + len(answer["plan"]["worst"])
    assert book["plan_consumption"].max_row == 1 + len(answer["plan"]["consumption"])
    other = f"/v1/conditions/{harbour.enter()}/revisions/1/report"
    for ending in ("pdf", "csv", "xlsx"):
        assert get(f"{other}.{ending}?part=plan", headers=key).status_code == 400, ending
    assert get(f"{path}.pdf?part=tanks", headers=key).status_code == 400


def test_two_plans_are_compared(harbour: Harbour, planned: str, answer: dict[str, Any]) -> None:
    departure = harbour.enter()
    with harbour.reader("ship") as reader:
        text = text_of_page(reader.get(f"/comparison?from={departure}&to={planned}"))
        history = text_of_page(reader.get(f"/conditions/{planned}/revisions"))
        choice = text_of_page(reader.get(f"/comparison?to={departure}"))
    assert "Before: no plan" in text
    worst = answer["plan"]["worst"][0]
    assert stage_name(answer["plan"], worst["point"]) in text  # type: ignore[arg-type]
    assert "Compare with another condition of hers" in history
    assert answer["title"] in choice


def test_what_moves_says_the_figures_of_its_address(harbour: Harbour) -> None:
    """The whole moves in words and the table hold what POST /v1/sensitivities answers."""
    condition = harbour.enter()
    record = harbour.http.get(f"/v1/conditions/{condition}", headers=harbour.bearer("ship")).json()
    question = {"vessel_id": record["vessel"], "condition": record["document"]}
    found = harbour.http.post(
        "/v1/sensitivities", json=question, headers=harbour.bearer("ship"), timeout=60
    ).json()
    with harbour.reader("ship") as reader:
        page = reader.get(f"/conditions/{condition}/revisions/1/what-moves")
        lines = reader.get(f"/conditions/{condition}/revisions/1/what-moves?part=lines")
        first = text_of_page(reader.get(f"/conditions/{condition}"))
    moves = [
        (jump["gm_corrected"], tank["name"], word)
        for tank in found["tanks"]
        for jump, word in ((tank["press_up"], "Press up"), (tank["empty"], "Empty"))
        if jump is not None and jump["gm_corrected"] is not None
    ]
    gain, name, word = max(moves)
    text = text_of_page(lines)
    assert f"{word} {name}" in text
    assert f"GM +{gain:.3f} m" in text
    assert not re.search(r"then she (still )?fails(?!: \w)", text), "what fails is named"
    assert "<html" not in lines.text.lower()
    assert "What moves GM and drafts the most" in first
    whole = text_of_page(page)
    for tank in found["tanks"]:
        assert tank["name"] in whole
