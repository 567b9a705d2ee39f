"""What is typed on pages passes the checks that programs meet: nothing that does not show is kept."""

import json

import httpx
import pytest

from service.pages.form import fields_in
from service.pages.typed import once_of, wrong_reason
from tests.api.office import vessel_document
from tests.pages.harbour import Harbour, form_fields

HIDDEN = [
    "\u202e",
    "\u2066",
    "\u2069",
    "\u061c",
    "\u200b",
    "\u200f",
    "\ufeff",
    "\0",
    "\x1b",
    "\x7f",
    "\x85",
    "\u2028",
]


@pytest.mark.parametrize("character", HIDDEN, ids=ascii)
def test_a_reason_with_a_character_that_does_not_show_is_not_kept(harbour: Harbour, character: str) -> None:
    condition = harbour.enter()
    path = f"/conditions/{condition}/edit"
    with harbour.reader("ship") as reader:
        fields = form_fields(reader.get(path).text, path)
        answer = reader.post(path, data={**fields, "do": "save", "reason": f"Ballast{character}taken"})
        assert answer.status_code == 422
        assert "none that do not show" in answer.text
    kept = harbour.http.get(f"/v1/conditions/{condition}", headers=harbour.bearer("ship")).json()
    assert kept["revision"] == 1


def test_a_reason_of_two_lines_is_kept_as_one_and_a_long_one_is_told(harbour: Harbour) -> None:
    condition = harbour.enter()
    path = f"/conditions/{condition}/edit"
    with harbour.reader("ship") as reader:
        fields = form_fields(reader.get(path).text, path)
        answer = reader.post(path, data={**fields, "do": "save", "reason": "x" * 501})
        assert answer.status_code == 422
        assert "at most 500 characters" in answer.text
        reader.post(path, data={**fields, "do": "save", "reason": "Ballast taken\r\nin no. 3"})
    kept = harbour.http.get(f"/v1/conditions/{condition}", headers=harbour.bearer("ship")).json()
    assert (kept["revision"], kept["reason"]) == (2, "Ballast taken in no. 3")


@pytest.mark.parametrize("character", ["\u202e", "\0"], ids=ascii)
def test_the_same_for_a_vessel_and_a_review(harbour: Harbour, character: str) -> None:
    with harbour.reader("administrator") as reader:
        fields = form_fields(reader.get("/vessels/new").text, "/vessels/new")
        document = json.dumps(vessel_document(name="Typed"))
        fields |= {"document": document, "do": "save", "reason": f"From{character} her booklet"}
        assert "none that do not show" in reader.post("/vessels/new", data=fields).text
    condition = harbour.enter()
    path = f"/conditions/{condition}/revisions/1/review"
    with harbour.reader("reviewer") as reader:
        fields = form_fields(reader.get(path).text, path)
        answer = reader.post(path, data={**fields, "decision": "returned", "note": f"No{character}"})
        assert answer.status_code == 422
        # the name of one showing of the form is none of ours: it is replaced, not kept
        answer = reader.post(
            path, data={**fields, "decision": "accepted", "note": "", "once": f"a{character}"}
        )
        assert answer.status_code == 200


def test_a_form_may_bring_any_name_of_its_showing() -> None:
    assert once_of("aZ09_-") == "aZ09_-"
    for other in (None, "", "a\0", "ä", "x" * 61, "a b"):
        assert len(once_of(other)) > 20
    assert wrong_reason("Ballast shifted, 12 t – “no. 3”") is None


def test_a_reason_has_at_most_thirty_combining_characters_in_a_row() -> None:
    """As in every body: Unicode Standard Annex 15, Stream-Safe Text Format."""
    assert wrong_reason("e" + "\u0301" * 30) is None
    assert wrong_reason("e" + "\u0301" * 31) is not None


def test_forms_are_decoded_as_the_url_standard_says() -> None:
    """URL Standard 5.1; `urllib.parse` is a second opinion where every byte is UTF-8."""
    assert fields_in(b"a=b&c=%41%c3%A9+d&&e&=f&g=h=i&%zz=%4") == [
        *(("a", "b"), ("c", "Aé d"), ("e", ""), ("", "f"), ("g", "h=i"), ("%zz", "%4")),
    ]
    assert fields_in(b"a=%ff") == [("a", "\ufffd")]


@pytest.mark.parametrize(
    "headers", [{"Origin": "http://["}, {"Origin": "//["}, {"Origin": "null"}, {"Host": "["}]
)
def test_an_origin_that_is_none_is_refused(harbour: Harbour, headers: dict[str, str]) -> None:
    answer = httpx.post(f"{harbour.address}/sign-in", data={"key": "x"}, headers=headers, trust_env=False)
    assert answer.status_code in (401, 403)


@pytest.mark.parametrize("target", ["//[", "/[", "http://[", "/a?b=//[", "//[::1", "/\u2100"])
def test_any_target_of_a_sign_in_is_answered(harbour: Harbour, target: str) -> None:
    assert httpx.get(f"{harbour.address}/sign-in", params={"to": target}, trust_env=False).status_code == 200
