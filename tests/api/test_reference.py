"""The reference as pages: whole, linked, searchable, short, without scripts and without any foreign host."""

from html.parser import HTMLParser

import html5lib
import httpx
import pytest

from service.wire.assessment import CAUTION

MAX_PAGE_BYTES = 250_000
Pages = dict[str, "Page"]


class Page(HTMLParser):
    """Collects what a page loads, links to and names."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.loaded: list[str] = []
        self.targets: list[str] = []
        self.ids: list[str] = []
        self.inline_style = False
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.tags.append(tag)
        self.inline_style |= "style" in given or any(name.startswith("on") for name in given)
        if tag in ("link", "script", "img"):
            self.loaded.append(given.get("href") or given.get("src") or "")
        if tag == "a":
            self.targets.append(given.get("href") or "")
        if given.get("id"):
            self.ids.append(given["id"] or "")


@pytest.fixture(scope="module")
def pages(http: httpx.Client) -> Pages:
    """Every page that can be reached from the first one."""
    found: Pages = {}
    waiting = ["/docs", "/docs/search?q=free+surface"]
    while waiting:
        address = waiting.pop()
        response = http.get(address)
        assert response.status_code == 200, address
        assert response.headers["content-type"] == "text/html; charset=utf-8", address
        assert "'unsafe" not in response.headers["content-security-policy"]
        page = found[address] = Page()
        page.text = response.text
        page.feed(response.text)
        targets = {target.partition("#")[0] for target in page.targets}
        new = {target for target in targets if target.startswith("/docs")} - found.keys() - set(waiting)
        waiting.extend(sorted(new))
    return found


def test_they_need_no_foreign_host_no_script_and_no_inline_style(http: httpx.Client, pages: Pages) -> None:
    for address, page in pages.items():
        assert page.loaded == ["/docs/style.css"], address
        assert "script" not in page.tags, address
        assert not page.inline_style, address
        assert all(target.startswith(("#", "/")) for target in page.targets), address
    assert http.get("/docs/style.css").headers["content-type"] == "text/css; charset=utf-8"


def test_they_are_short_and_valid_and_carry_the_caution(pages: Pages) -> None:
    for address, page in pages.items():
        assert len(page.text.encode()) < MAX_PAGE_BYTES, address
        assert html5lib.HTMLParser(strict=True).parse(page.text) is not None
        assert CAUTION.replace("'", "&#x27;") in page.text, address


def test_every_link_leads_to_its_place(pages: Pages) -> None:
    for address, page in pages.items():
        assert len(page.ids) == len(set(page.ids)), address
        for target in page.targets:
            there, _, place = target.partition("#")
            if place and (there or address) in pages:
                assert place in pages[there or address].ids, f"{address}: {target}"


def test_every_operation_and_every_document_is_there(http: httpx.Client, pages: Pages) -> None:
    description = http.get("/openapi.json").json()
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            (tag,) = operation["tags"]
            page = pages[f"/docs/{tag.lower().replace(' ', '-')}"]
            assert operation["operationId"] in page.ids
            assert f"{method.upper()} {path}" in page.text
            assert all(f"<tr><td>{status}</td>" in page.text for status in operation["responses"])
    for name, schema in description["components"]["schemas"].items():
        page = pages[f"/docs/documents/{name}"]
        for member in schema.get("properties", {}):
            assert f"<code>{member}</code>" in page.text, (name, member)


def test_what_operations_of_a_page_share_stands_there_once(pages: Pages) -> None:
    text = pages["/docs/conditions"].text
    assert text.count("There is no valid key in the request.") == 1
    assert text.count('href="#every-answer"') > 10
    assert text.count("The same document as in the example of") > 2


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ("feed_rewound", "/docs/changes#listChanges"),
        ("idempotency-key", "/docs/vessels#addVessel"),
        ("FREE surface moment", "/docs/documents/FreeSurfaceTotal"),
        ("TankFilling", "/docs/documents/TankFilling"),
        ("listVessels", "/docs/vessels#listVessels"),
    ],
)
def test_search_finds_addresses_documents_and_members(http: httpx.Client, asked: str, expected: str) -> None:
    page = Page()
    page.feed(http.get("/docs/search", params={"q": asked}).text)
    assert expected in page.targets


def test_search_says_when_there_is_nothing(http: httpx.Client) -> None:
    assert "0 found." in http.get("/docs/search?q=zebra").text
    hostile = http.get("/docs/search", params={"q": '"><script>alert(1)</script>'}).text
    assert "<script" not in hostile
    assert "Type words" in http.get("/docs/search").text
    assert http.get("/docs/search", params={"q": "x" * 101}).status_code == 400


@pytest.mark.parametrize("address", ["/docs/zebras", "/docs/documents/Zebra"])
def test_what_is_not_there_is_not_found(http: httpx.Client, address: str) -> None:
    assert http.get(address).status_code == 404
