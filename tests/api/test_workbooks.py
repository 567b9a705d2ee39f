"""Ships and conditions as workbooks over HTTP: out, in, parts, pastes, marked copies, and the proof."""

import io
import json
import threading
import time
import zipfile
from typing import Any

import httpx
import openpyxl
import pytest

from service.imports.vessel_sheets import VESSEL_SHEETS
from service.imports.writer import vessel_folder, vessel_sheet_text, vessel_workbook
from service.web.readings import READINGS_AT_A_TIME
from tests.api.office import Office, code_of, condition_document, running_office
from tests.imports.books import book, sheets_of
from tests.imports.documents import box, demo_ship, digest

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
SENT = {"Content-Type": XLSX, "Content-Disposition": 'attachment; filename="box.xlsx"'}


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Any:
    with running_office(f"sqlite:///{tmp_path_factory.mktemp('books')}/records.db") as office:
        yield office


def enter(desk: Office, document: dict[str, Any] | None = None) -> tuple[str, str]:
    answer = desk.http.post("/v1/vessels/workbook", content=vessel_workbook(document or box()), headers=SENT)
    assert answer.status_code == 201, answer.text
    return answer.json()["vessel"], answer.headers["ETag"]


def test_a_dry_run_keeps_nothing_and_tells_all(desk: Office) -> None:
    before = len(desk.http.get("/v1/vessels").json()["items"])
    found = desk.http.post(
        "/v1/vessels/workbook",
        params={"dry_run": "true"},
        content=vessel_workbook(demo_ship("ostrel")),
        headers=SENT,
    ).json()
    assert (found["kind"], found["can_be_kept"], found["problems"]) == ("whole", True, [])
    assert found["document_digest"] == digest(demo_ship("ostrel"))
    assert found["proof"]["state"] == "proved"
    assert {sheet["sheet"]: sheet["lines"] for sheet in found["sheets"]}["Tanks"] == len(
        demo_ship("ostrel")["tanks"]
    )
    assert len(desk.http.get("/v1/vessels").json()["items"]) == before


def test_a_ship_is_entered_and_comes_out_the_same(desk: Office) -> None:
    vessel, _ = enter(desk)
    answer = desk.http.get(f"/v1/vessels/{vessel}/workbook")
    assert answer.headers["Content-Type"] == XLSX
    assert answer.content == vessel_workbook(desk.http.get(f"/v1/vessels/{vessel}").json()["document"])
    tag = {"If-None-Match": answer.headers["ETag"]}
    assert desk.http.get(f"/v1/vessels/{vessel}/workbook", headers=tag).status_code == 304
    folder = desk.http.get(
        f"/v1/vessels/{vessel}/revisions/1/workbook", headers={"Accept": "application/zip"}
    )
    assert len(zipfile.ZipFile(io.BytesIO(folder.content)).namelist()) == len(VESSEL_SHEETS)
    table = desk.http.get(
        f"/v1/vessels/{vessel}/workbook", params={"sheets": "tanks"}, headers={"Accept": "text/csv"}
    )
    assert table.text.splitlines()[0].endswith('"Tanks"')
    refused = desk.http.get(f"/v1/vessels/{vessel}/workbook", headers={"Accept": "text/html"})
    assert code_of(refused) == (406, "not_acceptable")
    assert code_of(desk.http.get(f"/v1/vessels/{vessel}/workbook", params={"sheets": "cabins"})) == (
        400,
        "invalid_query",
    )


def test_what_is_kept_is_what_was_shown_and_the_file_is_in_the_audit_log(desk: Office) -> None:
    data = vessel_workbook(box())
    shown = desk.http.post(
        "/v1/vessels/workbook", params={"dry_run": "true"}, content=data, headers=SENT
    ).json()
    named = {**SENT, "Idempotency-Key": "one-book"}
    wanted = {"expect_digest": shown["document_digest"], "reason": "entered"}
    made = desk.http.post("/v1/vessels/workbook", params=wanted, content=data, headers=named)
    again = desk.http.post("/v1/vessels/workbook", params=wanted, content=data, headers=named)
    assert made.json() == again.json()
    assert again.headers["Idempotency-Replayed"] == "true"
    line = desk.http.get("/v1/audit").json()["items"][0]
    assert line["reason"].startswith("entered; from box.xlsx, SHA-256 ")
    other = desk.http.post(
        "/v1/vessels/workbook", params={"expect_digest": "0" * 64}, content=data, headers=SENT
    )
    assert code_of(other) == (422, "booklet_not_readable")


def test_five_mistakes_are_told_together_and_marked(desk: Office) -> None:
    sheets = sheets_of(box())
    rows = sheets["Hydrostatics"]
    rows[4][1], rows[5][2], rows[5][4] = "x", "1,476", None
    rows[6][3], rows[6][5] = {"formula": "=1/0", "error": "#DIV/0!"}, {"date": "2026-01-02"}
    data = book(sheets)
    refused = desk.http.post("/v1/vessels/workbook", content=data, headers=SENT)
    assert code_of(refused) == (422, "booklet_not_readable")
    told = {(p["row"], p["column"], p["code"]) for p in refused.json()["reading"]["problems"]}
    assert told == {
        (5, "B", "not_a_number"),
        (6, "C", "ambiguous_number"),
        (6, "E", "missing_value"),
        (7, "D", "formula_error"),
        (7, "F", "date_in_number"),
    }
    copy = desk.http.post("/v1/vessels/workbook", params={"answer": "marked"}, content=data, headers=SENT)
    pages = openpyxl.load_workbook(io.BytesIO(copy.content))
    assert pages.sheetnames[0] == "What to look at"
    assert "not a number" in pages["Hydrostatics"]["B5"].comment.text


def test_a_part_changes_what_it_holds_and_no_more(desk: Office) -> None:
    vessel, tag = enter(desk)
    document = desk.http.get(f"/v1/vessels/{vessel}").json()["document"]
    document["tanks"][0]["name"] = "No. 1 port"
    part = vessel_sheet_text(document, "tanks")
    path, query = f"/v1/vessels/{vessel}/workbook", {"sheet": "tanks"}
    text = {"Content-Type": "text/csv"}
    dry = desk.http.post(path, params={**query, "dry_run": "true"}, content=part, headers=text).json()
    assert dry["kind"] == "part"
    assert [change["path"] for change in dry["changes"]] == [["tanks", "1P", "name"]]
    assert code_of(desk.http.post(path, params=query, content=part, headers=text)) == (
        428,
        "precondition_required",
    )
    stale = desk.http.post(path, params=query, content=part, headers={**text, "If-Match": '"x"'})
    assert code_of(stale) == (412, "stale")
    made = desk.http.post(path, params=query, content=part, headers={**text, "If-Match": tag})
    assert made.status_code == 201
    assert made.json()["revision"] == 2
    assert made.json()["document"] == document
    assert code_of(desk.http.post(path, content=part, headers=text)) == (428, "precondition_required")
    unnamed = desk.http.post(path, params={"dry_run": "true"}, content=part, headers=text)
    assert code_of(unnamed) == (400, "invalid_query")


def test_a_paste_with_decimal_commas_changes_one_tanks_table(desk: Office) -> None:
    ship = demo_ship("halvenmoor")
    vessel, _ = enter(desk, ship)
    lines = ["Tank\tSounding [m]\tVolume [m³]\tLCG [m]\tVCG [m]\tInertia [m⁴]"]
    capacity = next(tank["capacity"] for tank in ship["tanks"] if tank["id"] == "cooling-water")
    full = f"{capacity:.3f}0".replace(".", ",")
    lines += ["cooling-water\t0,0\t0,0\t5,9\t1,1\t2,0", f"cooling-water\t1,0\t{full}\t5,9\t1,5\t2,0"]
    answer = desk.http.post(
        f"/v1/vessels/{vessel}/workbook",
        params={"sheet": "tank-tables", "dry_run": "true"},
        content="\r\n".join(lines).encode(),
        headers={"Content-Type": "text/tab-separated-values"},
    ).json()
    assert answer["problems"] == []
    assert {change["path"][1] for change in answer["changes"]} == {"cooling-water"}
    table = next(tank for tank in answer["document"]["tanks"] if tank["id"] == "cooling-water")["table"]
    assert [row["volume"] for row in table["rows"]] == [0.0, capacity]


def test_removal_has_to_be_confirmed(desk: Office) -> None:
    vessel, tag = enter(desk)
    document = box()
    document["tanks"] = document["tanks"][1:]
    path, headers = f"/v1/vessels/{vessel}/workbook", {**SENT, "If-Match": tag}
    refused = desk.http.post(path, content=vessel_workbook(document), headers=headers)
    assert code_of(refused) == (422, "booklet_not_readable")
    assert refused.json()["reading"]["removed"] == ["tank 1P"]
    assert "confirm=removed" in refused.json()["detail"]
    confirmed = desk.http.post(
        path, params={"confirm": "removed"}, content=vessel_workbook(document), headers=headers
    )
    assert confirmed.status_code == 201


def test_the_proof_of_a_kept_ship_and_of_a_posted_one(desk: Office) -> None:
    ship = demo_ship("halvenmoor")
    vessel, _ = enter(desk, ship)
    kept = desk.http.get(f"/v1/vessels/{vessel}/proof").json()
    assert (kept["state"], kept["figures"], kept["off"]) == ("proved", 536, 0)
    assert desk.http.get(f"/v1/vessels/{vessel}/revisions/1/proof").json() == kept
    ship["lightship"]["vcg"] = 6.51  # typed for 6.15
    off = desk.http.post("/v1/vessels/proof", json=ship).json()
    assert off["state"] == "off"
    wrong, _ = enter(desk, ship)
    request = {"vessel_id": wrong, "condition": condition_document()}
    answer = desk.http.post("/v1/assessments", json=request).json()
    assert answer["provenance"]["vessel"]["proof"] == {"state": "off", "conditions": 4}
    assert "booklet_contradicted" in [finding["code"] for finding in answer["findings"]]
    inline = {"vessel": ship, "condition": condition_document()}
    assert desk.http.post("/v1/assessments", json=inline).json()["provenance"]["vessel"]["proof"] is None


def test_conditions_go_out_and_in_as_sheets(desk: Office) -> None:
    vessel, _ = enter(desk, demo_ship("halvenmoor"))
    blank = desk.http.get(f"/v1/vessels/{vessel}/condition-sheet")
    assert openpyxl.load_workbook(io.BytesIO(blank.content)).sheetnames[0] == "Condition"
    condition, _ = desk.enter_condition(vessel)
    sheet = desk.http.get(f"/v1/conditions/{condition}/workbook").content
    path = f"/v1/vessels/{vessel}/conditions/workbook"
    dry = desk.http.post(path, params={"dry_run": "true"}, content=sheet, headers=SENT).json()
    assert dry["document"] == condition_document()
    assert dry["assessment"]["title"] == condition_document()["title"]
    made = desk.http.post(path, content=sheet, headers=SENT)
    assert made.status_code == 201
    address = f"/v1/conditions/{made.json()['condition']}"
    kept = desk.http.put(
        f"{address}/workbook", content=sheet, headers={**SENT, "If-Match": made.headers["ETag"]}
    )
    assert (kept.status_code, kept.json()["revision"]) == (200, 2)
    assert code_of(desk.http.put(f"{address}/workbook", content=sheet, headers=SENT))[0] == 428
    refused = desk.http.post(path, content=blank.content, headers=SENT)
    assert code_of(refused) == (422, "booklet_not_readable")


def test_a_tank_off_its_table_is_told_at_its_cell(desk: Office) -> None:
    vessel, _ = enter(desk, demo_ship("halvenmoor"))
    condition = condition_document()
    condition["tanks"][0] = {"tank": condition["tanks"][0]["tank"], "sounding": 99.0}
    from service.imports.writer import condition_workbook

    sheet = condition_workbook(demo_ship("halvenmoor"), condition)
    answer = desk.http.post(
        f"/v1/vessels/{vessel}/conditions/workbook", params={"dry_run": "true"}, content=sheet, headers=SENT
    ).json()
    assert [(p["sheet"], p["row"], p["code"]) for p in answer["problems"]] == [("Tanks", 3, "outside_table")]
    assert answer["assessment"] is None


def test_two_are_read_at_a_time(desk: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    from service.api import workbooks

    held = threading.Event()
    real = workbooks.read_booklet
    monkeypatch.setattr(workbooks, "read_booklet", lambda *given: held.wait(20) and real(*given))
    found: list[httpx.Response] = []

    def post() -> None:
        with httpx.Client(base_url=desk.address, timeout=60, trust_env=False) as http:
            query = {"dry_run": "true"}
            found.append(
                http.post("/v1/vessels/workbook", params=query, content=vessel_folder(box()), headers=zipped)
            )

    zipped = {"Content-Type": "application/zip"}
    threads = [threading.Thread(target=post) for _ in range(READINGS_AT_A_TIME)]
    for thread in threads:
        thread.start()
    time.sleep(1.0)
    refused = desk.http.post("/v1/vessels/workbook", params={"dry_run": "true"}, content=b"x", headers=zipped)
    assert code_of(refused) == (503, "busy")
    assert int(refused.headers["Retry-After"]) > 0
    held.set()
    for thread in threads:
        thread.join()
    assert [answer.status_code for answer in found] == [200, 200]


def test_a_file_that_is_no_workbook_is_a_reading_with_one_problem(desk: Office) -> None:
    answer = desk.http.post(
        "/v1/vessels/workbook", params={"dry_run": "true"}, content=b"\x89PNG\r\n", headers=SENT
    ).json()
    assert answer["document"] is None
    assert [problem["code"] for problem in answer["problems"]] == ["not_a_workbook"]
    json.dumps(answer)


def test_workbooks_may_be_longer_than_other_bodies(desk: Office) -> None:
    data = b"PK" + b"\0" * 3_000_000
    answer = desk.http.post("/v1/vessels/workbook", params={"dry_run": "true"}, content=data, headers=SENT)
    assert answer.json()["problems"][0]["code"] == "damaged"
    longer = desk.http.post("/v1/vessels/workbook", content=b"PK" + b"\0" * 16_000_000, headers=SENT)
    assert code_of(longer) == (413, "body_too_large")
