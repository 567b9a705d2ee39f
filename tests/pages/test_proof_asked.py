"""A setting asks for a proof of each booklet: pages say whose is not proved, and no verdict depends on it."""

import json
from pathlib import Path

import pytest

from service.demo import read_printed_conditions
from service.pages.wording import proof_asked
from tests.api.office import running_office, vessel_document
from tests.pages.harbour import text_of_page

ASKED = "asks that her data be proved"


@pytest.mark.parametrize("asked", [True, False])
def test_pages_of_a_ship_without_proof_say_so_where_it_is_asked_for(tmp_path: Path, asked: bool) -> None:
    with running_office(f"sqlite:///{tmp_path / 'records.db'}", ask_for_proof=asked) as office:
        printed = json.loads(read_printed_conditions("halvenmoor"))
        bare = office.enter_vessel()
        proved = office.enter_vessel({**vessel_document(), "printed_conditions": printed})
        verdicts = []
        for vessel, is_told in ((bare, asked), (proved, False)):
            condition, _ = office.enter_condition(vessel)
            verdicts.append(office.http.get(f"/v1/conditions/{condition}").json()["assessment"]["verdict"])
            for page in (f"/vessels/{vessel}", f"/vessels/{vessel}/conditions", f"/conditions/{condition}"):
                shown = text_of_page(office.http.get(page, headers={"Accept": "text/html"}))
                assert (ASKED in shown) is is_told, page
        assert verdicts[0] == verdicts[1]
        reviewer = office.key("reviewer")["Authorization"].removeprefix("Bearer ")
        office.http.post("/sign-in", data={"key": reviewer, "target": "/keys"})
        (first,) = office.http.get(f"/v1/vessels/{bare}/conditions").json()["items"]
        review = office.http.get(f"/conditions/{first['id']}/revisions/1/review")
        assert review.status_code == 200
        assert (ASKED in text_of_page(review)) is asked


def test_the_words_name_what_is_missing() -> None:
    assert proof_asked("proved") == ""
    assert "fewer than four of its printed conditions are entered" in proof_asked("thin")
    assert "contradicted" in proof_asked("off")
    assert proof_asked(None).endswith("The verdict does not depend on it.")
