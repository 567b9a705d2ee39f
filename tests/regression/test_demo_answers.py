"""The demonstration conditions give the figures that were frozen (see demo_answers.py: our own numbers, no proof)."""

import json

import pytest

from tests.regression.demo_answers import FOLDER, computed, demo_conditions, inputs, moved, path_of

COMMAND = "python -m tests.regression.demo_answers"


@pytest.mark.parametrize(("ship", "name"), demo_conditions())
def test_figures_are_those_frozen(ship, name):
    """Within 1e-9 relative, for the same calculation version and the same documents."""
    path = path_of(ship, name)
    assert path.exists(), f"not frozen yet: {COMMAND}"
    frozen, now = json.loads(path.read_text()), computed(ship, name)
    assert inputs(frozen) == inputs(now), f"version or demo documents changed: {COMMAND}"
    lines = moved(frozen["figures"], now["figures"])
    assert not lines, "\n".join(["figures moved: bump CALCULATION_VERSION if they should", *lines[:20]])


def test_nothing_is_frozen_that_is_gone():
    kept = {str(path_of(ship, name)) for ship, name in demo_conditions()}
    assert {str(path) for path in FOLDER.rglob("*.json")} == kept


def test_a_moved_figure_is_seen():
    assert moved({"/a": 1.0, "/v": "pass"}, {"/a": 1.0 + 1e-12, "/v": "pass"}) == []
    assert moved({"/a": 1.0}, {"/a": 1.0 + 1e-8}) == ["/a: 1.0 -> 1.00000001"]
    assert moved({"/v": "pass"}, {"/v": "fail"}) == ["/v: pass -> fail"]
    assert moved({"/a": 1.0}, {}) == ["/a: 1.0 -> absent"]
    assert moved({"/a": None}, {"/a": 0.0}) == ["/a: None -> 0.0"]
