"""A ship and a condition from workbooks through the pages, without scripts."""

import io
import json
import re

import httpx
import openpyxl
import pytest

from service.imports.writer import condition_workbook, vessel_sheet_text, vessel_workbook
from tests.api.office import condition_document, vessel_document
from tests.imports.books import book, sheets_of
from tests.imports.documents import box, demo_ship
from tests.pages.harbour import Harbour, form_fields, text_of_page

BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
"""What browsers take when somebody follows a link."""


def give(reader: httpx.Client, page: str, action: str, data: bytes) -> httpx.Response:
    """Give a file as a browser does."""
    fields = form_fields(reader.get(page).text, action)
    fields.pop("file", None)
    return reader.post(action, data=fields, files={"file": ("box.xlsx", data)})


def test_a_ship_comes_in_as_a_workbook_and_is_kept_as_shown(harbour: Harbour) -> None:
    with harbour.reader("administrator") as reader:
        start = reader.get("/vessels/new")
        assert "/v1/booklet-template?units=us" in start.text
        template = reader.get("/v1/booklet-template?units=us", headers=BROWSER)
        assert openpyxl.load_workbook(io.BytesIO(template.content)).sheetnames[0] == "Ship"
        shown = give(reader, "/vessels/new", "/vessels/new/workbook", vessel_workbook(demo_ship("ostrel")))
        words = text_of_page(shown)
        assert shown.status_code == 200, words
        assert "Hydrostatics: 172 lines" in words
        assert "Proved with 4 conditions and 448 figures" in words
        action = re.search(r'action="(/vessels/readings/[^"]+/keep)"', shown.text)
        assert action is not None
        kept = reader.post(
            action[1], data={**form_fields(shown.text, action[1]), "reason": "From her builder"}
        )
        assert kept.status_code == 200
        assert "From her builder" in text_of_page(kept)
        assert "Proved with 4 conditions" in text_of_page(kept)


def test_what_is_wrong_is_told_with_a_marked_copy(harbour: Harbour) -> None:
    sheets = sheets_of(box())
    sheets["Hydrostatics"][5][2] = "1,476"
    with harbour.reader("administrator") as reader:
        shown = give(reader, "/vessels/new", "/vessels/new/workbook", book(sheets))
        assert shown.status_code == 422
        assert "Hydrostatics!C6, Displacement [t]: “1,476”" in text_of_page(shown)
        assert "/keep" not in shown.text
        link = re.search(r'href="(/vessels/readings/[^"]+/marked)"', shown.text)
        assert link is not None
        copy = reader.get(link[1])
        assert (
            "1.476 or as 1476"
            in openpyxl.load_workbook(io.BytesIO(copy.content))["Hydrostatics"]["C6"].comment.text
        )
        with harbour.reader("reviewer") as other:
            assert other.get(link[1]).status_code == 409


def test_a_refused_document_names_places_in_words(harbour: Harbour) -> None:
    document = vessel_document("ostrel")
    document["tanks"][0]["capacity"] = "much"
    document["hydrostatics"]["rows"][3]["draft"] = None
    name = document["tanks"][0]["name"]
    with harbour.reader("administrator") as reader:
        fields = {
            "token": form_fields(reader.get("/vessels/new").text, "/vessels/new")["token"],
            "do": "check",
        }
        shown = reader.post("/vessels/new", data={**fields, "document": json.dumps(document)})
        twice = reader.post(
            "/vessels/new", data={**fields, "document": '{"tanks": [{"id": "a", "id": "b"}]}'}
        )
        doubted = vessel_document("ostrel")
        doubted["hydrostatics"]["rows"][20]["km"] *= 1.2
        looked = text_of_page(reader.post("/vessels/new", data={**fields, "document": json.dumps(doubted)}))
    words = text_of_page(shown)
    assert shown.status_code == 422
    assert f"Tank {name}, capacity: This must be a number." in words
    assert "Hydrostatics, row 4, draft: This must be a number." in words
    assert "Tank 1, id: An object names the same member twice." in text_of_page(twice)
    assert re.search(r"look these up .* hydrostatics, row 21, KM", looked)
    for text in (words, looked):
        assert not re.search(r"/(tanks|hydrostatics)/", text.split("Vessel document (JSON)")[0])


def test_a_pasted_table_revises_her(harbour: Harbour) -> None:
    document = vessel_document()
    made = harbour.http.post("/v1/vessels", json=document, headers=harbour.bearer("administrator")).json()
    path = f"/vessels/{made['vessel']}/workbook"
    document["draft_marks"][0]["x"] = 86.4
    table = vessel_sheet_text(document, "draft-marks", "\t").decode("utf-8-sig")
    with harbour.reader("administrator") as reader:
        page = reader.get(path)
        fields = {"token": form_fields(page.text, path)["token"], "sheet": "draft-marks", "table": table}
        shown = reader.post(path, data=fields)
        assert "draft_marks, forward, x: changed" in text_of_page(shown)
        action = re.search(r'action="(/vessels/readings/[^"]+/keep)"', shown.text)
        assert action is not None
        reader.post(action[1], data={**form_fields(shown.text, action[1]), "reason": "Measured again"})
    kept = harbour.http.get(f"/v1/vessels/{made['vessel']}", headers=harbour.bearer("administrator")).json()
    assert (kept["revision"], kept["document"]["draft_marks"][0]["x"]) == (2, 86.4)


def test_a_filled_sheet_is_judged_and_kept(harbour: Harbour) -> None:
    path = "/vessels/halvenmoor/condition-sheet"
    data = condition_workbook(vessel_document(), condition_document())
    with harbour.reader("administrator") as reader:
        shown = give(reader, path, path, data)
        assert shown.status_code == 200
        assert condition_document()["title"] in text_of_page(shown)
        assert "What was read" in text_of_page(shown)
        if "Look at it line by line first" in shown.text:
            action = "/vessels/halvenmoor/conditions/new"
            assert (
                reader.post(action, data={**form_fields(shown.text, action), "do": "show"}).status_code == 200
            )
        keep = re.search(r'action="(/conditions/readings/[^"]+/keep)"', shown.text)
        assert keep is not None
        kept = reader.post(keep[1], data={**form_fields(shown.text, keep[1]), "reason": "Sent by the mate"})
        assert "Sent by the mate" in text_of_page(kept)
        blank = give(reader, path, path, condition_workbook(vessel_document()))
        assert blank.status_code == 422
        assert "Condition is needed" in text_of_page(blank)


@pytest.mark.parametrize("path", ["/vessels/halvenmoor/csv", "/v1/vessels/halvenmoor/workbook"])
def test_files_of_a_ship(harbour: Harbour, path: str) -> None:
    with harbour.reader("reviewer") as reader:
        assert reader.get(path, headers=BROWSER).content.startswith(b"PK")


@pytest.mark.parametrize(
    "kind",
    ["application/x-www-form-urlencoded", "application/json", "multipart/form-data; boundary=x", "text"],
)
def test_a_workbook_form_of_a_sign_in_that_is_over_asks_for_a_sign_in(harbour: Harbour, kind: str) -> None:
    with harbour.reader("administrator") as reader:
        headers = {"Content-Type": kind, "Origin": str(reader.base_url)}
        answer = reader.post("/vessels/new/workbook", content=b"token=old&name=box", headers=headers)
    assert answer.status_code in (400, 401), answer.text
    assert "sign-in that is over" in text_of_page(answer) or answer.status_code == 400
