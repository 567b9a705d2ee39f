"""The request documents: strict types, described fields, bounds, names that hide nothing."""

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest
from pydantic import BaseModel, ValidationError

from service.demo import demo_vessel_ids, read_vessel
from service.wire.condition import Condition
from service.wire.fields import Document
from service.wire.problem import MAX_ECHO, errors_of
from service.wire.request import AssessmentRequest
from service.wire.vessel import Vessel

CONDITION: dict[str, Any] = {
    "units": "metric",
    "title": "Avresa, däckslast",
    "voyage": {"number": "17", "from": "A", "to": "B", "phase": "departure"},
    "water_density": 1.025,
    "free_surface": {"basis": "as_filled"},
    "tanks": [{"tank": "DB2P", "contents": "ballast", "fill": 62}, {"tank": "No. 1 DB/S", "mass": 12.5}],
    "weights": [{"name": "Coils", "category": "cargo", "mass": 812.0, "lcg": 51.2, "vcg": 3.9}],
    "load_line_mark": "S",
    "observed": {"drafts": {"aft": 5.3}, "list": -0.5},
}


def models(base: type[BaseModel] = Document) -> list[type[BaseModel]]:
    """Every request model."""
    return [model for kind in base.__subclasses__() for model in (kind, *models(kind))]


@pytest.mark.parametrize("model", models(), ids=lambda model: model.__name__)
def test_every_field_is_described_and_every_figure_has_units(model: type[BaseModel]) -> None:
    assert model.__doc__
    assert model.model_config["extra"] == "forbid"
    assert model.model_config["strict"] is True
    for name, part in model.model_json_schema()["properties"].items():
        assert part.get("description"), f"{model.__name__}.{name} has no description"
        kinds = [part, *part.get("anyOf", ())]
        if any(kind.get("type") == "number" for kind in kinds) and "coefficient" not in name:
            assert any("x-units" in kind for kind in kinds), f"{model.__name__}.{name} has no units"


def test_a_condition_is_read() -> None:
    condition = Condition.model_validate(CONDITION)
    assert condition.tanks[0].fill == 62
    assert condition.weights[0].tcg == 0
    assert condition.voyage is not None
    assert condition.voyage.origin == "A"


@pytest.mark.parametrize("vessel_id", demo_vessel_ids())
def test_the_demonstration_vessels_are_read(vessel_id: str) -> None:
    document = json.loads(read_vessel(vessel_id))
    vessel = Vessel.model_validate(document)
    assert vessel.name == document["name"]
    assert len(vessel.tanks) == len(document["tanks"])


def _set(*path: str | int, to: Any) -> Callable[[dict[str, Any]], None]:
    def change(document: Any) -> None:
        for step in path[:-1]:
            document = document[step]
        document[path[-1]] = to

    return change


WRONG = {
    "true as a number": (_set("water_density", to=True), "/water_density", "float_type"),
    "text as a number": (_set("water_density", to="1.025"), "/water_density", "float_type"),
    "number as a text": (_set("title", to=7), "/title", "string_type"),
    "list as a number": (_set("weights", 0, "mass", to=[1]), "/weights/0/mass", "float_type"),
    "null where required": (_set("units", to=None), "/units", "literal_error"),
    "unknown units": (_set("units", to="imperial"), "/units", "literal_error"),
    "unknown member": (_set("tanks", 0, "filling", to=3), "/tanks/0/filling", "extra_forbidden"),
    "object as a list": (_set("tanks", to={}), "/tanks", "list_type"),
    "density too low": (_set("water_density", to=0.49), "/water_density", "greater_than_equal"),
    "density too high": (_set("tanks", 0, "density", to=2.01), "/tanks/0/density", "less_than_equal"),
    "negative filling": (_set("tanks", 0, "fill", to=-1e-9), "/tanks/0/fill", "greater_than_equal"),
    "negative tank mass": (_set("tanks", 1, "mass", to=-1), "/tanks/1/mass", "greater_than_equal"),
    "infinite mass": (_set("weights", 0, "mass", to=float("inf")), "/weights/0/mass", "finite_number"),
    "NaN mass": (_set("weights", 0, "mass", to=float("nan")), "/weights/0/mass", "finite_number"),
    "absurd mass": (_set("weights", 0, "mass", to=1e8), "/weights/0/mass", "less_than_equal"),
    "empty name": (_set("weights", 0, "name", to=""), "/weights/0/name", "string_too_short"),
    "long name": (_set("weights", 0, "name", to="x" * 201), "/weights/0/name", "string_too_long"),
    "NUL in a name": (_set("title", to="a\0b"), "/title", "string_pattern_mismatch"),
    "line break in a name": (_set("title", to="a\nb"), "/title", "string_pattern_mismatch"),
    "delete in a name": (_set("title", to="a\x7fb"), "/title", "string_pattern_mismatch"),
    "right-to-left override": (_set("title", to="a\u202eb"), "/title", "string_pattern_mismatch"),
    "isolate": (_set("title", to="a\u2066b"), "/title", "string_pattern_mismatch"),
    "zero width space": (_set("title", to="a\u200bb"), "/title", "string_pattern_mismatch"),
    "line break after an id": (_set("tanks", 0, "tank", to="DB2\n"), "/tanks/0/tank", "string_pattern_mismatch"),
    "markup in an id": (_set("tanks", 0, "tank", to="<b>"), "/tanks/0/tank", "string_pattern_mismatch"),
    "id too long": (_set("tanks", 0, "tank", to="D" * 65), "/tanks/0/tank", "string_pattern_mismatch"),
    "unknown category": (_set("weights", 0, "category", to="gold"), "/weights/0/category", "literal_error"),
    "unknown mark": (_set("load_line_mark", to="X"), "/load_line_mark", "literal_error"),
    "too many tanks": (_set("tanks", to=[{"tank": "T", "fill": 1}] * 501), "/tanks", "too_long"),
    "name of a mark": (_set("observed", "drafts", "a/b\0", to=1), "/observed/drafts/a~1b\0", "string_pattern_mismatch"),
}  # fmt: skip


@pytest.mark.parametrize(("change", "pointer", "code"), WRONG.values(), ids=WRONG.keys())
def test_what_is_wrong_is_named(change: Callable[[Any], None], pointer: str, code: str) -> None:
    document = copy.deepcopy(CONDITION)
    change(document)
    with pytest.raises(ValidationError) as invalid:
        Condition.model_validate(document)
    found = errors_of(invalid.value, ("condition",))
    assert {"pointer": "/condition" + pointer, "code": code} in [
        {"pointer": entry["pointer"], "code": entry["code"]} for entry in found
    ]


def test_missing_members_are_named() -> None:
    with pytest.raises(ValidationError) as invalid:
        AssessmentRequest.model_validate({"condition": {}})
    missing = {entry["pointer"] for entry in errors_of(invalid.value) if entry["code"] == "missing"}
    assert missing == {
        f"/condition/{name}"
        for name in ("units", "title", "water_density", "free_surface", "tanks", "weights")
    }


def test_errors_repeat_no_posted_value_and_are_bounded() -> None:
    secret = "S3CRET" * 30
    document = {
        **CONDITION,
        secret: 1,
        "units": secret,
        "title": secret + "\0",
        "tanks": [{"tank": secret}] * 200,
    }
    with pytest.raises(ValidationError) as invalid:
        Condition.model_validate(document)
    found = errors_of(invalid.value)
    assert len(found) == 50
    assert not any("S3CRET" in entry["detail"] for entry in found)
    assert all(len(entry["pointer"]) <= MAX_ECHO + 20 for entry in found)
