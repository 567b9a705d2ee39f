"""Figures of a box of 100 m by 20 m by 10 m as documents, to nine decimals: timber, ice, what would help, the working.

Source: closed form, worked by hand outside this service. A tonne in a tank lands on its surface and its free surface
moment stays; trim and list of nothing are linear in masses (scipy linprog); KM between rows is linear in its product
with the displacement. Rates of ice: 2008 IS Code Part B 6.3 (value from memory).
"""

import json
from typing import Any

import pytest

from service.actions.assess import Assessor
from service.actions.propose_remedy import remedies
from service.translation.assess_documents import assess_documents
from service.translation.prepared_vessel import PreparedVessel, prepare_vessel
from service.translation.sensitivities import sensitivities
from tests.published.box_vessel import SALT, condition
from tests.published.box_vessel import vessel as box

Json = dict[str, Any]


def wing(id: str, y: float) -> Json:
    """20 m by 3 m from 1.5 m above the baseline to 8.5 m."""
    rows = [
        {"sounding": z, "volume": 60.0 * z, "lcg": 50.0, "vcg": 1.5 + z / 2.0, "tcg": y, "free_surface_inertia": 45.0}
        for z in (0.0, 3.5, 7.0)
    ]  # fmt: skip
    side = "port" if y > 0.0 else "starboard"
    return {
        "id": id, "name": id, "side": side, "contents": "ballast", "capacity": 420.0, "lcg": 50.0, "vcg": 5.0,
        "tcg": y, "table": {"rows": rows},
    }  # fmt: skip


def ship(**more: Any) -> Json:
    """The box with wing tanks, two decks that ice, and the lateral area of 860 m2 at 3 m and 760 m2 at 4 m."""
    document = box(**more)
    document["tanks"] += [wing("WTP", 8.5), wing("WTS", -8.5)]
    document["icing_surfaces"] = [
        {"name": "Deck", "kind": "deck", "area": 1800.0, "x": 52.0, "z": 10.0},
        {"name": "House top", "kind": "deck", "area": 120.0, "x": 12.0, "z": 18.0},
    ]
    document["wind_profile"] = [
        {"draft": 3.0, "area": 860.0, "centroid_height": 7.895348837209302},
        {"draft": 4.0, "area": 760.0, "centroid_height": 8.473684210526315},
        {"draft": 5.0, "area": 660.0, "centroid_height": 9.075757575757576},
    ]
    return document


@pytest.fixture(scope="module")
def prepared() -> PreparedVessel:
    return prepare_vessel(ship())


def aboard(cargo: Json, tanks: dict[str, float] | None = None, **more: Any) -> Json:
    document = condition(cargo["mass"], cargo["lcg"], cargo["vcg"], **more)
    document["tanks"] = [{"tank": id, "density": SALT, "mass": mass} for id, mass in (tanks or {}).items()]
    return document


CARGO = {"mass": 6000.0, "lcg": 50.0, "vcg": 4.5}


def test_absorbed_water_is_its_own_line(prepared):
    document = aboard(CARGO, wind_additions=[{"name": "Timber", "area": 210.0, "centroid_height": 11.8}])
    stow = {"absorption": 10.0, "between_superstructures": True, "full_breadth": True, "secured": True}
    document["weights"].append(
        {"name": "Timber on deck", "category": "deck_cargo", "mass": 900.0, "lcg": 55.0, "vcg": 12.0, "timber": stow}
    )  # fmt: skip
    answer = assess_documents(prepared, document, "full", None)
    (water,) = answer["added_weights"]
    assert (water["mass"], water["vcg"]) == pytest.approx((90.0, 12.0), abs=1e-9)
    assert answer["displacement"] == pytest.approx(9040.0, abs=1e-6)
    assert answer["vcg_solid"] == pytest.approx(5.661504425, abs=1e-9)
    assert answer["stability"]["gm_corrected"] == pytest.approx(4.102522249, abs=1e-3)


def test_ice_on_decks_and_sides(prepared):
    answer = assess_documents(
        prepared, aboard({**CARGO, "mass": 6150.0}, icing={"factor": 1.0}), "full", None
    )
    masses = {row["name"]: row["mass"] for row in answer["added_weights"]}
    assert masses == pytest.approx({"Deck": 54.0, "House top": 3.6, "Sides": 11.97}, abs=1e-6)
    (sides,) = (row for row in answer["added_weights"] if row["name"] == "Sides")
    assert sides["vcg"] == pytest.approx(8.877192982, abs=1e-6)
    assert answer["icing"]["mass"] == pytest.approx(69.57, abs=1e-6)
    assert answer["stability"]["gm_corrected"] == pytest.approx(5.360500397, abs=1e-3)
    assert answer["icing"]["gm_loss"] == pytest.approx(0.097832937, abs=2e-3)


SENSITIVE = {
    "WTP": {"gm_corrected": -0.000580701, "list": 0.015054988, "trim": 0.0, "draft_at_lcf": 0.000487805},
    "APT": {"gm_corrected": -0.000257091, "list": 0.0, "trim": 0.002634146, "draft_at_lcf": 0.000487805},
}
ROOM = {"gm_corrected": 2e-7, "list": 2e-6, "trim": 1e-9, "draft_at_lcf": 1e-9}


def test_a_tonne_more_in_a_tank(prepared):
    cargo = {"mass": 5000.0, "lcg": 52.0, "vcg": 6.0}
    document = aboard(cargo, {"WTP": 150.0, "WTS": 150.0, "APT": 300.0})
    rows = sensitivities({"condition": document, "tanks": list(SENSITIVE)}, prepared)["tanks"]
    assert [row["tank"] for row in rows] == list(SENSITIVE)
    for row in rows:
        for figure, expected in SENSITIVE[row["tank"]].items():
            assert row[figure] == pytest.approx(expected, abs=ROOM[figure]), (row["tank"], figure)


def test_the_least_mass_in_one_tank_that_cures_a_list(prepared):
    document = aboard({"mass": 5000.0, "lcg": 50.0, "vcg": 6.0}, {"WTP": 100.0, "WTS": 0.0})
    crane = {"name": "Crane", "category": "cargo", "mass": 30.0, "lcg": 50.0, "vcg": 12.0, "tcg": 6.0}
    document["weights"].append(crane)
    document["limits"] = [{"quantity": "list", "at_most": 0.5}]
    (row,) = remedies({"condition": document, "mode": "single", "tanks": ["WTS"]}, prepared)["remedies"]
    assert row["mass_to"] == pytest.approx(82.124709186, abs=0.3)
    assert row["assessment"]["flotation"]["list"]["angle"] == pytest.approx(0.5, abs=0.005)
    assert row["verdict"] == "pass"


def test_least_ballast_for_even_keel_and_no_list(prepared):
    document = aboard({"mass": 4000.0, "lcg": 47.0, "vcg": 5.0})
    gear = {"name": "Gear", "category": "cargo", "mass": 60.0, "lcg": 50.0, "vcg": 8.0, "tcg": -5.0}
    document["weights"].append(gear)
    targets = [{"quantity": "trim", "equal": 0.0}, {"quantity": "list", "equal": 0.0}]
    asked = {"mode": "shift", "tanks": ["APT", "FPT", "WTP", "WTS"], "targets": targets}
    found = remedies({"condition": document, **asked}, prepared)
    assert found["moved"] == pytest.approx(301.960784314, abs=0.5)
    masses = {line["tank"]: line["mass"] for line in found["condition"]["tanks"]}
    assert masses["FPT"] == pytest.approx(266.666666667, abs=0.5)
    assert masses["WTP"] == pytest.approx(35.294117647, abs=0.5)
    assert found["assessment"]["flotation"]["trim"] == pytest.approx(0.0, abs=1e-3)
    assert found["assessment"]["flotation"]["list"]["angle"] == pytest.approx(0.0, abs=0.02)


def test_km_is_worked_between_two_rows_and_gm_from_it():
    """Rows from a draft of 0.5 m, 5 cm apart: 7350 t lies between those of 3.55 and 3.60 m."""
    vessel, document = ship(), aboard({"mass": 5000.0, "lcg": 52.0, "vcg": 6.0}, {"APT": 300.0})
    extra = [{**vessel["hydrostatics"]["rows"][0], **row(0.5 + 0.05 * k)} for k in range(10)]
    vessel["hydrostatics"]["rows"] = extra + vessel["hydrostatics"]["rows"]
    body = json.dumps({"vessel": vessel, "condition": document}).encode()
    answer = json.loads(Assessor().worked_answer(body))
    nodes = {node["id"]: node for node in answer["working"]}
    inputs = {given["symbol"]: given for given in nodes["km"]["inputs"]}
    assert nodes["km"]["kind"] == "product_interpolation"
    assert inputs["x0"]["value"] == pytest.approx(7277.5, abs=1e-6)
    assert inputs["y0"]["value"] == pytest.approx(11.164671362, abs=1e-9)
    assert inputs["y1"]["from"]["pointer"] == "/hydrostatics/rows/62/km"
    assert nodes["km"]["value"] == pytest.approx(11.089807256, abs=1e-6)
    assert nodes["gm_corrected"]["expression"] == "KM - KG - FSC"
    assert nodes["gm_corrected"]["value"] == pytest.approx(4.375438721, abs=1e-3)
    assert nodes["gm_corrected"]["path"] == "/stability/gm_corrected"


def row(draft: float) -> dict[str, float]:
    km = draft / 2.0 + 400.0 / (12.0 * draft)
    return {"draft": draft, "displacement": 2050.0 * draft, "km": km, "vcb": draft / 2.0}
