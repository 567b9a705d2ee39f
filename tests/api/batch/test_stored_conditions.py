"""Lines of a batch that name stored conditions: judged anew, as they were kept, each within what the key may see."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from service.client import Refused, ServiceClient
from service.demo import condition_names
from service.settings import Settings
from tests.api.in_process import in_process
from tests.api.office import condition_document, settings_for, vessel_document
from tests.api.played_operations import Recorder

SHIP, OTHER = "halvenmoor", "ostrel"
Connect = Callable[[str | None], ServiceClient]


@contextmanager
def _clients(settings: Settings) -> Iterator[Connect]:
    with in_process(settings) as app:
        yield lambda key: ServiceClient("http://127.0.0.1", key=key, transport=Recorder(app), attempts=1)


@pytest.fixture(scope="module")
def connect(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Connect]:
    database = f"sqlite:///{tmp_path_factory.mktemp('stored')}/records.db"
    with _clients(settings_for(database, worker_processes=0)) as connect:
        yield connect


@pytest.fixture(scope="module")
def office(connect: Connect) -> ServiceClient:
    """Two ships with a condition each; hers has two revisions and her data a second revision after the first."""
    service = connect(connect(None).add_key({"name": "Head", "role": "administrator"})["token"])
    made = service.add_vessel(vessel_document(SHIP, id=SHIP))
    service.add_vessel(vessel_document(OTHER, id=OTHER))
    first = service.add_condition(SHIP, condition_document(id="hers", reference="ERP-1"))
    service.add_condition(OTHER, condition_document(condition_names(OTHER)[0], OTHER, id="foreign"))
    lighter = vessel_document(SHIP)
    lighter["lightship"] = {**lighter["lightship"], "vcg": lighter["lightship"]["vcg"] + 0.05, "segments": []}
    service.revise_vessel(SHIP, lighter, made.etag)
    service.patch_condition("hers", {"title": "Second"}, first.etag)
    return service


def _answers(service: ServiceClient, *lines: dict[str, Any], **asked: Any) -> list[dict[str, Any]]:
    return [dict(answer) for answer in service.assess_batch(lines, **asked)]


def test_a_stored_revision_has_the_figures_it_was_kept_with(office: ServiceClient) -> None:
    lines = [{"condition_id": "hers", "revision": 1}, {"condition_id": "hers"}]
    for number, (line, answer) in enumerate(zip(lines, _answers(office, *lines), strict=True), start=1):
        kept = office.get_revision("hers", number).record
        named = (answer.pop("line"), answer.pop("condition_id"), answer.pop("revision"))
        assert named == (number, "hers", number)
        assert answer.pop("reference") == "ERP-1"
        assert kept["calculation_version"] == answer["provenance"]["calculation_version"]
        assert kept["vessel_revision"] == number
        # the condition's own name is in the kept document, not in the kept assessment
        assert answer == {name: value for name, value in kept["assessment"].items() if name != "reference"}
        assert line["condition_id"] == kept["condition"]


def test_other_data_of_the_vessel_and_other_units(office: ServiceClient) -> None:
    asked = {"condition_id": "hers", "revision": 1}
    kept, named, latest, feet = _answers(
        office,
        asked,
        {**asked, "vessel_revision": 2},
        {**asked, "vessel_data": "latest", "reference": "now"},
        {**asked, "units": "us"},
        units="metric",
    )
    assert [each["provenance"]["vessel"]["revision"] for each in (kept, named, latest, feet)] == [1, 2, 2, 1]
    assert named["stability"] == latest["stability"] != kept["stability"]
    assert [each["reference"] for each in (kept, named, latest, feet)] == ["ERP-1", "ERP-1", "now", "ERP-1"]
    assert (kept["units"]["system"], feet["units"]["system"]) == ("metric", "us")
    # 1 ft = 0.3048 m (exact, by definition); answers are rounded nowhere
    assert feet["flotation"]["draft_aft"] * 0.3048 == pytest.approx(kept["flotation"]["draft_aft"], rel=1e-12)


def test_what_is_foreign_is_answered_like_what_is_not_there(connect: Connect, office: ServiceClient) -> None:
    key = office.add_key({"name": "Hers", "role": "integrator", "vessels": [SHIP]})
    whole = {"vessel_id": SHIP, "condition": condition_document()}
    foreign, unknown, beyond, mine, beside = _answers(
        connect(key["token"]),
        {"condition_id": "foreign", "reference": "r"},
        {"condition_id": "nobodys", "reference": "r"},
        {"condition_id": "hers", "revision": 99, "reference": "r"},
        {"condition_id": "hers"},
        whole,
        detail="summary",
    )
    assert [each.pop("line") for each in (foreign, unknown, beyond)] == [1, 2, 3]
    for each in (foreign, unknown, beyond):
        assert each.pop("request_id")
    assert foreign == unknown == beyond
    assert (unknown["code"], unknown["status"], unknown["reference"]) == ("unknown_condition", 404, "r")
    assert (mine["line"], mine["condition_id"], mine["revision"]) == (4, "hers", 2)
    assert beside["line"] == 5
    assert "condition_id" not in beside


@pytest.mark.parametrize(
    ("line", "pointer", "code"),
    [
        ({"condition_id": 7}, "/condition_id", "invalid_request"),
        ({"condition_id": "hers", "revision": 0}, "/revision", "invalid_request"),
        ({"condition_id": "hers", "revision": True}, "/revision", "invalid_request"),
        ({"condition_id": "a\x00b"}, "/condition_id", "invalid_request"),
        ({"condition_id": "hers", "units": "feet"}, "/units", "invalid_request"),
        ({"condition_id": "hers", "condition": {}}, "/condition", "invalid_request"),
        ({"condition_id": "hers", "vessel_id": SHIP}, "/vessel_id", "invalid_request"),
        (
            {"condition_id": "hers", "vessel_revision": 1, "vessel_data": "latest"},
            "/vessel_data",
            "invalid_request",
        ),
        ({"condition_id": "hers", "vessel_revision": 99}, "/vessel_id", "unknown_vessel"),
    ],
)
def test_lines_that_say_too_much_or_too_little(
    office: ServiceClient, line: dict[str, Any], pointer: str, code: str
) -> None:
    [problem] = _answers(office, line)
    assert problem["code"] == code
    assert pointer in [place["pointer"] for place in problem["errors"]]
    assert problem["line"] == 1


def test_a_single_assessment_takes_no_stored_condition(office: ServiceClient) -> None:
    with pytest.raises(Refused) as refused:
        office.assess({"condition_id": "hers"})
    assert refused.value.problem["status"] == 422


def test_where_nothing_is_stored_it_is_said(tmp_path: Path) -> None:
    with _clients(Settings(database_url="", access_log=False, worker_processes=0)) as connect:
        whole = {"vessel_id": SHIP, "condition": json.loads(json.dumps(condition_document()))}
        problem, answer = _answers(connect(None), {"condition_id": "hers", "reference": "r"}, whole)
    assert (problem["code"], problem["status"], problem["reference"]) == ("no_records", 422, "r")
    assert answer["line"] == 2
