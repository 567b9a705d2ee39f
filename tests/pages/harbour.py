"""A service with ships, for the tests of the pages, and what its people do by HTTP."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import html5lib
import httpx

from tests.api.office import SHIP, condition_document
from tests.translation import box


@dataclass
class Harbour:
    """Where the service is, a client without a key, the key of each role, and the database."""

    address: str
    http: httpx.Client
    keys: dict[str, str]
    database: str

    def bearer(self, role: str) -> dict[str, str]:
        """The header of a role's key."""
        return {"Authorization": f"Bearer {self.keys[role]}"}

    def enter(self, name: str = "departure-homogeneous", ship: str = SHIP, **changes: Any) -> str:
        """A condition entered by the ship; its id."""
        document = condition_document(name, ship, **changes)
        answer = self.http.post(
            f"/v1/vessels/{ship}/conditions",
            json=document,
            params={"reason": "Loading finished"},
            headers=self.bearer("ship"),
        )
        assert answer.status_code == 201, answer.text
        id: str = answer.json()["condition"]
        return id

    def revise(self, condition: str, reason: str, **changes: Any) -> int:
        """The next revision by the ship; its number."""
        kept = self.http.get(f"/v1/conditions/{condition}", headers=self.bearer("ship"))
        answer = self.http.put(
            f"/v1/conditions/{condition}",
            json={**kept.json()["document"], **changes},
            params={"reason": reason},
            headers={**self.bearer("ship"), "If-Match": kept.headers["ETag"]},
        )
        assert answer.status_code == 200, answer.text
        number: int = answer.json()["revision"]
        return number

    def review(self, condition: str, revision: int, decision: str, note: str = "As checked.") -> None:
        """A reviewer's decision."""
        answer = self.http.post(
            f"/v1/conditions/{condition}/revisions/{revision}/reviews",
            json={"decision": decision, "note": note},
            headers=self.bearer("reviewer"),
        )
        assert answer.status_code == 201, answer.text

    def set_state(self, condition: str, state: str, role: str = "ship") -> None:
        """What a condition is from now on."""
        path = f"/v1/conditions/{condition}"
        tag = self.http.get(path, headers=self.bearer(role)).headers["ETag"]
        headers = {**self.bearer(role), "If-Match": tag}
        answer = self.http.put(f"{path}/state", json={"state": state}, headers=headers)
        assert answer.status_code == 200, answer.text

    def accepted_then_changed(self, **changes: Any) -> str:
        """A condition whose first revision was accepted and whose second has less fuel."""
        condition = self.enter()
        self.review(condition, 1, "accepted")
        tanks = condition_document()["tanks"]
        less = [{"tank": t["tank"], "fill": 60.0} if t["tank"] == "fo-db-5-p" else t for t in tanks]
        self.revise(condition, "Bunkers used on the way", tanks=less, **changes)
        return condition

    def begun_booklet(self) -> list[str]:
        """Pages of a booklet that is being typed in, with a cell to put right."""
        with self.reader("administrator") as reader:
            form = form_fields(reader.get("/booklets").text, "/booklets")
            begun = reader.post("/booklets", data={**form, "name": "Box & barge", "sister": SHIP})
            path = begun.url.path.removesuffix("/ship")
            token = form_fields(begun.text, f"{path}/ship#ship")["token"]
            table = "Draft\tLateral area\tHeight of centroid\n3\tmany\t6.1\n4\t500\t7"
            fields = {"token": token, "sheet": "wind-profile", "do": "paste", "table": table}
            reader.post(f"{path}/wind", data=fields)
        parts = ("ship", "cross-curves", "tank-tables", "wind")
        return ["/booklets", path, *(f"{path}/{part}" for part in parts)]

    def named_fleet(self) -> str:
        """The page of a fleet with two ships."""
        head, path = self.bearer("administrator"), "/fleets/two-ships"
        document = {"name": "Two ships", "vessels": ["halvenmoor", "ostrel"]}
        answer = self.http.put(f"/v1{path}", json=document, headers=head)
        assert answer.status_code in (201, 428), answer.text
        return path

    def enter_plan(self) -> str:
        """A condition of the demonstration ship with a voyage of twelve days through a change of season; its id."""
        line = {"contents": "fuel_oil", "mass_per_day": 10.6, "order": [["fo-db-5-p", "fo-db-5-s"]]}
        season = {"from": "11-01", "to": "03-31", "mark": "W", "otherwise": "S"}
        stages = [
            {"name": "River", "days": 1, "water_density": 1.0},
            {"name": "Ocean", "days": 10, "water_density": 1.025, "season": season},
            {"name": "Arrival", "days": 1, "phase": "arrival"},
        ]
        return self.enter(
            plan={
                "kind": "voyage",
                "departs": "2026-10-28T12:00:00Z",
                "every_days": 4,
                "consumption": [{**line, "leave": 2.0}],
                "stages": stages,
            }
        )

    def enter_box(self, name: str) -> str:
        """A box barge with longitudinal strength, loaded amidships; the id of her condition."""
        admin = self.bearer("administrator")
        made = self.http.post("/v1/vessels", json=box.vessel(name=name), headers=admin)
        assert made.status_code == 201, made.text
        cargo = box.weight("Cargo", 2500.0, 50.0, extent={"x_from": 30.0, "x_to": 70.0})
        path = f"/v1/vessels/{made.json()['vessel']}/conditions"
        answer = self.http.post(path, json=box.condition(cargo), headers=admin)
        assert answer.status_code == 201, answer.text
        id: str = answer.json()["condition"]
        return id

    @contextmanager
    def reader(self, role: str | None) -> Iterator[httpx.Client]:
        """A browser without scripts or drawings: a client that signed in with a role's key (None: did not)."""
        with httpx.Client(
            base_url=self.address,
            timeout=30,
            trust_env=False,
            follow_redirects=True,
            headers={"Accept": "text/html,*/*;q=0.8", "Sec-Fetch-Site": "same-origin"},
        ) as client:
            if role is not None:
                client.post("/sign-in", data={"key": self.keys[role], "target": "/"})
            yield client


def form_fields(text: str, action: str) -> dict[str, str]:
    """The fields of the form with that action, as a browser would send them."""
    document = html5lib.parse(text, namespaceHTMLElements=False)
    form = next(form for form in document.iter("form") if form.get("action") == action)
    fields: dict[str, str] = {}
    for element in form.iter():
        name = element.get("name")
        if element.tag == "input" and name and element.get("type") not in ("radio", "checkbox"):
            fields[name] = element.get("value") or ""
        elif element.tag == "textarea" and name:
            fields[name] = element.text or ""
        elif element.tag == "select" and name:
            options = list(element.iter("option"))
            chosen = [option for option in options if option.get("selected") is not None] or options[:1]
            fields[name] = chosen[0].get("value") or ""
    return fields


def text_of_page(response: httpx.Response) -> str:
    """The words of a page, without markup."""
    document = html5lib.parse(response.text, namespaceHTMLElements=False)
    return re.sub(r"\s+", " ", " ".join(document.itertext()))
