"""Lists of conditions and vessels: orders, filters of several values, and cursors that hold both."""

from typing import Any

import pytest

from tests.api.office import Office, code_of, condition_document, vessel_document


def _titles(office: Office, address: str) -> list[str]:
    """Of every page."""
    found: list[str] = []
    while address:
        page = office.http.get(address)
        assert page.status_code == 200, page.text
        found += [item.get("title", item.get("name")) for item in page.json()["items"]]
        address = page.json()["next"]
    return found


def test_conditions_in_other_orders_and_by_more_filters(office: Office) -> None:
    first = office.enter_vessel(vessel_document(name="Alfa", imo_number="9074729"))
    second = office.enter_vessel(vessel_document(name="Brava"))
    ids: dict[str, str] = {}
    for title, vessel, number in (
        ("b", first, "1"),
        ("Ä", second, "2"),
        ("a", first, "2"),
        ("b", second, "3"),
    ):
        document = condition_document(title=title, voyage={"number": number, "phase": "departure"})
        ids[title + number], _ = office.enter_condition(vessel, document)
    assert office.revise(ids["b1"], {"title": "c"}).status_code == 200
    every = "/v1/conditions?limit=1&"
    assert _titles(office, "/v1/conditions") == ["b", "a", "Ä", "c"]
    assert _titles(office, every + "sort=created") == ["c", "Ä", "a", "b"]
    assert _titles(office, every + "sort=-updated") == ["c", "b", "a", "Ä"]
    risen = _titles(office, every + "sort=title")
    assert sorted(risen) == sorted(["a", "b", "c", "Ä"])
    assert [title for title in risen if title != "Ä"] == ["a", "b", "c"]
    assert _titles(office, every + "sort=-title") == risen[::-1]
    assert set(_titles(office, every + "sort=vessel")[:2]) == {"a", "c"}
    assert _titles(office, every + "voyage=1&voyage=3&sort=created") == ["c", "b"]
    assert _titles(office, every + f"vessel={first}&vessel={second}&title=B") == ["b"]
    assert _titles(office, every + "imo_number=9074729") == ["a", "c"]
    assert len(_titles(office, every + "verdict=pass&verdict=fail&verdict=incomplete")) == 4
    created = office.http.get(f"/v1/conditions/{ids['a2']}").json()["created"]
    assert _titles(office, every + f"created_after={created}") == ["b"]
    author = office.http.get(f"/v1/conditions/{ids['a2']}").json()["author"]
    assert len(_titles(office, every + f"author={author['key']}")) == 4
    assert len(_titles(office, f"{every}author={author['name']}")) == 4
    assert _titles(office, every + "author=nobody") == []


def test_vessels_in_other_orders(office: Office) -> None:
    for name in ("Brava", "Alfa", "Cara"):
        office.enter_vessel(vessel_document(name=name, reference=f"ref {name}"))
    every = "/v1/vessels?limit=1&"
    assert _titles(office, every + "sort=name") == ["Alfa", "Brava", "Cara"]
    assert _titles(office, every + "sort=-created") == ["Cara", "Alfa", "Brava"]
    assert _titles(office, every + "reference=ref+Cara&reference=ref+Brava") == ["Brava", "Cara"]
    assert _titles(office, every + "state=active&state=withdrawn&sort=-name") == ["Cara", "Brava", "Alfa"]


@pytest.mark.parametrize(
    ("path", "parameter", "allowed"),
    [
        ("/v1/conditions?sort=colour", "sort", "-updated"),
        ("/v1/vessels?sort=title", "sort", "name"),
        ("/v1/conditions?verdict=pass&verdict=good", "verdict", "incomplete"),
        ("/v1/conditions?title=", "title", None),
        (
            "/v1/conditions?created_after=2026-01-02T00:00:00Z&created_before=2026-01-01T00:00:00Z",
            "created_before",
            None,
        ),
    ],
)
def test_refusals_name_parameter_and_what_is_allowed(
    office: Office, path: str, parameter: str, allowed: str | None
) -> None:
    refused = office.http.get(path)
    assert code_of(refused) == (400, "invalid_query")
    (wrong,) = refused.json()["errors"]
    assert wrong["parameter"] == parameter
    assert parameter in wrong["detail"]
    if allowed is not None:
        assert allowed in wrong["allowed"]


def test_a_cursor_goes_with_its_order(office: Office) -> None:
    vessel = office.enter_vessel()
    for title in ("a", "b"):
        office.enter_condition(vessel, condition_document(title=title))
    following: dict[str, Any] = office.http.get("/v1/conditions?limit=1&sort=title").json()
    other = following["next"].replace("sort=title", "sort=-title")
    assert code_of(office.http.get(other)) == (400, "invalid_query")
