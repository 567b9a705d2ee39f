"""What holds for every page: valid HTML, nothing inline, the caution, kept words escaped, errors in words."""

import re
from collections.abc import Iterator

import html5lib
import httpx
import pytest

from service.app import create_app
from service.cli.local_server import local_server
from tests.api.office import condition_document, settings_for
from tests.pages.harbour import Harbour, form_fields, text_of_page

HOSTILE = "<script>alert(1)</script>\"'&{{7*7}}"


@pytest.fixture(scope="module")
def addresses(harbour: Harbour) -> list[str]:
    """Every page there is, with something on it."""
    condition, planned = harbour.accepted_then_changed(), harbour.enter_plan()
    harbour.review(condition, 2, "returned", "Which water?")
    hostile = harbour.enter(title=HOSTILE, voyage={"number": HOSTILE, "from": HOSTILE, "to": HOSTILE})
    others = [harbour.enter(name) for name in ("timber-loll", "everything-slack", "over-full-tank")]
    return [
        *(
            "/",
            "/?name=halven&order=name",
            "/?name=nobody",
            "/keys",
            "/fleets",
            harbour.named_fleet(),
            "/notices",
            "/stop-mail",
            "/vessels/new",
            "/vessels/halvenmoor",
            "/nowhere",
        ),
        *(
            "/vessels/halvenmoor/workbook",
            "/vessels/halvenmoor/conditions",
            "/vessels/halvenmoor/condition-sheet",
        ),
        *harbour.begun_booklet(),
        *(
            "/vessels/ostrel",
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
        *(f"/conditions/{id}/revisions/1/judged-again" for id in (condition, *others)),
        *(f"/conditions/{id}/revisions/1/working" for id in (hostile, others[0])),
        f"/conditions/{harbour.enter('timber-gm-fails')}/revisions/1/what-would-do?wait=1",
        *(
            f"/conditions/{planned}/revisions/1/{rest}"
            for rest in ("voyage", "voyage/0", "voyage/3?units=us", "what-moves")
        ),
        f"/comparison?from={condition}&to={planned}",
        *(
            f"/vessels/halvenmoor/tables/{part}"
            for part in ("ship", "hydrostatics", "cross-curves", "limits")
        ),
        *(f"/vessels/halvenmoor/tables/tank-tables?of={of}" for of in ("wb-fore-peak", "nothing")),
        "/vessels/ostrel/tables/strength",
        "/vessels/halvenmoor/vcg-limits",
        f"/conditions/{harbour.enter_box('Box, on every page')}/revisions/1/strength",
        *(
            f"/comparison?to={condition}",
            f"/comparison?from={others[0]}&to={condition}",
            "/conditions/nothing",
            f"/conditions/{condition}/revisions/9",
            f"/conditions/{hostile}/edit",
        ),
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


def one_of_each(links: set[str]) -> set[str]:
    """The links without most of those that differ in the tank, table, point or revision alone."""
    of_a_plan = r"(/conditions/)[^/]+(?=/revisions/[0-9]+/(?:what-|voyage|working))"
    alike = (of_a_plan, r"([?&](?:of|sheet)=)[^&]*", r"(/voyage/)[0-9]+", r"(/tables/)[a-z-]+(?=\?revision)")
    chosen: dict[str, str] = {}
    for link in sorted(links):
        kind = link
        for pattern in alike:
            kind = re.sub(pattern, r"\1*", kind)
        chosen.setdefault(kind, link)
    return set(chosen.values())


def test_links_of_the_pages_lead_somewhere(harbour: Harbour, pages: dict[str, httpx.Response]) -> None:
    found = {
        link.replace("&amp;", "&").split("#")[0]
        for page in pages.values()
        for link in re.findall(r'(?:href|src)="(/[^"]*)"', page.text)
    }
    with harbour.reader("administrator") as reader:
        for link in sorted(one_of_each(found - {""})):
            answer = reader.get(link)
            assert answer.status_code == 200, (link, answer.text[:300])


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
    kept["hydrostatics"]["rows"][6]["km"] += (
        0.3  # between two displacements of her cross curves: none of those is doubted
    )
    entered = harbour.http.post("/v1/vessels", json=kept, headers=harbour.bearer("administrator"))
    id = entered.json()["vessel"]
    with harbour.reader("reviewer") as reader:
        page = reader.get(f"/vessels/{id}")
        assert "1 place to look up" in text_of_page(page)
        assert f"/vessels/{id}/tables/hydrostatics#doubts" in page.text
        assert page.text.count('class="accent"/>') >= 1
        assert "No condition of hers is kept yet" in text_of_page(page)
        check = reader.get(f"/v1/vessels/{id}/check", headers={"Accept": "application/json"}).json()
    assert {doubt["path"] for doubt in check["doubts"]} == {"/hydrostatics/rows/6/km"}


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


def test_a_page_kept_ready_follows_every_review_and_revision(harbour: Harbour) -> None:
    """What is made once per revision is made anew when what it depends on changes."""
    condition = harbour.enter()
    with harbour.reader("reviewer") as reviewer, harbour.reader("ship") as ship:
        for reader in (reviewer, ship):
            assert "Not reviewed yet" in text_of_page(reader.get(f"/conditions/{condition}"))
        harbour.review(condition, 1, "accepted")
        for reader in (reviewer, ship):
            assert "Accepted by A reviewer" in text_of_page(reader.get(f"/conditions/{condition}"))
        harbour.revise(condition, "Other water", water_density=1.015)
        assert "A later revision stands" in text_of_page(reviewer.get(f"/conditions/{condition}/revisions/1"))
        assert "water density 1.025 → 1.015" in text_of_page(reviewer.get(f"/conditions/{condition}"))
        harbour.review(condition, 1, "returned")
        assert ", returned):" in text_of_page(reviewer.get(f"/conditions/{condition}"))
        assert "Change quantities" in text_of_page(ship.get(f"/conditions/{condition}"))
        assert "Change quantities" not in text_of_page(reviewer.get(f"/conditions/{condition}"))


def test_a_booklet_with_little_in_it_has_its_pages_too(harbour: Harbour) -> None:
    """No cross curves, openings, marks, tanks or rule sets: every page says what is missing."""
    kept = harbour.http.get("/v1/vessels/halvenmoor", headers=harbour.bearer("administrator")).json()[
        "document"
    ]
    bare = {name: kept[name] for name in ("source", "units", "particulars", "lightship", "hydrostatics")}
    bare |= {"name": "Bare Ship", "tanks": [], "rule_sets": []}
    condition = {
        "units": "us",
        "title": "Half loaded",
        "water_density": 1.025,
        "free_surface": {"basis": "as_filled"},
        "tanks": [],
        "weights": [{"name": "Cargo", "category": "cargo", "mass": 1500.0, "lcg": 155.0, "vcg": 14.0}],
    }
    admin = harbour.bearer("administrator")
    vessel = harbour.http.post("/v1/vessels", json=bare, headers=admin).json()["vessel"]
    entered = harbour.http.post(f"/v1/vessels/{vessel}/conditions", json=condition, headers=admin)
    assert entered.status_code == 201, entered.text
    path = f"/conditions/{entered.json()['condition']}"
    with harbour.reader("administrator") as reader:
        shown = text_of_page(reader.get(path))
        assert "Incomplete: no rule set for stability judged her" in shown
        assert "No listed rule set judges anything in this condition" in shown
        assert "no cross curves" in shown
        booklet = text_of_page(reader.get(f"/vessels/{vessel}"))
        assert "None are held, so no righting lever is computed" in booklet
        assert "Her openings are not known" in booklet
        for rest in (
            "/edit",
            "/revisions",
            "/comparison?from=1&to=1",
            "/revisions/1/report.pdf",
            "?units=metric",
        ):
            assert reader.get(path + rest).status_code == 200, rest


def test_an_empty_service_says_what_to_do(tmp_path_factory: pytest.TempPathFactory) -> None:
    """No ship, no key: only this machine, and what to do first."""
    database = f"sqlite:///{tmp_path_factory.mktemp('empty') / 'records.db'}"
    with (
        local_server(create_app(settings_for(database))) as address,
        httpx.Client(base_url=address, trust_env=False, follow_redirects=True) as reader,
    ):
        assert "There is no ship yet" in text_of_page(reader.get("/"))
        assert reader.get("/", headers={"Host": "evil.example"}).status_code == 401
        fields = form_fields(reader.get("/keys").text, "/keys")
        refused = reader.post("/keys", data={**fields, "name": "Mate", "role": "ship"})
        assert "The first key is an administrator's" in text_of_page(refused)
        made = reader.post("/keys", data={**fields, "name": "Office", "role": "administrator"})
        assert "This is the first key" in text_of_page(made)
        assert reader.get("/keys").status_code == 401
