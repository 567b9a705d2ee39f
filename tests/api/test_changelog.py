"""What is to go is announced: in the changelog, in headers (RFC 9745, RFC 8594) and in the description."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from email.utils import parsedate_to_datetime
from pathlib import Path

import pytest
from fastapi import FastAPI
from pydantic import TypeAdapter

from service import app as app_module
from service.api.changelog import ENTRIES, changelog_of
from service.api.deprecation import DEPRECATIONS, Deprecation, Deprecations, mark_deprecated
from service.app import create_app, describe
from service.settings import Settings
from service.wire.changelog import Changelog
from tests.api.in_process import InProcess, in_process
from tests.api.office import settings_for

GONE = Deprecation(
    "`GET /v1/findings`.",
    date(2026, 12, 1),
    date(2027, 12, 1),
    "`GET /v1/rule-sets`",
    (("GET", "/v1/findings"), ("GET", "/v1/rule-sets/{name}")),
)


@pytest.fixture
def announcing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[InProcess]:
    """A service in which something is to go."""
    monkeypatch.setattr(app_module, "DEPRECATIONS", (*DEPRECATIONS, GONE))
    with in_process(settings_for(f"sqlite:///{tmp_path}/records.db")) as app:
        yield app


def test_answers_of_what_is_to_go_say_since_when_and_until_when(announcing: InProcess) -> None:
    """RFC 9745, section 2: a date of structured fields (RFC 9651, section 3.3.7); RFC 8594, section 3: an HTTP date."""
    for address in ("/v1/findings", "/v1/rule-sets/load-lines", "/v1/rule-sets/none-such"):
        headers = announcing.ask("GET", address).headers
        assert headers[b"deprecation"].startswith(b"@"), address
        since = datetime.fromtimestamp(int(headers[b"deprecation"][1:]), UTC)
        assert since == datetime(2026, 12, 1, tzinfo=UTC)
        assert parsedate_to_datetime(headers[b"sunset"].decode()) == datetime(2027, 12, 1, tzinfo=UTC)
        assert headers[b"sunset"].endswith(b"GMT")
        assert headers[b"link"].startswith(b"</v1/changelog>; rel=")


def test_others_say_nothing(announcing: InProcess) -> None:
    for address in ("/v1/rule-sets", "/v1/vessels", "/nowhere"):
        assert {b"deprecation", b"sunset"}.isdisjoint(announcing.ask("GET", address).headers)
    assert b"deprecation" not in announcing.ask("POST", "/v1/findings").headers


def test_the_description_says_it_too() -> None:
    app: FastAPI = create_app(Settings())
    document = describe(app)
    assert not [o for path in document["paths"].values() for o in path.values() if o.get("deprecated")]
    mark_deprecated(document, (GONE,))
    operation = document["paths"]["/v1/findings"]["get"]
    assert operation["deprecated"] is True
    assert {"Deprecation", "Sunset"} <= operation["responses"]["200"]["headers"].keys()


def test_members_that_are_to_go_are_marked_and_in_the_changelog() -> None:
    schemas = describe(create_app(Settings()))["components"]["schemas"]
    marked = {
        member
        for schema in schemas.values()
        for member, part in schema.get("properties", {}).items()
        if part.get("deprecated")
    }
    told = " ".join(row.what for row in DEPRECATIONS)
    assert marked == {"smallest_margin"}
    assert all(f"`{member}`" in told for member in marked)


def test_the_changelog_is_in_order_and_names_what_there_is() -> None:
    found = changelog_of(ENTRIES, (*DEPRECATIONS, GONE))
    TypeAdapter(Changelog).validate_python(found)
    dates = [item["date"] for item in found["items"]]
    assert dates == sorted(dates, reverse=True)
    assert found["items"][0]["sunset"] == "2027-12-01"
    document = describe(create_app(Settings()))
    names = {operation["operationId"] for path in document["paths"].values() for operation in path.values()}
    for entry in ENTRIES:
        assert set(entry.operations) <= names, entry.what


def test_a_layer_without_rows_does_nothing() -> None:
    assert Deprecations(create_app(Settings()), rows=DEPRECATIONS)._fields == {}
