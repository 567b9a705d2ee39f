"""The demonstration ships as vessels that the service holds."""

import json

import pytest

from service.actions.assess import Assessor
from service.actions.demo_vessel import find_demo_vessel
from service.demo import condition_names, demo_vessel_ids, read_condition, read_vessel
from service.wire.refusal import Refusal


@pytest.mark.parametrize("ship", demo_vessel_ids())
@pytest.mark.parametrize("revision", [None, 1])
def test_a_demonstration_ship_is_held_at_revision_1(ship, revision):
    found = find_demo_vessel(ship, revision)
    assert (found.reference["id"], found.reference["revision"]) == (ship, 1)
    assert found is find_demo_vessel(ship, revision)


@pytest.mark.parametrize(
    ("ship", "revision", "pointer"),
    [("none", None, "/vessel_id"), ("", None, "/vessel_id"), ("halvenmoor", 2, "/vessel_revision")],
)
def test_anything_else_is_refused(ship, revision, pointer):
    with pytest.raises(Refusal) as caught:
        find_demo_vessel(ship, revision)
    assert caught.value.code == "unknown_vessel"
    assert [error["pointer"] for error in caught.value.errors] == [pointer]


@pytest.mark.parametrize("ship", demo_vessel_ids())
def test_by_id_or_inline_the_answer_is_the_same(ship):
    condition = json.loads(read_condition(ship, condition_names(ship)[0]))
    assessor = Assessor(find_demo_vessel)
    named = assessor.assessment({"vessel_id": ship, "condition": condition})
    inline = assessor.assessment({"vessel": json.loads(read_vessel(ship)), "condition": condition})
    assert named.pop("provenance")["vessel"]["digest"] == inline.pop("provenance")["vessel"]["digest"]
    assert named == inline
