"""`recheck`: the archive judged again, by worker processes or here, with and without a file to go on from."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner, Result

from service.cli import recheck_answers
from service.cli.main import app
from service.storage import Storage, verify
from tests.api.office import condition_document, running_office, vessel_document

RULE_SET = "is-code-2008-b-2.4"


def _recheck(database: str, *arguments: str, processes: int = 1) -> Result:
    environment = {"LOADING_DATABASE_URL": database, "LOADING_WORKER_PROCESSES": str(processes)}
    return CliRunner().invoke(app, ["recheck", *arguments], env=environment)


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str, str]:
    """A database with two ships, whose first one has other data today: its address and the ids of both."""
    url = f"sqlite:///{tmp_path_factory.mktemp('archive') / 'records.db'}"
    with running_office(url) as office:
        vessel = office.enter_vessel()
        other = office.enter_vessel(vessel_document("ostrel"))
        condition, _ = office.enter_condition(vessel)
        assert office.revise(condition, {"title": "Second"}).status_code == 200
        office.enter_condition(vessel, condition_document("ballast-departure"))
        office.enter_condition(other, condition_document("ballast-transit", "ostrel"))
        heavier = vessel_document()
        heavier["lightship"]["vcg"] += 0.9
        tag = office.http.get(f"/v1/vessels/{vessel}").headers["ETag"]
        put = office.http.put(f"/v1/vessels/{vessel}", json=heavier, headers={"If-Match": tag})
        assert put.status_code == 200, put.text
    return url, vessel, other


def test_the_same_calculation_and_data_move_nothing(archive: tuple[str, str, str]) -> None:
    url, vessel, _ = archive
    found = _recheck(url, "--all-revisions")
    assert (found.exit_code, found.stderr) == (0, "")
    assert found.stdout.startswith("4 revisions judged by calculation ")
    assert "0 with another verdict, clause or danger, 0 with other numbers alone" in found.stdout
    assert "4 as they were." in found.stdout
    assert _recheck(url, "--vessel", vessel).stdout.startswith("2 revisions judged")
    assert _recheck(url).stdout.startswith("3 revisions judged")


def test_todays_data_move_verdicts_worst_first_and_nothing_kept(archive: tuple[str, str, str]) -> None:
    url, vessel, _ = archive
    found = _recheck(url, "--latest-data", "--json")
    items = [json.loads(line) for line in found.stdout.splitlines()]
    assert {item["vessel"] for item in items} == {vessel}
    assert all(item["vessel_revision"] == 2 and item["kept_vessel_revision"] == 1 for item in items)
    worst = {"fail": 0, "incomplete": 1, "pass": 2}
    changed = [item for item in items if item["verdict"] != item["kept_verdict"]]
    assert found.exit_code == (1 if changed or any(item["criteria"] for item in items) else 0)
    assert items[: len(changed)] == sorted(changed, key=lambda item: worst[item["verdict"]])
    for item in items:
        (kg,) = (row for row in item["figures"] if row["name"] == "vcg_solid")
        (mass,) = (row for row in item["figures"] if row["name"] == "displacement")
        share = vessel_document()["lightship"]["mass"] / mass["after"]
        assert kg["change"] == pytest.approx(
            0.9 * share, rel=1e-9
        )  # moment of the lightship, by the lever law
    storage = Storage(url)
    verify(storage)
    storage.close()


def test_workers_and_a_file_to_go_on_from_give_the_same(
    archive: tuple[str, str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    url, _, _ = archive
    monkeypatch.setattr(recheck_answers, "CONDITIONS_OF_A_TASK", 2)
    asked = ("--latest-data", "--all-revisions", "--json")
    here = _recheck(url, *asked)
    resume, junit = tmp_path / "reports", tmp_path / "junit.xml"
    by_workers = _recheck(url, *asked, "--resume", str(resume), "--junit", str(junit), processes=2)
    assert (by_workers.stdout, by_workers.exit_code) == (here.stdout, here.exit_code)
    kept = resume.read_bytes()
    resume.write_bytes(kept[: kept.rindex(b"\n", 0, -1) + 40])  # the last report was not written whole
    again = _recheck(url, *asked, "--resume", str(resume))
    assert (again.stdout, resume.read_bytes()) == (here.stdout, kept)
    suite = ElementTree.parse(junit).getroot()
    assert suite.attrib["tests"] == "4"
    assert int(suite.attrib["failures"]) == sum(
        bool(item["criteria"])
        or item["verdict"] != item["kept_verdict"]
        or item["dangers"] != item["kept_dangers"]
        for item in map(json.loads, here.stdout.splitlines())
    )


def test_another_rule_set_adds_its_clauses(archive: tuple[str, str, str]) -> None:
    url, vessel, _ = archive
    found = _recheck(url, "--vessel", vessel, "--rule-set", RULE_SET, "--json")
    items = [json.loads(line) for line in found.stdout.splitlines()]
    assert len(items) == 2
    for item in items:
        assert {row["rule_set"] for row in item["criteria"]} == {RULE_SET}
        assert all(row["before"] is None for row in item["criteria"])
    assert found.exit_code == 1
    told = _recheck(url, "--vessel", vessel, "--rule-set", RULE_SET)
    assert "not asked -> " in told.stdout
    assert f"with {RULE_SET} besides" in told.stdout


def test_what_is_refused(archive: tuple[str, str, str], tmp_path: Path) -> None:
    url, _, _ = archive
    for wrong in (
        ("--vessel", "nobody"),
        ("--rule-set", "no-such"),
        ("--database", f"sqlite:///{tmp_path / 'none.db'}"),
    ):
        refused = _recheck(url, *wrong)
        assert refused.exit_code == 3, wrong
        assert refused.stderr, wrong
