"""Lists and revisions as CSV and workbooks: the same figures as the answer in JSON, units in the headings."""

import csv
import io
from typing import Any

import httpx
import openpyxl
import pytest
from pypdf import PdfReader

from tests.api.office import Office, code_of, condition_document, vessel_document

CSV = "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _csv(answer: httpx.Response) -> list[dict[str, str]]:
    assert answer.status_code == 200, answer.text
    assert answer.headers["Content-Type"].startswith(CSV)
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


def _sheets(answer: httpx.Response) -> dict[str, list[list[Any]]]:
    assert answer.status_code == 200, answer.text
    assert answer.headers["Content-Type"] == XLSX
    book = openpyxl.load_workbook(io.BytesIO(answer.content))
    return {page.title: [[cell.value for cell in row] for row in page.iter_rows()] for page in book}


def test_lists_by_accept(office: Office) -> None:
    vessel = office.enter_vessel(vessel_document(name="=HYPERLINK(1)"))
    for title in ("First", "-2+3", "Third"):
        condition, _ = office.enter_condition(vessel, condition_document(title=title))
    plain = office.http.get("/v1/conditions").json()["items"]
    rows = _csv(office.http.get("/v1/conditions", headers={"Accept": CSV}))
    assert [row["condition"] for row in rows] == [item["id"] for item in plain]
    assert [row["title"] for row in rows] == ["Third", "'-2+3", "First"]
    assert [float(row["displacement, t"]) for row in rows] == [item["displacement"] for item in plain]
    assert [float(row["GM corrected, m"]) for row in rows] == [item["gm_corrected"] for item in plain]
    feet = _csv(office.http.get(f"/v1/vessels/{vessel}/conditions?units=us", headers={"Accept": CSV}))
    assert float(feet[0]["GM corrected, ft"]) == pytest.approx(plain[0]["gm_corrected"] / 0.3048)
    page = office.http.get("/v1/conditions?limit=2", headers={"Accept": CSV})
    assert len(_csv(page)) == 2
    rest = office.http.get(page.links["next"]["url"], headers={"Accept": CSV})
    assert [row["title"] for row in _csv(rest)] == ["First"]
    (ships,) = _sheets(office.http.get("/v1/vessels", headers={"Accept": XLSX})).values()
    assert ships[1][:2] == [vessel, "=HYPERLINK(1)"]
    (fleet,) = _sheets(office.http.get("/v1/fleet", headers={"Accept": XLSX})).values()
    assert fleet[1][fleet[0].index("title")] == "Third"
    history = _csv(office.http.get(f"/v1/conditions/{condition}/revisions", headers={"Accept": CSV}))
    assert [row["revision"] for row in history] == ["1"]
    assert office.http.get("/v1/vessels").headers["Content-Type"] == "application/json"
    assert code_of(office.http.get("/v1/vessels", headers={"Accept": "image/png"})) == (406, "not_acceptable")


def test_the_tables_of_a_revision(office: Office) -> None:
    vessel = office.enter_vessel()
    condition, _ = office.enter_condition(vessel)
    answer = office.http.get(f"/v1/conditions/{condition}").json()["assessment"]
    path = f"/v1/conditions/{condition}/revisions/1/report"
    book = _sheets(office.http.get(path, headers={"Accept": XLSX}))
    assert list(book) == ["about", "figures", "criteria", "tanks", "weights", "levers"]
    assert ["caution", answer["caution"]] in book["about"]
    curve = answer["righting_lever"]
    heels = [[heel, lever] for heel, lever in zip(curve["heels"], curve["levers"], strict=True)]
    assert book["levers"][0][:2] == ["heel, degrees", "righting lever, m"]
    for row, pair in zip(book["levers"][1:], heels, strict=True):
        assert row[:2] == pytest.approx(pair)
    tanks = _csv(office.http.get(f"{path}?part=tanks", headers={"Accept": CSV}))
    assert [float(row["free surface moment, t·m"]) for row in tanks] == [
        tank["free_surface_moment"] for tank in answer["tanks"]
    ]
    assert [row["caution"] for row in tanks] == [answer["caution"], *[""] * (len(tanks) - 1)]
    criteria = _csv(office.http.get(f"{path}?part=criteria", headers={"Accept": CSV}))
    assert [row["verdict"] for row in criteria] == [row["verdict"] for row in answer["criteria"]]
    figures = _csv(office.http.get(f"{path}.csv?units=us"))
    (mass,) = (row for row in figures if row["figure"] == "Displacement")
    # The long ton is 1.0160469088 t (2240 lb of 0.45359237 kg)
    assert float(mass["value"]) == pytest.approx(answer["displacement"] / 1.0160469088)
    assert mass["unit"] == "LT"
    assert code_of(office.http.get(f"{path}?part=hull")) == (400, "invalid_query")
    assert code_of(office.http.get(path.replace("/1/", "/2/"))) == (404, "unknown_revision")
    foreign = office.key("reviewer", [office.enter_vessel(vessel_document("ostrel"))])
    assert code_of(office.http.get(path, headers=foreign)) == (404, "unknown_condition")


def test_the_report_of_a_revision(office: Office) -> None:
    condition, _ = office.enter_condition(office.enter_vessel())
    path = f"/v1/conditions/{condition}/revisions/1/report"
    sheet = office.http.get(path, headers={"Accept": "application/pdf"})
    assert sheet.headers["Content-Type"] == "application/pdf"
    assert sheet.headers["Content-Disposition"] == f'inline; filename="{condition}-revision-1.pdf"'
    again = office.http.get(f"{path}.pdf")
    assert again.content == sheet.content
    (page,) = PdfReader(io.BytesIO(sheet.content)).pages
    answer = office.http.get(f"/v1/conditions/{condition}").json()["assessment"]
    assert f"{answer['stability']['gm_corrected']:.3f} m" in " ".join(page.extract_text().split())
    assert answer["caution"] in " ".join(page.extract_text().split())
    assert list(_sheets(office.http.get(f"{path}.xlsx?part=levers"))) == ["about", "levers"]
    assert code_of(office.http.get(f"{path}.pdf?part=levers")) == (400, "invalid_query")
    assert office.http.get(f"{path}.doc").status_code in (400, 404)
    assert office.http.get(f"{path}.pdf", headers={"Authorization": "Bearer none"}).status_code == 401
    foreign = office.key("reviewer", [office.enter_vessel(vessel_document("ostrel"))])
    assert code_of(office.http.get(f"{path}.pdf", headers=foreign)) == (404, "unknown_condition")
