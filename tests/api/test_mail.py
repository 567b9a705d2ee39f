"""Mail to readers through a real mail server on this machine: confirmed first, within scope, stopped at once."""

import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import httpx
import pytest
from pydantic import ValidationError

from service.actions.records.lifecycle import visited_records
from service.settings import Settings
from service.wire.assessment import CAUTION
from tests.api.mail_server import MailHost, mail_host
from tests.api.office import Office, condition_document, running_office
from tests.api.receiver import certificate
from tests.pages.harbour import form_fields, text_of_page

URL = "https://ships.example"
TO = "office@fleet.example"
ALL = ["needs_review", "returned_or_answered", "verdict_changed", "in_force"]


def settings_of(host: MailHost, **changes: Any) -> dict[str, Any]:
    """Settings of a service that hands mail to a host and waits for nothing long."""
    given = {"smtp_host": "127.0.0.1", "smtp_port": host.port, "smtp_security": "none", "public_url": URL}
    given |= {"smtp_sender": "Loading conditions <ships@fleet.example>", "smtp_timeout_seconds": 0.6}
    return {**given, "smtp_retry_seconds": 0.01, "smtp_gather_seconds": 0.2, **changes}


@contextmanager
def signed_in(office: Office, token: str) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=office.address, timeout=20, trust_env=False, follow_redirects=True) as reader:
        reader.headers["Sec-Fetch-Site"] = "same-origin"
        reader.post("/sign-in", data={"key": token, "target": "/notices"})
        yield reader


def send(reader: httpx.Client, do: str, **fields: Any) -> httpx.Response:
    """A button of the page."""
    token = form_fields(reader.get("/notices").text, "/notices/mail")["token"]
    return reader.post("/notices/mail", data={"token": token, "do": do, **fields})


def subscribe(reader: httpx.Client, host: MailHost, kinds: list[str] | None = None) -> None:
    """Give the address and type the code that comes."""
    before = len(host.taken)
    assert send(reader, "give", address=TO, kind=kinds or ALL).status_code == 200
    mail = host.wait_for(before + 1)[-1]
    code = re.search(r"The code is ([A-Z2-7]{8})", mail.text)
    assert code is not None
    confirmed = send(reader, "confirm", code=f" {code[1][:4].lower()}-{code[1][4:]} ")
    assert "You are told from now on" in text_of_page(confirmed)


def waiting(office: Office) -> list[tuple[Any, ...]]:
    with visited_records(office.database) as records, records.reading() as tx:
        found = tx.connection.exec_driver_sql("SELECT state, attempts, error FROM mails ORDER BY id")
        return [(*row,) for row in found]


def until_sent(office: Office) -> list[tuple[Any, ...]]:
    """The rows of the outbox, once none of them waits."""
    until = time.monotonic() + 15
    while any(row[0] == "waiting" for row in waiting(office)):
        assert time.monotonic() < until, waiting(office)
        time.sleep(0.02)
    return waiting(office)


@pytest.fixture
def host() -> Iterator[MailHost]:
    with mail_host() as found:
        yield found


def test_a_reader_is_told_what_it_chose_once_its_address_is_confirmed(
    migrated_url: str, host: MailHost
) -> None:
    with running_office(migrated_url, **settings_of(host)) as office:
        vessel = office.enter_vessel()
        token = office.token("reviewer", name="Superintendent")
        mate, admin = office.key("ship"), office.key("administrator")
        with signed_in(office, token) as reader:
            assert send(reader, "give", address="no address", kind=ALL).status_code == 422
            assert send(reader, "give", address=TO, kind=[]).status_code == 422
            assert send(reader, "give", address=TO, kind=ALL).status_code == 200
            (first,) = host.wait_for(1)
            office.enter_condition(
                vessel, headers=mate
            )  # nothing is told of it: the address is not confirmed
            assert "Error:" in send(reader, "confirm", code="AAAAAAAA").text
            assert first.to == [TO]
            assert CAUTION in first.text
            code = re.search(r"code is (\w+)", first.text)
            assert code is not None
            send(reader, "confirm", code=code[1])
            condition, _ = office.enter_condition(vessel, headers=mate)
            failing, _ = office.enter_condition(vessel, condition_document("timber-gm-fails"), headers=mate)
            both = host.wait_for(2)[1]
            assert both.message["Subject"] == "Halvenmoor: revision 1 needs review, and 1 more"
            for id in (condition, failing):
                assert f"{URL}/conditions/{id}/revisions/1" in both.text
            assert CAUTION in both.text
            assert f"{URL}/notices" in both.text
            assert both.message.get_content_type() == "text/plain"
            note = {"decision": "returned", "note": "Why so little in No. 1?"}
            path = f"/v1/conditions/{condition}/revisions/1/reviews"
            assert office.http.post(path, json=note, headers=admin).status_code == 201
            assert "“Why so little in No. 1?”" in host.wait_for(3)[2].text
            office.revise(condition, condition_document("timber-gm-fails"), headers=mate)
            answered = host.wait_for(4)[3].message["Subject"]
            assert answered.endswith(
                "fails now; revision 2 answers what was returned; revision 2 needs review"
            )
            send(reader, "choose", kind=["in_force"])
            office.revise(condition, {"title": "Another"}, headers=mate)
            tag = office.http.get(f"/v1/conditions/{condition}", headers=admin).headers["ETag"]
            state = {"state": "in_force", "reason": "She sails"}
            answer = office.http.put(
                f"/v1/conditions/{condition}/state", json=state, headers={**admin, "If-Match": tag}
            )
            assert answer.status_code == 200, answer.text
            assert "in force, revision 3" in host.wait_for(5)[4].message["Subject"]
            link = urlsplit(host.taken[-1].message["List-Unsubscribe"].strip("<>"))
            stop = f"{link.path}?{link.query}"
        with httpx.Client(base_url=office.address, trust_env=False) as stranger:
            assert "Stop the mail" in stranger.get(stop).text
            assert stranger.post(stop[:-1] + "x").status_code == 200
            assert len(waiting(office)) == 6
            assert "is stopped" in stranger.post(stop, data={"List-Unsubscribe": "One-Click"}).text
            assert "stops nothing" in stranger.post(stop).text
        office.enter_condition(vessel, headers=mate)
        assert {row[0] for row in until_sent(office)} == {"sent"}
        assert len(host.taken) == 5
        assert len({taken.message["Message-ID"] for taken in host.taken}) == 5


def test_a_slow_refusing_or_failing_server_loses_and_doubles_nothing(
    migrated_url: str, host: MailHost
) -> None:
    with running_office(migrated_url, **settings_of(host)) as office:
        vessel = office.enter_vessel()
        mate = office.key("ship")
        with signed_in(office, office.token("reviewer")) as reader:
            subscribe(reader, host)
            host.behaviours.extend(("hang_up", "slow", "refuse_data", "busy", "refuse_recipient"))
            began = time.monotonic()
            condition, _ = office.enter_condition(vessel, headers=mate)
            assert time.monotonic() - began < 0.6, "the request waited for the mail server"
            until = time.monotonic() + 10
            while not any(row[2] for row in waiting(office)):
                assert time.monotonic() < until
                time.sleep(0.02)
            assert "another attempt" in text_of_page(reader.get("/notices"))
            assert f"/conditions/{condition}/" in host.wait_for(2)[1].text
            host.behaviours.append("take_and_hang_up")  # taken is taken, though it does not say goodbye
            office.enter_condition(vessel, headers=mate)
            host.wait_for(3)
            rows = until_sent(office)
        assert [(state, attempts) for state, attempts, _ in rows] == [("sent", 0), ("sent", 5), ("sent", 0)]
        assert len(host.taken) == 3
        assert office.http.get("/metrics").text.count('loading_mails_total{outcome="failed"} 5.0') == 1


def test_nothing_is_told_of_ships_outside_the_scope_also_after_it_shrank(
    migrated_url: str, host: MailHost
) -> None:
    with running_office(migrated_url, **settings_of(host)) as office:
        seen, other = office.enter_vessel(), office.enter_vessel()
        token = office.token("reviewer", [seen])
        admin = office.key("administrator")
        with signed_in(office, token) as reader:
            subscribe(reader, host)
            office.enter_condition(other, headers=admin)
            host.behaviours.extend(["hang_up"] * 4)
            office.enter_condition(seen, headers=admin)
            while not waiting(office)[-1][1]:
                time.sleep(0.01)
            id = token.split("_")[1]
            change = office.http.put(f"/v1/keys/{id}/scope", json={"vessels": [other]}, headers=admin)
            assert change.status_code == 200, change.text
            rows = until_sent(office)
            assert [row[0] for row in rows] == ["sent", "dead"]
            assert "may not be told" in rows[1][2]
            office.http.delete(f"/v1/keys/{id}", headers=admin)
        office.enter_condition(other, headers=admin)
        time.sleep(0.4)
        assert len(host.taken) == 1, "the code alone"
        assert len(waiting(office)) == 2


def test_starttls_is_used_verified_and_never_left_out(tmp_path: Path) -> None:
    (tmp_path / "certificate").mkdir()
    file, context = certificate(tmp_path / "certificate", "localhost")
    changes = {"smtp_host": "localhost", "smtp_security": "starttls"}
    with mail_host(context) as host:
        given = settings_of(host, smtp_ca_file=str(file), **changes)
        with running_office(migrated(tmp_path, "a"), **given) as office:
            office.token("administrator")
            with signed_in(office, office.token("reviewer")) as reader:
                subscribe(reader, host)
            assert host.taken[0].over_tls
            host.offers_starttls = False
            with signed_in(office, office.token("reviewer")) as reader:
                send(reader, "give", address=TO, kind=ALL)
                while not any(row[2] for row in waiting(office)):
                    time.sleep(0.01)
                assert "does not offer what is needed" in text_of_page(reader.get("/notices"))
            host.offers_starttls = True
        with running_office(migrated(tmp_path, "b"), **settings_of(host, **changes)) as office:
            with signed_in(office, office.token("reviewer")) as reader:
                send(reader, "give", address=TO, kind=ALL)
                while not any(row[2] for row in waiting(office)):
                    time.sleep(0.01)
            assert "is not trusted" in waiting(office)[0][2]
        assert all(mail.over_tls for mail in host.taken)


def migrated(folder: Path, name: str) -> str:
    return f"sqlite:///{folder / name}.db"


def test_settings_of_mail_go_together() -> None:
    with pytest.raises(ValidationError, match="LOADING_SMTP_SENDER and LOADING_PUBLIC_URL"):
        Settings(smtp_host="mail.example")
    whole = {"smtp_host": "mail.example", "smtp_sender": "a@b.example", "public_url": URL}
    assert Settings(**whole).smtp()["security"] == "starttls"
    with pytest.raises(ValidationError, match="not sent in clear"):
        Settings(**whole, smtp_user="me", smtp_password="secret", smtp_security="none")
