"""What holds for every page: valid HTML, nothing inline, the caution, kept words escaped, errors in words."""

import re
from collections.abc import Iterator

import html5lib
import httpx
import pytest

from tests.api.office import condition_document
from tests.pages.harbour import Harbour, form_fields, text_of_page

HOSTILE = "<script>alert(1)</script>\"'&{{7*7}}"


@pytest.fixture(scope="module")
def addresses(harbour: Harbour) -> list[str]:
    """Every page there is, with something on it."""
    condition = harbour.accepted_then_changed()
    harbour.review(condition, 2, "returned", "Which water?")
    hostile = harbour.enter(title=HOSTILE, voyage={"number": HOSTILE, "from": HOSTILE, "to": HOSTILE})
    others = [harbour.enter(name) for name in ("timber-loll", "everything-slack", "over-full-tank")]
    return [
        *("/", "/?verdict=fail", "/?name=nobody", "/keys", "/vessels/new", "/vessels/halvenmoor", "/nowhere"),
        *(
            "/vessels/cape-tarrow",
            "/vessels/halvenmoor/edit",
            "/vessels/halvenmoor/conditions/new",
            "/sign-in",
        ),
        *(f"/conditions/{id}" for id in (condition, hostile, *others)),
        *(
            f"/conditions/{condition}{rest}"
            for rest in ("?order=cost", "?units=us", "/revisions", "/revisions/1")
        ),
        *(f"/conditions/{condition}{rest}" for rest in ("/comparison", "/comparison?units=us", "/edit")),
        *(f"/conditions/{condition}{rest}" for rest in ("/revisions/2/review", "/revisions/2/reviewed")),
        *("/conditions/nothing", f"/conditions/{condition}/revisions/9", f"/conditions/{hostile}/edit"),
    ]


@pytest.fixture(scope="module")
def pages(harbour: Harbour, addresses: list[str]) -> Iterator[dict[str, httpx.Response]]:
    with harbour.reader("administrator") as reader:
        yield {address: reader.get(address) for address in addresses}


def test_pages_answer(pages: dict[str, httpx.Response]) -> None:
    lost = {address for address, page in pages.items() if page.status_code != 200}
    assert all(page.headers["content-type"].startswith("text/html") for page in pages.values())
    assert {address.split("/")[-1] for address in lost} == {"nowhere", "nothing", "9"}
    assert all(pages[address].status_code == 404 for address in lost)


def test_pages_are_valid_html(pages: dict[str, httpx.Response]) -> None:
    """Strict parse (html5lib); ids used once; every reference to an id finds it."""
    for address, page in pages.items():
        parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
        document = parser.parse(page.text)
        ids = [element.get("id") for element in document.iter() if element.get("id")]
        assert len(ids) == len(set(ids)), f"{address}: {sorted(i for i in ids if ids.count(i) > 1)[:5]}"
        for element in document.iter():
            for name in ("for", "aria-labelledby", "aria-describedby"):
                for reference in (element.get(name) or "").split():
                    assert reference in ids, f"{address}: {name}={reference}"
            target = element.get("href") or ""
            if element.tag == "a" and target.startswith("#") and element.get("aria-hidden") is None:
                assert target[1:] in ids, f"{address}: {target}"


def test_nothing_is_inline_and_nothing_comes_from_elsewhere(pages: dict[str, httpx.Response]) -> None:
    for address, page in pages.items():
        policy = page.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        document = html5lib.parse(page.text, namespaceHTMLElements=False)
        for element in document.iter():
            assert element.get("style") is None, address
            assert not any(str(name).startswith("on") for name in element.attrib), address
            assert element.tag != "style", address
            assert element.tag != "script" or (element.get("src") and not (element.text or "").strip()), (
                address
            )
            for name in ("src", "href", "action"):
                assert not re.match(r"(https?:)?//|javascript:|data:", element.get(name) or ""), address


def test_pages_carry_the_caution_and_say_where_they_are(pages: dict[str, httpx.Response]) -> None:
    for address, page in pages.items():
        document = html5lib.parse(page.text, namespaceHTMLElements=False)
        assert "approved stability booklet" in text_of_page(page), address
        assert len(list(document.iter("h1"))) == 1, address
        assert len(list(document.iter("main"))) == 1, address
        assert (document.find(".//title").text or "").strip(), address


def test_words_of_a_condition_are_never_markup(pages: dict[str, httpx.Response]) -> None:
    shown = [page for page in pages.values() if "alert(1)" in page.text]
    assert len(shown) >= 2
    for page in shown:
        assert "<script>alert" not in page.text
        assert "49" not in page.text.split("alert(1)")[1][:40]


def test_links_of_the_pages_lead_somewhere(harbour: Harbour, pages: dict[str, httpx.Response]) -> None:
    found = {
        link.replace("&amp;", "&").split("#")[0]
        for page in pages.values()
        for link in re.findall(r'(?:href|src)="(/[^"]*)"', page.text)
    }
    with harbour.reader("administrator") as reader:
        for link in sorted(found - {""}):
            assert reader.get(link).status_code == 200, link


def test_an_unknown_address_is_a_page_for_people_and_a_problem_for_programs(harbour: Harbour) -> None:
    person = harbour.http.get("/nowhere", headers={"Accept": "text/html"})
    program = harbour.http.get("/nowhere")
    assert person.headers["content-type"].startswith("text/html")
    assert "What you can do" in text_of_page(person)
    assert program.headers["content-type"] == "application/problem+json"
    assert (person.status_code, program.status_code) == (404, 404)


def test_files_of_the_pages_are_kept_for_ever_under_the_name_of_their_content(harbour: Harbour) -> None:
    with harbour.reader(None) as reader:
        links = re.findall(r'"(/static/[^"]+)"', reader.get("/sign-in").text)
        assert len(links) >= 3
        for link in links:
            assert "immutable" in reader.get(link).headers["cache-control"]
        name = links[0].rsplit("/", 1)[1]
        assert reader.get(f"/static/other/{name}").headers["cache-control"] == "no-cache"
        for path in ("/static/x/nothing.css", "/static/x/..%2fshow.py", "/static/x/icon.txt"):
            assert reader.get(path).status_code == 404


def test_a_vessels_page_draws_its_tables_and_names_its_doubts(harbour: Harbour) -> None:
    kept = harbour.http.get("/v1/vessels/halvenmoor", headers=harbour.bearer("administrator")).json()[
        "document"
    ]
    kept["name"] = "Halvenmoor, mistyped"
    kept["hydrostatics"]["rows"][7]["km"] += 0.3
    entered = harbour.http.post("/v1/vessels", json=kept, headers=harbour.bearer("administrator"))
    id = entered.json()["vessel"]
    with harbour.reader("reviewer") as reader:
        page = reader.get(f"/vessels/{id}")
        assert "1 place to look up" in text_of_page(page)
        assert "/hydrostatics/rows/7/km" in page.text
        assert page.text.count('class="accent"/>') >= 1
        assert "No condition of hers is kept yet" in text_of_page(page)
        check = reader.get(f"/v1/vessels/{id}/check", headers={"Accept": "application/json"}).json()
    assert [doubt["path"] for doubt in check["doubts"]] == ["/hydrostatics/rows/7/km"]


def test_a_vessel_is_entered_checked_and_kept(harbour: Harbour) -> None:
    kept = harbour.http.get("/v1/vessels/halvenmoor", headers=harbour.bearer("administrator"))
    text = kept.text[kept.text.index('"document":') + len('"document":') : -1].replace(
        "Halvenmoor", "Halvenmoor II"
    )
    with harbour.reader("administrator") as reader:
        fields = form_fields(reader.get("/vessels/new").text, "/vessels/new")
        broken = reader.post("/vessels/new", data={**fields, "document": "{", "do": "save", "reason": "x"})
        assert broken.status_code == 422
        wrong = reader.post("/vessels/new", data={**fields, "document": '{"name": "A"}', "do": "check"})
        assert "This member is required" in text_of_page(wrong)
        checked = reader.post("/vessels/new", data={**fields, "document": text, "do": "check"})
        assert "no table contradicts another" in text_of_page(checked)
        saved = reader.post(
            "/vessels/new", data={**fields, "document": text, "do": "save", "reason": "New ship"}
        )
        assert saved.url.path.startswith("/vessels/")
        assert "Halvenmoor II" in text_of_page(saved)


def test_a_condition_kept_twice_by_a_double_click_is_kept_once(harbour: Harbour) -> None:
    path = "/vessels/halvenmoor/conditions/new"
    with harbour.reader("ship") as reader:
        fields = form_fields(reader.get(path).text, path)
        fields |= {"title": "Sent twice", "do": "save", "reason": "New", "q:fo-db-5-p": "50", "mark": "S"}
        first, second = (reader.post(path, data=fields) for _ in range(2))
    assert first.url == second.url
    assert condition_document()["units"] == "metric"
