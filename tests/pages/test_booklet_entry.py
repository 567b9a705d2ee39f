"""A booklet typed in part by part through the pages: forms without scripts, one run in a browser."""

import re
from typing import Any

import httpx
import pytest
from playwright.sync_api import Browser, expect

from service.actions.booklet_grid import grid_of
from service.actions.booklet_parts import PARTS, Part, lines_of, parents_of
from service.actions.keep_unfinished_booklet import Booklet
from service.imports.vessel_sheets import VESSEL_SHEETS
from service.imports.writer import vessel_sheet_text
from tests.imports.documents import box, demo_ship, digest
from tests.pages.conftest import fits, sign_in
from tests.pages.harbour import Harbour, form_fields, text_of_page


def begin(reader: httpx.Client, name: str, **fields: str) -> str:
    """Begin a booklet; its address."""
    form = form_fields(reader.get("/booklets").text, "/booklets")
    made = reader.post("/booklets", data={**form, "name": name, **fields})
    assert made.status_code == 200, text_of_page(made)
    return made.url.path.removesuffix("/ship")


def cells(target: Booklet, sheet: Any, of: str = "") -> dict[str, str]:
    """The cells of a sheet as the form of its grid sends them."""
    grid = grid_of(target, sheet, of)
    return {f"c:{r}:{k}": cell.value for r, row in enumerate(grid) for k, cell in enumerate(row)}


def keep(
    reader: httpx.Client,
    at: str,
    part: Part,
    sheet: str,
    fields: dict[str, str],
    of: str = "",
    do: str = "save",
) -> httpx.Response:
    """Send one table of a part."""
    token = form_fields(reader.get(at).text, "/sign-out")["token"]
    return reader.post(
        f"{at}/{part.slug}", data={"token": token, "sheet": sheet, "of": of, "do": do, **fields}
    )


def test_every_sheet_belongs_to_one_part() -> None:
    found = [sheet.slug for part in PARTS for sheet in part.sheets]
    assert sorted(found) == sorted(sheet.slug for sheet in VESSEL_SHEETS)


def type_in(reader: httpx.Client, at: str, ship: dict[str, Any]) -> None:
    """Type a ship in, part by part, as her grids show her."""
    target = Booklet(ship["name"], ship)
    for part in PARTS:
        for sheet in part.sheets:
            if lines_of(sheet, ship) is None:
                continue
            for of in [name for name, count in parents_of(sheet, ship) if count] or [""]:
                answer = keep(reader, at, part, sheet.slug, cells(target, sheet, of), of)
                assert answer.status_code == 200, text_of_page(answer)


def test_a_ship_typed_in_part_by_part_is_the_ship_of_her_document(harbour: Harbour) -> None:
    ship = box() | {"name": "Box, typed in"}
    with harbour.reader("administrator") as reader:
        at = begin(reader, "Box, typed in")
        assert "No ship is added without these" in text_of_page(reader.get(at))
        type_in(reader, at, ship)
        whole = reader.get(at)
        assert "criteria can be judged" in text_of_page(whole)
        added = reader.post(
            f"{at}/add", data={**form_fields(whole.text, f"{at}/add"), "reason": "From her booklet on paper"}
        )
        assert "From her booklet on paper" in text_of_page(added)
        assert reader.get(at).status_code == 404
        vessel = added.url.path.rsplit("/", 1)[1]
    kept = harbour.http.get(f"/v1/vessels/{vessel}", headers=harbour.bearer("administrator")).json()
    assert digest(kept["document"]) == digest(ship)


def test_mistakes_stand_at_their_cells_and_what_was_typed_is_kept(harbour: Harbour) -> None:
    target = Booklet("x", box())
    hydrostatics = next(part for part in PARTS if part.slug == "hydrostatics")
    with harbour.reader("administrator") as reader:
        at = begin(reader, "Box with a slip")
        fields = cells(target, hydrostatics.sheets[0])
        spot = next(name for name, value in fields.items() if value == "1476")
        wrong = keep(reader, at, hydrostatics, "hydrostatics", fields | {spot: "fourteen"})
        assert wrong.status_code == 422
        again = reader.get(f"{at}/hydrostatics")
        for page in (wrong, again):
            cell = re.search(rf'name="{spot}" value="fourteen"[^>]*aria-invalid="true"', page.text)
            assert cell is not None
            assert "this is not a number" in text_of_page(page)
        assert "a table is to be put right" in text_of_page(reader.get(at))
        assert keep(reader, at, hydrostatics, "hydrostatics", fields).status_code == 200
        assert "4 lines" in text_of_page(reader.get(at))


def test_a_doubt_stands_at_its_cell_and_takes_two_answers(harbour: Harbour) -> None:
    ship = demo_ship("halvenmoor")
    curves = ship["cross_curves"]
    printed = curves["levers"][9][4]
    curves["levers"][9][4] = round(printed - 0.54, 3)
    part = next(part for part in PARTS if part.slug == "cross-curves")
    with harbour.reader("administrator") as reader:
        at = begin(reader, "Sister of Halvenmoor", sister="halvenmoor")
        lightship = next(part for part in PARTS if part.slug == "lightship")
        keep(reader, at, lightship, "lightship", cells(Booklet("x", ship), lightship.sheets[0]))
        table = vessel_sheet_text(ship, "cross-curves", "\t").decode("utf-8-sig")
        shown = keep(reader, at, part, "cross-curves", {"table": table}, do="paste")
        assert shown.status_code == 200
        assert 'class="doubt"' in shown.text
        assert "they suggest about" in text_of_page(shown)
        path = "/cross_curves/levers/9/4"
        assert f'value="{path}"' in shown.text
        fixed = keep(reader, at, part, "cross-curves", {"path": path, "value": f"{printed:g}"}, do="correct")
        assert f'value="{path}"' not in fixed.text
        keep(reader, at, part, "cross-curves", {"table": table}, do="paste")
        accepted = keep(reader, at, part, "cross-curves", {"path": path}, do="printed")
        assert f'value="{path}"' not in accepted.text


def test_doubts_pause_where_tables_contradict_one_another_and_the_page_says_so(harbour: Harbour) -> None:
    ship = box() | {"name": "Box, contradicted"}
    ship["hydrostatics"]["rows"][1]["km"] = 9.0  # a doubt
    ship["load_lines"] = {"summer_draft": 4.4, "marks": {"S": 4.4}, "reference": "extreme"}
    with harbour.reader("administrator") as reader:
        at = begin(reader, "Box, contradicted")
        type_in(reader, at, {name: value for name, value in ship.items() if name != "load_lines"})
        assert "Look this up again" in text_of_page(reader.get(f"{at}/hydrostatics"))
        type_in(reader, at, {name: ship[name] for name in ("name", "units", "source", "load_lines")})
        part = text_of_page(reader.get(f"{at}/hydrostatics"))
        assert "Doubts pause." in part
        assert "drafts to the underside of the keel need its thickness" in part
        assert "Look this up again" not in part
        assert "Not yet: tables contradict one another" in text_of_page(reader.get(at))
        ship["particulars"]["keel_thickness"] = 0.02
        type_in(reader, at, {name: ship[name] for name in ("name", "units", "source", "particulars")})
        part = text_of_page(reader.get(f"{at}/hydrostatics"))
        assert "Doubts pause." not in part
        assert "Look this up again" in part


def test_sections_and_adjacent_holds_are_typed_in_and_pasted(harbour: Harbour) -> None:
    with harbour.reader("administrator") as reader:
        at = begin(reader, "Box, strength")
        type_in(reader, at, box() | {"name": "Box, strength"})
        page = reader.get(f"{at}/strength")
        assert "shear force, bending and masses in two holds together are not judged" in text_of_page(page)
        assert 'aria-label="column 2, line' in page.text
        strength = next(part for part in PARTS if part.slug == "strength")
        none = "X [m]\tShear force, sea\nnone"
        assert keep(reader, at, strength, "strength-limits", {"table": none}, do="paste").status_code == 200
        wrong = "X [m] \\ Draft [m]\t0\t3\t3\n0\t0\t36\t36\n60\t0\t36\t36"
        answer = keep(reader, at, strength, "sections", {"table": wrong}, do="paste")
        assert answer.status_code == 422
        assert "drafts must increase" in text_of_page(answer)
        right = wrong.replace("3\t3\n", "3\t6\n")
        answer = keep(reader, at, strength, "sections", {"table": right}, do="paste")
        assert answer.status_code == 200, text_of_page(answer)
        assert 'aria-label="3 m, 60"' in answer.text
        assert "Another trim" not in text_of_page(answer)


def test_an_unfinished_booklet_is_for_the_key_that_began_it(harbour: Harbour) -> None:
    with harbour.reader("administrator") as reader:
        at = begin(reader, "Box for one")
        assert reader.get(f"{at}/nothing").status_code == 404
    with harbour.reader("ship") as other:
        assert other.get(at).status_code == 403


@pytest.mark.parametrize("width", [1280, 390])
def test_a_block_is_pasted_into_the_grid(browser: Browser, harbour: Harbour, width: int) -> None:
    window = browser.new_context(
        base_url=harbour.address,
        viewport={"width": width, "height": 900},
        permissions=["clipboard-read", "clipboard-write"],
    )
    page = sign_in(window, harbour, "administrator", "/booklets")
    page.get_by_label("Name of ship").fill("Box, pasted")
    page.get_by_role("button", name="Begin").click()
    page.get_by_role("link", name="Hydrostatics").first.click()
    assert fits(page)
    rows = [
        ["1.0", "738", "30", "30", "12.5", "7.38", "21.6"],
        ["2.0", "1476", "30", "30", "7", "7.38", "21.6"],
    ]
    text = "\n".join("\t".join(row) for row in rows)
    page.get_by_label("Water density").fill("1.025")
    page.get_by_label(re.compile("^Draft.*line")).first.click()
    page.evaluate("text => navigator.clipboard.writeText(text)", text)
    page.keyboard.press("Control+V")
    page.get_by_role("button", name="Keep hydrostatics").click()
    expect(page.get_by_role("status")).to_contain_text("Kept.")
    expect(page.locator(".parts [aria-current]")).to_contain_text("2 lines")
    window.close()
