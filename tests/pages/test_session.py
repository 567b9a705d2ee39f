"""Signing in, forms, and what a foreign site cannot do."""

import re

import httpx
import pytest

from service.pages.sign_in import fields_in, own_address
from tests.pages.harbour import Harbour, form_fields, text_of_page


def test_without_a_key_every_page_asks_to_sign_in(harbour: Harbour) -> None:
    condition = harbour.enter()
    with harbour.reader(None) as reader:
        for path in (
            "/",
            "/keys",
            "/vessels/halvenmoor",
            f"/conditions/{condition}",
            f"/conditions/{condition}/edit",
        ):
            answer = reader.get(path)
            assert answer.status_code == 401
            assert form_fields(answer.text, "/sign-in")["target"] == path
            assert "Halvenmoor" not in answer.text


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(harbour: Harbour) -> None:
    answer = harbour.http.post("/sign-in", data={"key": harbour.keys["ship"], "target": "/keys"})
    harbour.http.cookies.clear()
    assert (answer.status_code, answer.headers["location"]) == (303, "/keys")
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert "path=/" in cookie
    assert "max-age=43200" in cookie


@pytest.mark.parametrize("key", ["", "nonsense", "lc_abc_def", "lc_" + "a" * 400, "lc_ä_x", "lc_a\x00_b"])
def test_a_wrong_key_is_told_and_gives_no_cookie(harbour: Harbour, key: str) -> None:
    with harbour.reader(None) as reader:
        answer = reader.post("/sign-in", data={"key": key, "target": "/"})
        assert answer.status_code == 401
        assert "set-cookie" not in answer.headers
        assert key == "" or key not in answer.text


@pytest.mark.parametrize(
    "target",
    [
        "//evil.example/",
        "https://evil.example/",
        "/\\evil.example",
        "javascript:alert(1)",
        "",
        "/sign-out",
        "/a\nb",
    ],
)
def test_after_signing_in_nobody_is_sent_elsewhere(target: str) -> None:
    assert own_address(target) == "/"
    assert own_address("/conditions/x?order=cost") == "/conditions/x?order=cost"


def test_signing_out_ends_it(harbour: Harbour) -> None:
    with harbour.reader("reviewer") as reader:
        token = form_fields(reader.get("/").text, "/sign-out")["token"]
        reader.post("/sign-out", data={"token": token})
        assert reader.get("/").status_code == 401


def test_a_form_without_its_token_changes_nothing_and_loses_nothing(harbour: Harbour) -> None:
    condition = harbour.enter()
    path = f"/conditions/{condition}/revisions/1/review"
    with harbour.reader("reviewer") as reader:
        fields = form_fields(reader.get(path).text, path)
        note = "Count No. 4 as slack: <b>& more</b>"
        for token in ("", "0" * 64, "ä"):
            answer = reader.post(path, data={**fields, "token": token, "decision": "accepted", "note": note})
            assert answer.status_code == 401
            assert ["note", note] in [
                list(pair) for pair in fields_in(form_fields(answer.text, "/sign-in")["kept"])
            ]
    reviews = harbour.http.get(f"/v1{path}s", headers=harbour.bearer("reviewer")).json()
    assert reviews["items"] == []


@pytest.mark.parametrize(
    "headers",
    [{"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"}, {"Origin": "https://evil.example"}],
)
def test_a_foreign_site_cannot_post(harbour: Harbour, headers: dict[str, str]) -> None:
    with harbour.reader("administrator") as reader:
        token = form_fields(reader.get("/keys").text, "/keys")["token"]
        bare = {name: value for name, value in reader.headers.items() if name != "sec-fetch-site"}
        asked = {"token": token, "name": "Mallory", "role": "administrator"}
        with httpx.Client(base_url=harbour.address, cookies=reader.cookies, trust_env=False) as foreign:
            answer = foreign.post("/keys", data=asked, headers={**bare, **headers})
        assert answer.status_code == 403
        assert "Mallory" not in reader.get("/keys").text


def test_a_key_for_all_ships_is_not_made_where_some_were_ticked(harbour: Harbour) -> None:
    with harbour.reader("administrator") as reader:
        token = form_fields(reader.get("/keys").text, "/keys")["token"]
        asked = {"token": token, "name": "Ticked One", "role": "ship", "scope": "all", "vessel": "ostrel"}
        answer = reader.post("/keys", data={**asked, "days": "1"})
        assert answer.status_code == 422
        assert "Only those ticked are set now" in answer.text
        assert "Ticked One made" not in text_of_page(reader.get("/keys"))


def test_what_would_do_for_a_ship_that_passes_is_nothing(harbour: Harbour) -> None:
    with harbour.reader("ship") as reader:
        text = text_of_page(reader.get(f"/conditions/{harbour.enter()}/revisions/1/what-would-do?wait=1"))
    assert "She passes as she is: nothing has to change." in text
    assert "0.0 t (" not in text


def test_what_was_typed_is_sent_after_signing_in_again(harbour: Harbour) -> None:
    condition = harbour.enter()
    path = f"/conditions/{condition}/revisions/1/review"
    with harbour.reader("reviewer") as reader:
        fields = form_fields(reader.get(path).text, path)
        reader.cookies.clear()
        lost = reader.post(
            path, data={**fields, "decision": "returned", "note": "Which water?\nDock or sea?"}
        )
        assert "What you typed is still here" in text_of_page(lost)
        again = form_fields(lost.text, "/sign-in")
        signed_in = reader.post("/sign-in", data={**again, "key": harbour.keys["reviewer"]})
        assert "You are signed in again" in text_of_page(signed_in)
        sent = reader.post(path, data=form_fields(signed_in.text, path))
        assert "Returned" in text_of_page(sent)
        assert "Which water?" in text_of_page(sent)


def test_the_same_as_json_is_one_link_away_for_a_signed_in_browser(harbour: Harbour) -> None:
    condition = harbour.accepted_then_changed()
    paths = [
        *("/", "/vessels/halvenmoor", f"/conditions/{condition}", f"/conditions/{condition}/revisions/1"),
        *(f"/conditions/{condition}/revisions", f"/conditions/{condition}/comparison", "/keys"),
    ]
    with harbour.reader("administrator") as reader:
        for path in paths:
            link = re.search(r'href="([^"]+)">JSON of this page', reader.get(path).text)
            assert link is not None, path
            twin = reader.get(link[1].replace("&amp;", "&"), headers={"Accept": "application/json"})
            assert twin.status_code == 200, link[1]
            assert twin.headers["content-type"] == "application/json"


def test_the_cookie_alone_changes_nothing_through_the_api(harbour: Harbour) -> None:
    with harbour.reader("administrator") as reader:
        answer = reader.post("/v1/keys", json={"name": "Mallory", "role": "administrator"})
        assert answer.status_code == 401


def test_a_role_is_offered_and_allowed_what_it_may_do(harbour: Harbour) -> None:
    condition = harbour.enter()
    page = f"/conditions/{condition}"
    offers = {
        "ship": ("/edit", True, "/revisions/1/review", False),
        "reviewer": ("/edit", False, "/revisions/1/review", True),
        "integrator": ("/edit", False, "/revisions/1/review", False),
    }
    for role, (edit, may_edit, review, may_review) in offers.items():
        with harbour.reader(role) as reader:
            text = reader.get(page).text
            assert (f'href="{page}{edit}"' in text) is may_edit
            assert (f'href="{page}{review}"' in text) is may_review
            assert (reader.get(page + edit).status_code == 200) is may_edit
            assert (reader.get(page + review).status_code == 200) is may_review
            assert reader.get("/keys").status_code == 403


def test_the_author_is_not_offered_a_review(harbour: Harbour) -> None:
    document = harbour.http.get(f"/v1/conditions/{harbour.enter()}", headers=harbour.bearer("ship")).json()
    entered = harbour.http.post(
        "/v1/vessels/halvenmoor/conditions",
        json=document["document"],
        headers=harbour.bearer("administrator"),
    )
    page = f"/conditions/{entered.json()['condition']}"
    with harbour.reader("administrator") as reader:
        text = text_of_page(reader.get(page))
        assert "somebody else reviews it" in text
        assert "Review revision" not in text
        assert reader.get(f"{page}/revisions/1/review").status_code == 409


@pytest.mark.parametrize(
    "kept", ["[" * 5000, "{}", "[1, 2]", '[["a"]]', '[["a", 1]]', "null", '[["a", "\\ud800"]]', "{"]
)
def test_what_pretends_to_be_typed_work_is_left_alone(harbour: Harbour, kept: str) -> None:
    with harbour.reader(None) as reader:
        answer = reader.post("/sign-in", data={"kept": kept, "key": harbour.keys["ship"], "target": "/keys"})
    assert answer.status_code in (200, 403)
    assert fields_in(kept) == ([("a", "?")] if "ud800" in kept else [])


@pytest.mark.parametrize(
    "cookie",
    ["\xff\xfe.x", "a.lc_\xe9_x", "..lc_a_b", "a.b", "a.lc_" + "a" * 3000 + "_b", '"a.lc_a_b\\"', "x" * 4000],
)
def test_a_made_up_cookie_opens_nothing(harbour: Harbour, cookie: str) -> None:
    headers = [(b"cookie", f"loading_session={cookie}".encode("latin-1")), (b"accept", b"text/html")]
    for path in ("/", "/v1/fleet"):
        assert harbour.http.get(path, headers=headers).status_code == 401


@pytest.mark.parametrize(
    "path",
    [
        *(
            "/vessels/halvenmoor?revision=0",
            "/vessels/halvenmoor?revision=99",
            "/vessels/%00",
            "/conditions/%ff",
        ),
        *("/conditions/" + "a" * 500, "/?from=99&name=%ff%00", "/?from=-1", "/static//", "/keys/x/revoke"),
    ],
)
def test_odd_addresses_are_answered_in_words(harbour: Harbour, path: str) -> None:
    with harbour.reader("administrator") as reader:
        answer = reader.get(path)
    assert answer.status_code in (200, 400, 404, 405)
    assert answer.headers["content-type"].startswith("text/html")
