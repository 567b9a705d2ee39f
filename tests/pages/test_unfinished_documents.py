"""Whatever an office left unfinished in the shape of a condition, the sheet and the soundings show."""

import json
import random
from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from service.pages.session import form_token
from tests.api.in_process import Answer, InProcess, in_process
from tests.api.office import Office, condition_document, settings_for, vessel_document
from tests.pages.test_sheet_form import EVERYTHING

ODD: tuple[Any, ...] = (
    *(
        None,
        True,
        False,
        0,
        -1,
        1e300,
        2**53 - 1,
        "",
        " ",
        "a\0b",
        "\u202e",
        "1,5",
        "1.5.2",
        "x" * 300,
        "; ;",
    ),
    *("metric", "us", "-", "1e9", "—", "<b>", "50"),
)
FORM = "application/x-www-form-urlencoded"
FOOT = 0.3048
"""m; exact by the international yard and pound agreement of 1959."""


class Desk:
    """A browser without a window, and a script beside it, both of one administrator."""

    def __init__(self, app: InProcess, key: str) -> None:
        self._app, self._key = app, key

    def page(self, path: str, **form: str) -> Answer:
        headers = [
            (b"cookie", f"loading_session=x.{self._key}".encode()),
            (b"content-type", FORM.encode()),
            (b"sec-fetch-site", b"same-origin"),
        ]
        if not form:
            return self._app.ask("GET", path, headers=headers)
        body = httpx.QueryParams({**form, "token": form_token("x", self._key)})
        return self._app.ask("POST", path, str(body).encode(), headers)

    def script(self, method: str, path: str, document: Any) -> Answer:
        return self._app.ask(
            method,
            path,
            json.dumps(document).encode(),
            [
                (b"authorization", f"Bearer {self._key}".encode()),
                (b"content-type", b"application/json"),
            ],
        )


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    database = f"sqlite:///{tmp_path_factory.mktemp('unfinished')}/records.db"
    with in_process(settings_for(database, demo=True, worker_processes=0)) as app:
        yield Desk(app, Office("", database, httpx.Client()).token("administrator"))


def spoilt(value: Any, chance: random.Random) -> Any:
    """The same with single values changed and members left out by chance; lists and objects stay what they are."""
    if isinstance(value, dict):
        return {name: spoilt(below, chance) for name, below in value.items() if chance.random() < 0.95}
    if isinstance(value, list):
        return [spoilt(item, chance) for item in value]
    return chance.choice(ODD[1:]) if chance.random() < 0.15 else value


def read_and_typed_on(desk: Desk, count: int, seed: int) -> None:
    chance, path = random.Random(seed), "/v1/vessels/halvenmoor/unfinished/odd"
    sheet, sounding = "/vessels/halvenmoor/conditions/new?name=odd", "/vessels/halvenmoor/soundings/odd"
    whole = condition_document("departure-homogeneous") | EVERYTHING
    for _ in range(count):
        document = spoilt(whole, chance)
        kept = desk.script("PUT", path, document)
        assert kept.status == 201, (kept.body, document)
        round = {"tank": chance.choice(whole["tanks"])["tank"], "taken": "fffff"}
        answers = [
            desk.page(sheet),
            desk.page(f"{sounding}?{httpx.QueryParams(round)}"),
            desk.page(sounding, do="show", reading="1.5", **round),
        ]
        assert all(answer.status in (200, 422) for answer in answers), (document, answers)
        assert desk.script("DELETE", path, {}).status == 204


def test_odd_values_are_shown(desk: Desk) -> None:
    read_and_typed_on(desk, 40, 1)


@pytest.mark.parametrize(
    ("document", "pointers"),
    [
        ({"tanks": "x", "weights": [1, {}]}, {"/tanks", "/weights/0"}),
        ({"units": {}, "title": ["x"]}, {"/units", "/title"}),
        ({"tanks": None}, {"/tanks"}),
        ({"observed": {"drafts": {"aft": {"port": []}}}}, {"/observed/drafts/aft/port"}),
        ({"plan": {"stages": [{"tanks": [{"fill": []}]}]}}, {"/plan/stages/0/tanks/0/fill"}),
        ({"rule_sets": [{}], "tank": 1}, {"/rule_sets/0", "/tank"}),
    ],
)
def test_another_shape_is_refused_by_place(desk: Desk, document: Any, pointers: set[str]) -> None:
    refused = desk.script("PUT", "/v1/vessels/halvenmoor/unfinished/other", document)
    assert refused.status == 422
    assert {error["pointer"] for error in json.loads(refused.body)["errors"]} == pointers


def test_a_sheet_shows_her_tables_and_what_was_kept_in_its_own_units(desk: Desk) -> None:
    """A condition in feet and long tons of a ship in metres: one system on the whole sheet."""
    document = {
        "units": "us",
        "title": "In feet",
        "water_density": 1.025,
        "free_surface": {"basis": "by_rule"},
        "tanks": [{"tank": "fo-db-5-p", "sounding": 1.0}],
        "weights": [],
    }
    made = desk.script("POST", "/v1/vessels/halvenmoor/conditions", document)
    assert made.status == 201, made.body
    condition = json.loads(made.body)["condition"]
    sheet = desk.page(f"/conditions/{condition}/edit").body.decode()
    tank = next(tank for tank in vessel_document()["tanks"] if tank["id"] == "fo-db-5-p")
    capacity = tank["table"]["rows"][-1]["volume"]
    assert f"{capacity / FOOT**3:.0f} ft³" in sheet
    assert f"{capacity:.1f} m³" not in sheet
    kept = {**document, "units": "metric", "tanks": [{"tank": "fo-db-5-p", "sounding": 2 * FOOT}]}
    desk.script("PUT", f"/v1/vessels/halvenmoor/unfinished/{condition}.1", kept)
    sounding = f"/vessels/halvenmoor/soundings/{condition}.1"
    level = tank["table"]["rows"][-1]["sounding"]
    shown = desk.page(sounding, do="show", tank=tank["id"], way="sounding", reading="1").body.decode()
    assert f"Full at {level / FOOT:.2f} ft" in shown
    assert 'value="2"' in desk.page(f"/conditions/{condition}/edit").body.decode()
