"""The working of draft surveys that stand alone: her own displacement off the tables, a table for one trim only.

Every node closes on its own inputs; the corrections are those of ECE/ENERGY/19.
"""

from typing import Any

import pytest

from service.core.assessment import assess
from service.translation.answer import full_answer
from service.translation.condition import condition_of
from service.translation.prepared_vessel import prepare_vessel, validated
from service.translation.units import SCALES
from service.translation.working.shapes import nodes_of
from service.translation.working.worksheet import sheet_of
from service.wire.condition import Condition
from tests.published.box_vessel import condition as box_condition
from tests.published.box_vessel import vessel as box
from tests.translation.test_working import closes

READ = {"aft": {"port": 4.6, "starboard": 4.5}, "midship": {"port": 4.33, "starboard": 4.2}, "forward": 4.0}


def worked(mass: float, units: str, trim: float = 0.0) -> list[Any]:
    """Nodes of a box in dock water whose condition lists so many t beside her lightship, all closed."""
    vessel = box()
    for row in vessel["hydrostatics"]["rows"]:
        row["trim"] = trim
    aboard = box_condition(mass, 50.0, 6.0) | {"tanks": [], "water_density": 1.016}
    aboard["observed"] = {"drafts": READ, "mean": "quarter"}
    ready, wire = prepare_vessel(vessel), validated(Condition, aboard, ("condition",))
    found = assess(ready.vessel, condition_of(wire, ready.vessel, ready.axes))
    answer = full_answer(found, SCALES[units], ready.reference, wire.title)
    nodes = nodes_of(sheet_of(found, answer, SCALES[units], vessel, aboard))
    closes(answer, nodes, {"vessel": vessel, "condition": aboard})
    return nodes


@pytest.mark.parametrize("units", SCALES)
def test_what_is_listed_may_be_off_the_tables(units: str):
    """A survey is made because much of what is aboard is not listed: too little or too much is no reason to fail."""
    for mass in (0.0, 60_000.0):
        assert any(node["path"] == "/draft_survey/displacement" for node in worked(mass, units))


@pytest.mark.parametrize("units", SCALES)
def test_a_table_for_one_trim_alone(units: str):
    by_id = {node["id"]: node for node in worked(5000.0, units, trim=1.0)}
    factor = 1.0 if units == "metric" else 1.0 / 0.3048
    beyond = by_id["survey/trim"]["value"] - 1.0 * factor
    assert by_id["survey/trim_beyond_table"]["value"] == pytest.approx(beyond, abs=1e-12)
