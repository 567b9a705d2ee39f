"""The form of a condition: what was kept comes back, what was mistyped is named."""

from typing import Any

import pytest

from service.demo import condition_names, demo_vessel_ids
from service.pages import condition_form
from tests.api.office import condition_document, vessel_document

DEMOS = [(ship, name) for ship in demo_vessel_ids() for name in condition_names(ship)]


def read_back(document: dict[str, Any], vessel: dict[str, Any], **typed: str) -> condition_form.Read:
    fields = {**condition_form.fields_of(document, vessel), **typed}
    return condition_form.read(fields, document, vessel)


@pytest.mark.parametrize(("ship", "name"), DEMOS)
def test_a_condition_comes_back_as_it_was(ship: str, name: str) -> None:
    """Every digit: the form must not change what nobody touched."""
    document, vessel = condition_document(name, ship), vessel_document(ship)
    found = read_back(document, vessel)
    assert not found.wrong
    # a weight's TCG may be left out in a document; the form always says it
    weights = [{"tcg": 0.0, **weight} for weight in document["weights"]]
    assert found.document == {**document, "weights": weights}


def test_members_that_the_form_does_not_show_are_carried_over() -> None:
    extra = {
        "observed": {"list": -0.5},
        "wind_additions": [{"name": "Silo", "area": 10.0, "centroid_height": 12.0}],
        "rule_sets": ["is-code-2008-a-2.2"],
    }
    document = condition_document(**extra)
    found = read_back(document, vessel_document())
    assert {name: found.document[name] for name in extra} == extra


@pytest.mark.parametrize("typed", ["1,5", "1.200,5", "12a", "--3", "nan", "inf", "1e5", "1" * 40, "٣"])
def test_what_is_no_number_is_named_beside_its_field(typed: str) -> None:
    found = read_back(condition_document(), vessel_document(), **{"q:fo-db-5-p": typed})
    assert set(found.wrong) == {"q:fo-db-5-p"}


@pytest.mark.parametrize(
    ("typed", "value"), [("41.5", 41.5), (" 41.50 ", 41.5), ("1 200", 1200.0), (".5", 0.5)]
)
def test_numbers_as_people_type_them(typed: str, value: float) -> None:
    found = read_back(condition_document(), vessel_document(), **{"q:fo-db-5-p": typed})
    line = next(t for t in found.document["tanks"] if t["tank"] == "fo-db-5-p")
    assert not found.wrong
    assert line["fill"] == value


def test_an_emptied_quantity_takes_the_tank_out_and_a_new_one_puts_it_in() -> None:
    typed = {
        "q:fo-db-5-p": "",
        "q:wb-fore-peak": "120",
        "b:wb-fore-peak": "volume",
        "d:wb-fore-peak": "1.010",
    }
    found = read_back(condition_document(), vessel_document(), **typed)
    lines = {line["tank"]: line for line in found.document["tanks"]}
    assert "fo-db-5-p" not in lines
    assert lines["wb-fore-peak"] == {"tank": "wb-fore-peak", "volume": 120.0, "density": 1.010}


def test_the_form_lists_every_tank_from_forward_to_aft() -> None:
    vessel = vessel_document()
    lines = condition_form.tank_lines({}, vessel)
    assert {line.tank["id"] for line in lines} == {tank["id"] for tank in vessel["tanks"]}
    positions = [round(line.tank["lcg"], 1) for line in lines]
    assert positions == sorted(positions, reverse=True)


def test_soundings_are_offered_only_where_the_table_has_them() -> None:
    tanks = {tank["id"]: tank for tank in vessel_document()["tanks"]}
    assert "sounding" in condition_form.bases_of(tanks["fo-db-5-p"])
    assert "sounding" not in condition_form.bases_of({**tanks["fo-db-5-p"], "table": None})


def test_blank_lines_for_weights_follow_those_typed() -> None:
    lines = condition_form.weight_lines({"w:0:name": "Crew", "w:7:mass": "3", "w:9:category": "stores"})
    assert [line["n"] for line in lines] == ["0", "7", "8", "9", "10"]


def test_a_weight_without_name_or_mass_is_named() -> None:
    found = read_back(condition_document(), vessel_document(), **{"w:40:lcg": "12"})
    assert set(found.wrong) == {"w:40:name", "w:40:mass", "w:40:vcg"}


def test_title_and_water_are_needed() -> None:
    found = read_back(condition_document(), vessel_document(), title=" ", water_density="")
    assert set(found.wrong) == {"title", "water_density"}


@pytest.mark.parametrize(
    ("pointer", "name"),
    [
        ("/condition/tanks/0/fill", "q:fo-db-5-p"),
        ("/tanks/0/density", "d:fo-db-5-p"),
        ("/condition/weights/2/lcg", "w:2:lcg"),
        ("/condition/water_density", "water_density"),
        ("/condition/observed/list", None),
        ("/condition", None),
    ],
)
def test_places_of_a_refusal_find_their_field(pointer: str, name: str | None) -> None:
    document = {"tanks": [{"tank": "fo-db-5-p", "fill": 50.0}], "weights": []}
    assert condition_form.field_of(pointer, document) == name
