"""Ids that no database can hold are not there, on either engine."""

from typing import Any

import pytest

from tests.api.office import Office, code_of, condition_document


@pytest.mark.parametrize("id", ["a\0b", "\0", "a\u202eb", "a" * 10_000])
def test_a_vessel_of_an_odd_id_is_unknown(office: Office, id: str) -> None:
    asked: dict[str, Any] = {"vessel_id": id, "condition": condition_document()}
    assert code_of(office.http.post("/v1/assessments", json=asked)) == (404, "unknown_vessel")


@pytest.mark.parametrize(
    "path", ["/v1/vessels/a%00", "/v1/conditions/a%00", "/v1/keys/a%00", "/v1/conditions/%ff%00"]
)
def test_an_address_of_an_odd_id_is_not_there(office: Office, path: str) -> None:
    assert office.http.get(path).status_code == 404


def test_a_reason_that_no_database_can_hold_is_refused(office: Office) -> None:
    vessel = office.enter_vessel()
    answer = office.http.post(
        f"/v1/vessels/{vessel}/conditions", json=condition_document(), params={"reason": "a\0b"}
    )
    assert code_of(answer) == (400, "invalid_query")
