"""The proof by printed conditions: the demonstration ships are proved, and slips in their tables are found.

The printed conditions were computed from hull and tanks as solids, an independent route: exact equilibrium, cross
curves at her trim, centres of the liquids from the shapes of the tanks."""

import copy
from typing import Any

import pytest

from service.actions.read_booklet import prove_document
from service.core.hull.cross_curves import immersion_angle
from service.demo.ostrel_form import HULL
from service.translation.prepared_vessel import data_digest, prepare_vessel
from service.wire.refusal import Refusal
from tests.imports.documents import Document, demo_ship


@pytest.mark.parametrize(
    ("ship", "figures", "by_printing"), [("halvenmoor", 536, 28), ("ostrel", 448, 8), ("quarrenby", 420, 0)]
)
def test_the_demonstration_ships_are_proved(ship: str, figures: int, by_printing: int) -> None:
    proof = prove_document(demo_ship(ship))
    assert (proof["state"], proof["figures"], proof["off"]) == ("proved", figures, 0)
    states = [figure["state"] for condition in proof["conditions"] for figure in condition["figures"]]
    assert states.count("within_printing") == by_printing
    assert proof["words"].startswith(
        f"proved with 4 conditions and {figures} figures; nearest to its tolerance: "
    )


def test_ostrels_printed_flooding_is_that_of_her_hull() -> None:
    """The waterplane through the exhaust trunk displaces her volume (definition), her trim held."""
    foot, long_ton = 0.3048, 1.0160469088
    for condition in demo_ship("ostrel")["printed_conditions"]:
        printed = condition["printed"]
        volume = printed["displacement"] * long_ton / condition["water_density"] / foot**3
        angle = immersion_angle(HULL, volume, 40.0, 17.0, 31.0, trim=printed["trim"])
        assert printed["down_flooding_angle"] == pytest.approx(angle, abs=0.06)


def lightship(ship: Document) -> None:
    ship["lightship"]["vcg"] = 6.51  # for 6.15


def buoyancy(ship: Document) -> None:
    for row in ship["hydrostatics"]["rows"]:
        row["lcb"] += 1.0


def side(ship: Document) -> None:
    tank = next(tank for tank in ship["tanks"] if tank["id"] == "fo-db-5-p")
    for row in tank["table"]["rows"]:
        row["tcg"] = -row["tcg"]


@pytest.mark.parametrize("slip", [lightship, buoyancy, side])
def test_a_slip_of_the_pen_is_found(slip: Any) -> None:
    ship = demo_ship("halvenmoor")
    slip(ship)
    proof = prove_document(ship)
    assert proof["state"] == "off"
    assert proof["off"] > 10
    assert proof["words"].startswith(f"off: {proof['off']} of 536 printed figures are contradicted")


def test_a_booklet_that_counts_free_surface_another_way_is_told_so() -> None:
    ship = demo_ship("halvenmoor")
    for condition in ship["printed_conditions"]:
        condition["free_surface"] = "maximum_when_slack"
    proof = prove_document(ship)
    assert proof["state"] == "off"
    words = "the printed free surface moment is that of the basis as filled, not of maximum when slack"
    assert any(words in condition["why"] for condition in proof["conditions"])


def test_no_conditions_and_few_conditions() -> None:
    ship = demo_ship("ostrel")
    ship["printed_conditions"] = ship["printed_conditions"][:3]
    assert prove_document(ship)["state"] == "thin"
    ship["printed_conditions"] = []
    empty = prove_document(ship)
    assert (empty["state"], empty["figures"], empty["coverage"]["displacements"]) == ("none", 0, [])


def test_what_cannot_be_computed_is_no_proof() -> None:
    ship = demo_ship("halvenmoor")
    del ship["cross_curves"]
    proof = prove_document(ship)
    assert proof["state"] == "incomplete"
    off_table = demo_ship("halvenmoor")
    off_table["printed_conditions"][0]["tanks"][0] = {"tank": "fo-db-5-p", "sounding": 99.0}
    found = prove_document(off_table)["conditions"][0]
    assert found["state"] == "incomplete"
    assert "sounding: 99 is outside" in found["why"][0]


def test_coverage_says_what_nothing_proves() -> None:
    coverage = prove_document(demo_ship("ostrel"))["coverage"]
    assert coverage["tanks_never_loaded"] == ["1c-fore-peak", "6-drill-water-p", "6-drill-water-s"]
    assert coverage["cross_curve_rows"] == "6 of 19"
    assert coverage["phases"] == ["arrival", "at_sea", "departure"]


def test_every_contradiction_of_a_printed_condition_is_told() -> None:
    ship = demo_ship("halvenmoor")
    first, second = ship["printed_conditions"][:2]
    second["name"] = first["name"]
    first["tanks"][0]["tank"] = "nowhere"
    first["tanks"][1]["volume"] = 3.0
    first["weights"][0]["mass"] = -1.0
    first["printed"]["righting_levers"].reverse()
    with pytest.raises(Refusal) as refused:
        prove_document(ship)
    assert {error["code"] for error in refused.value.errors} == {
        "duplicate",
        "unknown_tank",
        "one_quantity",
        "sign",
        "not_increasing",
    }


def test_typing_in_a_proof_makes_no_older_data() -> None:
    ship = demo_ship("halvenmoor")
    bare = {name: value for name, value in copy.deepcopy(ship).items() if name != "printed_conditions"}
    assert data_digest(ship) == data_digest(bare)
    stored, posted = prepare_vessel(ship, id="a", revision=2).reference, prepare_vessel(bare).reference
    assert stored["digest"] == posted["digest"]
    assert stored["proof"] == {"state": "proved", "conditions": 4}
    assert posted["proof"] is None


def test_a_refusal_names_every_tank_and_every_table() -> None:
    """Four mistakes in four tables are four places, in one refusal."""
    ship = demo_ship("halvenmoor")
    ship["hydrostatics"]["rows"][5]["displacement"] = 1.0
    ship["cross_curves"]["heels"][3] = ship["cross_curves"]["heels"][2]
    for place in (1, 4):
        rows = ship["tanks"][place]["table"]["rows"]
        rows[3]["volume"] = rows[1]["volume"]
    with pytest.raises(Refusal) as refused:
        prepare_vessel(ship)
    places = {"/".join(error["pointer"].split("/")[2:4]) for error in refused.value.errors}
    assert {"hydrostatics/rows", "cross_curves/heels", "tanks/1", "tanks/4"} <= places
