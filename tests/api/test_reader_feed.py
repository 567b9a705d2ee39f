"""A reader's own address of the feed: reads what its key sees and nothing else, and ends with it."""

from collections.abc import Iterator
from xml.etree import ElementTree

import httpx
import pytest

from service.actions.records.lifecycle import visited_records
from tests.api.office import Office, code_of, running_office
from tests.pages.harbour import form_fields

ATOM = "{http://www.w3.org/2005/Atom}"


def address_made(office: Office, token: str, do: str = "make") -> str:
    """The address that the page shows once; empty after another button."""
    with httpx.Client(base_url=office.address, timeout=20, trust_env=False, follow_redirects=True) as reader:
        reader.headers["Sec-Fetch-Site"] = "same-origin"
        reader.post("/sign-in", data={"key": token, "target": "/notices"})
        fields = form_fields(reader.get("/notices").text, "/notices/feed")
        shown = reader.post("/notices/feed", data={"token": fields["token"], "do": do})
        assert shown.status_code == 200
        assert "no-store" in shown.headers["Cache-Control"] or do != "make"
        found = shown.text.partition('secret">')[2].partition("<")[0]
        assert found not in reader.get("/notices").text or not found
    return found.replace("&amp;", "&")


def titles(answer: httpx.Response) -> list[str]:
    assert answer.status_code == 200, answer.text
    feed = ElementTree.fromstring(answer.content)
    return [entry.findtext(f"{ATOM}title") or "" for entry in feed.iter(f"{ATOM}entry")]


@pytest.fixture
def stranger(office: Office) -> Iterator[httpx.Client]:
    """A reader of feeds, which sends no key."""
    with httpx.Client(timeout=20, trust_env=False) as client:
        yield client


def test_an_address_reads_what_its_key_sees_and_ends_with_it(
    office: Office, stranger: httpx.Client, capfd: pytest.CaptureFixture[str]
) -> None:
    seen, other = office.enter_vessel(), office.enter_vessel()
    token = office.token("reviewer", [seen])
    admin = office.key("administrator")
    office.enter_condition(seen, headers=admin)
    office.enter_condition(other, headers=admin)
    address = address_made(office, token)
    secret = address.rpartition("_")[2]
    assert len(secret) == 32
    answer = stranger.get(address)
    assert titles(answer) == [
        "Halvenmoor: Departure, homogeneous cargo, full bunkers, revision 1",
        "Halvenmoor, revision 1",
    ]
    assert answer.headers["Content-Type"].startswith("application/atom+xml")
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert "private" in answer.headers["Cache-Control"]
    known = {"If-None-Match": answer.headers["ETag"]}
    assert stranger.get(address, headers=known).status_code == 304
    bearer = {"Authorization": f"Bearer {address.partition('address=')[2]}"}
    assert stranger.get(f"{office.address}/v1/fleet", headers=bearer).status_code == 401
    assert stranger.post(address).status_code == 405
    with visited_records(office.database) as records, records.reading() as tx:
        rows = tx.connection.exec_driver_sql("SELECT * FROM feed_addresses").all()
    assert secret not in str(rows)
    assert stranger.get(address[:-1] + ("a" if address[-1] != "a" else "b")).status_code == 401
    id = token.split("_")[1]
    office.http.put(f"/v1/keys/{id}/scope", json={"vessels": [other]}, headers=admin)
    assert (
        titles(stranger.get(address))[0]
        == "Halvenmoor: Departure, homogeneous cargo, full bunkers, revision 1"
    )
    assert other in stranger.get(address).text
    assert seen not in stranger.get(address).text
    again = address_made(office, token)
    assert code_of(stranger.get(address)) == (401, "unauthenticated")
    assert stranger.get(again).status_code == 200
    address_made(office, token, "revoke")
    assert stranger.get(again).status_code == 401
    last = address_made(office, token)
    assert stranger.get(last).status_code == 200
    office.http.delete(f"/v1/keys/{id}", headers=admin)
    assert stranger.get(last).status_code == 401


def test_addresses_are_read_seldom_and_not_logged(
    migrated_url: str, capfd: pytest.CaptureFixture[str]
) -> None:
    with running_office(migrated_url, access_log=True, public_url="https://ships.example") as office:
        address = address_made(office, office.token("reviewer"))
        assert address.startswith("https://ships.example/feed?address=lf_")
        path = address.removeprefix("https://ships.example")
        with httpx.Client(base_url=office.address, timeout=20, trust_env=False) as client:
            answers = [client.get(path) for _ in range(14)]
            assert [answer.status_code for answer in answers][:10] == [200] * 10
            assert answers[-1].status_code == 429
            assert answers[-1].headers["Retry-After"] == "1"
            assert "https://ships.example" in answers[0].text
    logged = capfd.readouterr()
    assert "/feed" in logged.out + logged.err
    assert address.rpartition("_")[2] not in logged.out + logged.err
