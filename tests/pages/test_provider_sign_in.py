"""Signing in with an identity provider: OpenID Connect Core 1.0, section 3.1.3.7 (checks of an ID token), RFC 7636."""

import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import html5lib
import httpx
import pytest
from joserfc import jwk

from service.settings import Settings
from service.web.identity_provider import IdentityProvider, ProviderSettings
from tests.api.mail_server import MailHost, mail_host
from tests.api.office import Office, condition_document, running_office
from tests.api.test_mail import ALL, TO, settings_of
from tests.endurance.server import free_port
from tests.pages.harbour import form_fields, text_of_page
from tests.pages.provider import CLIENT, SECRET, Provider, running_provider

BACK = "/sign-in/provider/answer"


@pytest.fixture(scope="module")
def host() -> Iterator[MailHost]:
    with mail_host() as found:
        yield found


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory, host: MailHost) -> Iterator[tuple[Office, Provider]]:
    database = f"sqlite:///{tmp_path_factory.mktemp('provider')}/records.db"
    with running_provider() as provider:
        # people are sent back to a name of this machine; the test follows to the port itself
        given = {
            "oidc_issuer": provider.address,
            "oidc_client_id": CLIENT,
            "oidc_client_secret": SECRET,
            "oidc_redirect_url": f"http://127.0.0.1:9{BACK}",
            "oidc_label": "Harbour House",
        }
        with running_office(database, demo=True, **given, **settings_of(host)) as office:
            office.token("administrator")
            yield office, provider


@pytest.fixture
def office(running: tuple[Office, Provider]) -> Office:
    running[0].http.cookies.clear()
    return running[0]


@pytest.fixture
def provider(running: tuple[Office, Provider]) -> Iterator[Provider]:
    yield running[1]
    running[1].claims, running[1].signing_key = {}, None


def _sign_in(office: Office, to: str = "/", **changed: str) -> httpx.Response:
    """The page a person ends on; `changed`: members of the query on the way back."""
    leaving = office.http.get("/sign-in/provider", params={"to": to})
    assert leaving.status_code == 303
    back = httpx.get(leaving.headers["location"], trust_env=False)
    assert back.status_code == 302
    query = {name: values[0] for name, values in parse_qs(urlsplit(back.headers["location"]).query).items()}
    return office.http.get(BACK, params={**query, **changed})


def test_a_person_signs_in_and_is_who_the_provider_says(office: Office, provider: Provider) -> None:
    signed_out = office.http.get("/vessels/halvenmoor")
    assert signed_out.status_code == 401
    assert "Sign in with Harbour House" in text_of_page(signed_out)
    assert "/sign-in/provider?to=/vessels/halvenmoor" in signed_out.text
    page = _sign_in(office, "/vessels/halvenmoor")
    assert page.status_code == 200
    assert "A person ashore, reviewer" in text_of_page(page)
    assert 'content="0; url=/vessels/halvenmoor"' in page.text
    cookie = next(c for c in page.headers.get_list("set-cookie") if c.startswith("loading_session"))
    assert all(word in cookie.lower() for word in ("httponly", "samesite=strict", "max-age=43200"))
    assert office.http.get("/vessels/halvenmoor").status_code == 200
    assert office.http.get("/vessels/ostrel").status_code == 404  # not among her vessels
    assert office.http.get("/v1/vessels").json()["items"][0]["id"] == "halvenmoor"
    assert office.http.get("/keys").status_code == 403
    asked = provider.asked[-1]
    assert len(asked["code_challenge"]) == 43
    assert len({asked["state"], asked["nonce"], asked["code_challenge"]}) == 3
    token = form_fields(office.http.get("/").text, "/sign-out")["token"]
    office.http.post("/sign-out", data={"token": token})
    assert office.http.get("/").status_code == 401


def test_a_person_may_see_fleets(office: Office, provider: Provider) -> None:
    """Of a claim; a ship that comes to one later is seen in the same session. A fleet that is not there shows none."""
    admin = office.key("administrator")
    made = office.http.put("/v1/fleets/west", json={"name": "West", "vessels": []}, headers=admin)
    assert made.status_code == 201, made.text
    provider.claims = {"vessels": None, "fleets": ["west", "nobodys"]}
    _sign_in(office)
    assert office.http.get("/vessels/ostrel").status_code == 404
    changed = {**admin, "If-Match": made.headers["ETag"]}
    document = {"name": "West", "vessels": ["ostrel"]}
    assert office.http.put("/v1/fleets/west", json=document, headers=changed).status_code == 200
    assert office.http.get("/vessels/ostrel").status_code == 200
    assert office.http.get("/vessels/halvenmoor").status_code == 404


def test_the_same_person_is_the_same_author(office: Office, provider: Provider) -> None:
    """Nobody reviews what he wrote himself, also after signing in again with another role."""
    provider.claims = {"roles": ["administrator"]}
    _sign_in(office)
    session = office.http.cookies["loading_session"].partition(".")[2]
    entered = office.http.post(
        "/v1/vessels/halvenmoor/conditions",
        json=condition_document(),
        headers={"Authorization": f"Bearer {session}"},
    )
    assert entered.status_code == 201, entered.text
    provider.claims = {"roles": "reviewer", "vessels": "*", "name": "Another name"}
    office.http.cookies.clear()
    _sign_in(office)
    again = office.http.cookies["loading_session"].partition(".")[2]
    assert again != session
    review = office.http.post(
        f"{entered.headers['location']}/revisions/1/reviews",
        json={"decision": "accepted"},
        headers={"Authorization": f"Bearer {again}"},
    )
    assert review.json()["code"] == "own_revision"


def test_a_person_without_a_key_is_told_by_mail_as_the_last_sign_in_says(
    office: Office, provider: Provider, host: MailHost
) -> None:
    admin = office.key("administrator")
    provider.claims = {"vessels": "halvenmoor", "email": "somebody@elsewhere.example", "email_verified": True}
    _sign_in(office)
    page = office.http.get("/notices")
    assert "Mail follows your sign-in, until" in text_of_page(page)
    assert "needs a key: ask your administrator" in text_of_page(page)
    assert "elsewhere.example" not in page.text, "an address is typed, and confirmed by a code"
    _send(office, do="give", address=TO, kind=ALL)
    code = re.search(r"The code is (\w+)", host.wait_for(1)[0].text)
    assert code is not None
    assert "You are told until" in text_of_page(_send(office, do="confirm", code=code[1]))
    office.enter_condition("ostrel", condition_document("arrival-terminal", "ostrel"), admin)
    condition, _ = office.enter_condition("halvenmoor", headers=admin)
    (_, told) = host.wait_for(2)
    assert told.to == [TO]
    assert "needs review" in told.message["Subject"]
    assert f"/conditions/{condition}/revisions/1" in told.text
    assert "each sign-in at https://ships.example renews it" in told.text
    provider.claims = {"roles": ["cook"]}
    assert _sign_in(office).status_code == 401
    page = office.http.get("/notices")
    assert "Nothing is sent to you now" in text_of_page(page)
    html5lib.HTMLParser(strict=True).parse(page.text)
    office.enter_condition("halvenmoor", headers=admin)
    provider.claims = {"roles": ["administrator"]}
    office.http.cookies.clear()
    _sign_in(office)
    page = office.http.get("/keys")
    html5lib.HTMLParser(strict=True).parse(page.text)
    assert re.search(
        r"A person ashore administrator Told until .* office@fleet.example all sign-in End",
        text_of_page(page),
    )
    (end,) = re.findall(r'action="(/keys/mail/oidc[0-9a-f]{24}/end)"', page.text)
    assert office.http.post(end, data={"token": "another"}).status_code == 401
    ended = office.http.post(end, data=form_fields(page.text, end))
    assert (ended.status_code, ended.headers["location"]) == (303, "/keys#mail-head")
    assert "Told by mail" not in office.http.get("/keys").text
    lines = office.http.get("/v1/audit", headers=admin).json()["items"]
    actions = [line["action"] for line in lines if line["action"].endswith(("_mail", "_address"))]
    assert actions[::-1] == [
        "give_mail_address",
        "confirm_mail_address",
        *("rescope_mail", "rescope_mail", "end_mail"),
    ]
    assert len(host.taken) == 2


def _send(office: Office, **fields: Any) -> httpx.Response:
    """A button of the page of notices."""
    token = form_fields(office.http.get("/notices").text, "/notices/mail")["token"]
    answer = office.http.post("/notices/mail", data={"token": token, **fields})
    assert answer.status_code == 200, answer.text
    return answer


def test_the_same_subject_at_two_providers_is_two_people() -> None:
    """OpenID Connect Core 1.0, section 2: a subject is unique within its issuer alone."""
    ids = set()
    for issuer in ("https://id.example", "https://id.example/", "https://other.example"):
        given = ProviderSettings(
            issuer, "loading", None, "", "roles", {"boss": "reviewer"}, "vessels", "fleets", "Harbour House"
        )
        ids.add(IdentityProvider(given)._person({"sub": "u-1", "roles": "boss"}).id)
    assert len(ids) == 3


@pytest.mark.parametrize(
    ("claims", "told"),
    [
        ({"aud": "somebody-else"}, "its aud is not the right one"),
        ({"aud": [CLIENT, "somebody-else"], "azp": "somebody-else"}, "its azp is not the right one"),
        ({"iss": "https://elsewhere.example"}, "its iss is not the right one"),
        ({"nonce": "another"}, "its nonce is not the right one"),
        ({"nonce": None}, "its nonce is not the right one"),
        ({"exp": int(time.time()) - 3600}, "it has expired"),
        ({"exp": None}, "its exp is not the right one"),
        ({"sub": None}, "its sub is not the right one"),
        ({"iat": int(time.time()) + 3600}, "does not hold"),
        ({"roles": ["cook"]}, "gives you no role"),
        ({"roles": None}, "gives you no role"),
        ({"vessels": [f"ship-{number}" for number in range(100)]}, "too many for a sign-in"),
    ],
)
def test_a_token_that_does_not_hold_signs_nobody_in(
    office: Office, provider: Provider, claims: dict[str, Any], told: str
) -> None:
    provider.claims = claims
    page = _sign_in(office)
    assert page.status_code == 401
    assert told in text_of_page(page)
    assert "loading_session" not in office.http.cookies
    assert "loading_sign_in" not in office.http.cookies


def test_a_token_that_somebody_else_signed_signs_nobody_in(office: Office, provider: Provider) -> None:
    provider.signing_key = jwk.RSAKey.generate_key(2048, {"kid": "1"})
    page = _sign_in(office)
    assert page.status_code == 401
    assert "its signature is not its own" in text_of_page(page)


def test_new_keys_of_the_provider_are_taken_over(office: Office, provider: Provider) -> None:
    assert _sign_in(office).status_code == 200
    office.http.cookies.clear()
    provider.key = jwk.RSAKey.generate_key(2048, {"kid": "2", "use": "sig"})
    assert _sign_in(office).status_code == 200
    office.http.cookies.clear()
    provider.signing_key = jwk.RSAKey.generate_key(2048, {"kid": "3"})  # which it does not publish
    assert _sign_in(office).status_code == 401


def test_an_answer_that_was_not_asked_for_signs_nobody_in(office: Office, provider: Provider) -> None:
    """Neither another state, nor one of another browser, nor a code that was used."""
    assert _sign_in(office, state="another").status_code == 401
    assert _sign_in(office, iss="https://elsewhere.example").status_code == 401
    assert _sign_in(office, code="another").status_code == 401
    office.http.cookies.clear()
    leaving = office.http.get("/sign-in/provider")
    back = httpx.get(leaving.headers["location"], trust_env=False).headers["location"]
    query = urlsplit(back).query
    held = dict(office.http.cookies)
    office.http.cookies.clear()
    assert office.http.get(f"{BACK}?{query}").status_code == 401  # the browser that did not begin it
    forged = {name: value[:-1] + ("0" if value[-1] != "0" else "1") for name, value in held.items()}
    office.http.cookies.update(forged)
    assert office.http.get(f"{BACK}?{query}").status_code == 401
    assert "loading_session" not in office.http.cookies


@pytest.mark.parametrize("token", ["ls_", "ls_e30.00", "ls_x.y.z", "ls_" + "a" * 100 + "." + "0" * 64])
def test_a_session_that_nobody_signed_opens_nothing(office: Office, token: str) -> None:
    answer = office.http.get("/v1/vessels", headers={"Authorization": f"Bearer {token}"})
    assert (answer.status_code, answer.json()["code"]) == (401, "unauthenticated")


def test_a_provider_that_is_down_says_so_and_keys_still_work(tmp_path: Path) -> None:
    given = {
        "oidc_issuer": f"http://127.0.0.1:{free_port()}",
        "oidc_client_id": CLIENT,
        "oidc_redirect_url": f"http://127.0.0.1:9{BACK}",
    }
    with running_office(f"sqlite:///{tmp_path}/records.db", **given) as office:
        key = office.token("reviewer")
        page = office.http.get("/sign-in/provider", params={"to": "/keys"})
        assert page.status_code == 503
        assert "does not answer. Sign in with a key" in text_of_page(page)
        assert form_fields(page.text, "/sign-in")["target"] == "/keys"
        signed_in = office.http.post("/sign-in", data={"key": key, "target": "/"})
        assert signed_in.status_code == 303
        assert office.http.get("/").status_code == 200


def test_without_a_provider_there_is_no_such_page(tmp_path: Path) -> None:
    with running_office(f"sqlite:///{tmp_path}/records.db") as office:
        office.token("reviewer")
        assert office.http.get("/sign-in/provider").status_code == 404
        assert "provider" not in office.http.get("/sign-in").text


@pytest.mark.parametrize(
    "given",
    [
        {"oidc_issuer": "https://id.example"},
        {"oidc_issuer": "http://id.example", "oidc_client_id": "x"},
        {"oidc_roles": "boss=captain"},
        {"oidc_redirect_url": "https://loading.example/elsewhere"},
    ],
)
def test_settings_that_cannot_be_meant_are_refused(given: dict[str, str]) -> None:
    with pytest.raises(ValueError, match=r"(?i)oidc"):
        Settings(**given)
