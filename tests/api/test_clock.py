"""The clock of the server set back by an hour: fleet, feed and `updated_after` go on."""

import time
from datetime import UTC, datetime

import httpx

from service.app import create_app
from service.cli.local_server import local_server
from service.storage import as_text
from tests.api.office import Office, condition_document, settings_for


def test_a_clock_set_back_hides_nothing(migrated_url: str) -> None:
    behind = 0.0

    def clock() -> str:
        return as_text(datetime.fromtimestamp(time.time() - behind, UTC))

    app = create_app(settings_for(migrated_url))
    with local_server(app) as address, httpx.Client(base_url=address, timeout=30, trust_env=False) as http:
        office = Office(address, migrated_url, http)
        app.state.parts.records.storage._clock = clock
        vessel = office.enter_vessel()
        first, _ = office.enter_condition(vessel)
        office.enter_condition(vessel, condition_document("ballast-departure"))
        seen = http.get("/v1/conditions").json()["items"][0]["updated"]
        behind = 3600.0
        made = office.revise(first, {"title": "After the clock was set back"})
        assert made.status_code == 200, made.text
        [found] = http.get("/v1/conditions", params={"updated_after": seen}).json()["items"]
        assert (found["id"], found["revision"]) == (first, 2)
        fleet = http.get("/v1/fleet").json()
        assert fleet["items"][0]["condition"]["id"] == first
        assert fleet["as_of"] >= found["updated"]
        feed = [line["created"] for line in http.get("/v1/changes").json()["items"]]
        assert feed == sorted(set(feed))
