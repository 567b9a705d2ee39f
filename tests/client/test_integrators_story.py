"""One office hooked up as an integrator would do it, by the client alone.

Keys and a fleet, two booklets as workbooks, a thousand conditions, feed and webhooks, a corrected table, what it moves,
one condition put right, reports.

Beside it stands what a box says by itself: KM = d/2 + B²/12d and a loss of GM of ρ l b³/12 a tank (closed forms).
"""

import io
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
import pypdf
import pytest

from service.client import PlaceInFile, ServiceClient, verify_webhook
from service.demo import condition_names
from service.imports.writer import vessel_workbook
from tests.api.office import condition_document, running_office, vessel_document
from tests.api.played_operations import barge, loaded
from tests.api.receiver import Receiver, receiver

COUNT = 1_000
BARGE, SHIP = "box-barge", "ostrel"
DENSITY, LENGTH, BREADTH = 1.025, 60.0, 12.0
VCG = 10.0
"""Of the deck load: high enough that some conditions pass by her first table alone."""
TYPED_IN, PRINTED = 3.0, 6.0
"""Breadth of the surface of each tank: as somebody typed it in, and as her booklet prints it."""
Connect = Callable[[str], ServiceClient]


def booklet(breadth: float) -> bytes:
    """The barge's booklet as a workbook."""
    document = barge()
    for tank in document["tanks"]:
        tank["rectangular_surface"]["breadth"] = breadth
    return vessel_workbook(document)


def deck_load(number: int) -> float:
    return 200.0 + 0.4 * number


def departure(number: int) -> dict[str, Any]:
    """One of a thousand: half-full tanks, and a deck load that grows."""
    load = {"name": "Deck load", "category": "deck_cargo", "mass": deck_load(number), "lcg": 30.0, "vcg": VCG}
    document = loaded(title=f"Departure {number}", reference=f"D{number}", weights=[load])
    return {name: value for name, value in document.items() if name != "id"}


def gm_of_a_box(load: float, breadth: float) -> tuple[float, float]:
    """GM with two half-full tanks of 300 m³ by the closed forms, and by how much a table with rows 0.2 m apart may be
    above: KM x draft is d²/2 + B²/12, so the chord lies at most 0.2²/8 above it."""
    tanks = 2 * 150.0 * DENSITY
    displacement = 600.0 + tanks + load
    draft = displacement / (DENSITY * LENGTH * BREADTH)
    km = draft / 2 + BREADTH**2 / (12 * draft)
    kg = (600.0 * 3.0 + tanks * 1.25 + load * VCG) / displacement
    return km - kg - 2 * DENSITY * 20.0 * breadth**3 / 12 / displacement, 0.2**2 / 8 / draft


@dataclass
class Office:
    """One service, whom the story has keys for, and where its webhooks arrive."""

    head: ServiceClient
    mate: ServiceClient
    superintendent: ServiceClient
    integrator: ServiceClient
    target: Receiver


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    with ExitStack() as stack:
        database = f"sqlite:///{tmp_path}/records.db"
        running = stack.enter_context(
            running_office(database, worker_processes=0, webhook_networks="127.0.0.0/8")
        )

        def connect(key: str | None) -> ServiceClient:
            return stack.enter_context(ServiceClient(running.address, key=key))

        head = connect(connect(None).add_key({"name": "Head of office", "role": "administrator"})["token"])
        head.set_named_fleet("inland", "Inland", [])
        by_fleet = [
            connect(head.add_key({"name": name, "role": role, "fleets": ["inland"]})["token"])
            for name, role in (("Mate", "ship"), ("Superintendent", "reviewer"), ("Reports", "integrator"))
        ]
        yield Office(head, *by_fleet, stack.enter_context(receiver()))


def enter_ships(office: Office) -> None:
    """Two booklets as workbooks, read first; keys of the fleet see them when they are put into it."""
    for workbook in (booklet(TYPED_IN), vessel_workbook(vessel_document(SHIP, id=SHIP))):
        reading = office.head.read_vessel_workbook(workbook)
        assert reading["problems"] == []
        digest = reading["document_digest"]
        office.head.add_vessel_from_workbook(workbook, expect_digest=digest, reason="From her booklet")
    assert list(office.integrator.list_vessels()) == []
    fleet = office.head.get_named_fleet("inland")
    office.head.set_named_fleet("inland", "Inland", [BARGE, SHIP], fleet.etag)
    assert [ship["id"] for ship in office.integrator.list_vessels(sort="name")] == [BARGE, SHIP]


def enter_conditions(office: Office) -> list[str]:
    """A thousand in one stream; sent again, none is entered twice. Their ids."""
    documents = [departure(number) for number in range(COUNT)]
    answers = list(office.mate.add_conditions_bulk(BARGE, documents, reason="Taken over"))
    ids = [answer["condition"] for answer in answers]  # type: ignore[typeddict-item]
    assert len(set(ids)) == COUNT
    again = list(office.mate.add_conditions_bulk(BARGE, documents[:20]))
    assert [answer["condition"] for answer in again] == ids[:20]  # type: ignore[typeddict-item]
    office.mate.add_condition(SHIP, condition_document(condition_names(SHIP)[0], SHIP))
    return ids


def follow(office: Office, place: Path, count: int) -> list[dict[str, Any]]:
    """So many changes of the feed, from where the file says that the last one was."""
    found: list[dict[str, Any]] = []
    for change in office.integrator.follow_changes(PlaceInFile(place), wait=0):
        found.append(dict(change))
        if len(found) > count:
            raise AssertionError("more came than was kept")
        if len(found) == count:
            break
    return found


def events(office: Office, secret: str, count: int) -> list[dict[str, Any]]:
    """What arrived at the receiver once that much did, each with a signature that holds."""
    posts = office.target.wait_for(count)
    return [verify_webhook(post.body, post.headers, secret) for post in posts]


def test_an_office_is_hooked_up(office: Office, tmp_path: Path) -> None:
    wanted = {"url": office.target.address, "events": ["vessel.revised", "verdict.changed"]}
    hook = office.integrator.add_webhook(wanted)
    office.integrator.test_webhook(hook["id"])
    assert [event["type"] for event in events(office, hook["secret"], 1)] == ["test"]

    enter_ships(office)
    ids = enter_conditions(office)
    changes = follow(office, tmp_path / "feed.json", 2 + COUNT + 1)
    assert [change["id"] for change in changes] == list(range(1, COUNT + 4))
    assert [change["condition"] for change in changes if change["vessel"] == BARGE][1:] == ids
    shown = list(office.integrator.get_fleet(sort="name", vessel=[BARGE, SHIP]))
    assert [line["others"]["count"] for line in shown] == [COUNT - 1, 0]

    # Her tanks were typed in too narrow: the table of tanks is corrected, nothing else.
    ship = office.head.get_vessel(BARGE)
    office.head.revise_vessel_from_workbook(
        BARGE, booklet(PRINTED), ship.etag, reason="Breadth of the surfaces as printed"
    )
    revised = events(office, hook["secret"], 2)[-1]
    assert (revised["type"], revised["data"]["vessel"], revised["data"]["revision"]) == (
        "vessel.revised",
        BARGE,
        2,
    )

    kept = recheck(office, ids)
    put_right(office, ids, kept)
    told = [event["data"] for event in events(office, hook["secret"], 4)[2:]]
    assert {each["condition"] for each in told} == {ids[-1]}
    assert sorted((each["revision"], each["previous_verdict"], each["verdict"]) for each in told) == [
        (2, "pass", "fail"),
        (3, "fail", "pass"),
    ]
    read_reports(office, ids[-1])


def recheck(office: Office, ids: list[str]) -> dict[str, str]:
    """All of them judged again, by the data they were kept with and by hers of today; the verdicts by id of those that
    the correction moved."""
    lines = [{"condition_id": id, "reference": str(number)} for number, id in enumerate(ids)]
    same = list(office.integrator.assess_batch(lines, detail="summary"))
    latest = [{**line, "vessel_data": "latest"} for line in lines]
    today = list(office.integrator.assess_batch(latest, detail="summary"))
    moved: dict[str, str] = {}
    for number, (before, after) in enumerate(zip(same, today, strict=True)):
        assert "verdict" in before
        assert "verdict" in after
        assert (before["line"], before["reference"], before["condition_id"]) == (
            number + 1,
            str(number),
            ids[number],
        )
        for answer, breadth in ((before, TYPED_IN), (after, PRINTED)):
            gm, more = gm_of_a_box(deck_load(number), breadth)
            assert gm - 1e-3 < answer["gm_corrected"] < gm + more + 1e-3  # her table has three decimals
        if before["verdict"] != after["verdict"]:
            moved[ids[number]] = after["verdict"]
    verdicts = {line["verdict"] for line in office.integrator.list_conditions(vessel=BARGE)}
    assert verdicts == {"pass"}
    assert set(moved.values()) == {"fail"}
    assert 0 < len(moved) < COUNT
    assert list(moved) == ids[-len(moved) :]  # the heaviest deck loads
    chosen = {"vessel": BARGE, "conditions": [ids[0], ids[-1]], "order": "worst_first"}
    [report] = office.superintendent.reassess(chosen)
    assert [(item["condition"], item["verdict"]) for item in report["items"]] == [
        (ids[-1], "fail"),
        (ids[0], "pass"),
    ]
    return moved


def put_right(office: Office, ids: list[str], moved: dict[str, str]) -> None:
    """The worst one is kept again by the corrected table, returned, put right and compared."""
    worst = ids[-1]
    assert worst in moved
    kept = office.mate.get_condition(worst)
    failed = office.mate.patch_condition(worst, {"title": "By the corrected table"}, kept.etag)
    assert failed.record["assessment"]["verdict"] == "fail"
    office.superintendent.add_review(worst, 2, "returned", "Less on deck, please.")
    lighter = [{**departure(COUNT - 1)["weights"][0], "mass": deck_load(0)}]
    office.mate.patch_condition(worst, {"weights": lighter}, failed.etag, reason="Less deck load")
    compared = office.superintendent.compare_revisions(worst, 2, 3)
    assert (compared["verdict"]["before"], compared["verdict"]["after"]) == ("fail", "pass")
    gains = {row["name"]: row["change"] for row in compared["figures"]}
    assert any(change == pytest.approx(_gain(), abs=0.006) for change in gains.values() if change is not None)
    office.superintendent.add_review(worst, 3, "accepted")


def _gain() -> float:
    return gm_of_a_box(deck_load(0), PRINTED)[0] - gm_of_a_box(deck_load(COUNT - 1), PRINTED)[0]


def read_reports(office: Office, condition: str) -> None:
    """The report as a workbook and as a sheet, opened by programs that know nothing of it."""
    record = office.integrator.get_revision(condition, 3).record
    book = openpyxl.load_workbook(io.BytesIO(office.integrator.get_report(condition, 3, "xlsx").content))
    cells = [cell for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row]
    gm = record["assessment"]["stability"]["gm_corrected"]
    assert any(isinstance(cell, float) and cell == pytest.approx(gm, rel=1e-9) for cell in cells)
    reader = pypdf.PdfReader(io.BytesIO(office.integrator.get_report(condition, 3, "pdf").content))
    text = " ".join(page.extract_text() for page in reader.pages)
    assert len(reader.pages) == 1
    assert "By the corrected table" in text
    assert f"{gm:.3f}" in text
