"""POST /v1/vcg-limits over HTTP."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.api.office import Office, running_office, vessel_document


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    folder: Path = tmp_path_factory.mktemp("limits")
    with running_office(f"sqlite:///{folder}/records.db") as office:
        yield office


def test_inline_and_by_id_give_the_same_limits(office: Office) -> None:
    operator = office.key("administrator", None, "Operator")
    vessel = office.enter_vessel(vessel_document(), **operator)
    question = {"units": "metric", "drafts": [4.0, 5.0], "water_density": 1.025}
    by_id = office.http.post("/v1/vcg-limits", json={"vessel_id": vessel, **question}, headers=operator)
    inline = office.http.post(
        "/v1/vcg-limits", json={"vessel": vessel_document(), **question}, headers=operator
    )
    assert by_id.status_code == inline.status_code == 200, by_id.text
    assert by_id.json()["rows"] == inline.json()["rows"]
    assert by_id.json()["provenance"]["vessel"]["id"] == vessel
    assert len(by_id.json()["envelope"]) == 2


def test_what_it_does_not_know_is_refused(office: Office) -> None:
    question = {"units": "metric", "drafts": [4.0], "water_density": 1.025}
    none = office.http.post("/v1/vcg-limits", json=question, headers=office.key("ship", None, "Ship"))
    assert (none.status_code, none.json()["errors"][0]["code"]) == (422, "one_vessel")
    query = office.http.post(
        "/v1/vcg-limits?units=us", json=question, headers=office.key("ship", None, "Other")
    )
    assert (query.status_code, query.json()["code"]) == (400, "invalid_query")
