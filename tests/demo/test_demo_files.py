"""The committed documents are what the code computes, and are laid out by it.

The rebuild is compared figure by figure: structure exactly, numbers within one of the last printed digit (another
machine's mathematics library may round a figure that stands on the half the other way).  The layout is compared
byte for byte.
"""

import json
from typing import Any

import pytest

from service import demo
from service.demo import booklet, build, halvenmoor, ostrel, quarrenby


@pytest.mark.long
@pytest.mark.parametrize(
    ("module", "ship"), [(halvenmoor, "halvenmoor"), (ostrel, "ostrel"), (quarrenby, "quarrenby")]
)
def test_rebuilt_document_is_the_committed_one(
    module: Any, ship: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All but the limit curve, which takes longest and is checked by what it means elsewhere."""
    committed = json.loads(demo.read_vessel(ship))
    monkeypatch.setattr(booklet, "vcg_limits", lambda *_: [(1.0, 2.0, 3.0)])
    rebuilt = json.loads(build.layout(module.document()))
    assert rebuilt["gm_limits"][0].keys() == committed["gm_limits"][0].keys()
    rebuilt.pop("gm_limits")
    committed.pop("gm_limits")
    assert list(rebuilt) == list(committed)
    compare(rebuilt, committed, ship)


def test_printed_conditions_of_quarrenby_are_what_her_solids_give() -> None:
    committed = json.loads(demo.read_printed_conditions("quarrenby"))
    conditions = {name: json.loads(demo.read_condition("quarrenby", name)) for name in quarrenby.PRINTED}
    compare(json.loads(build.layout(quarrenby.printed(conditions))), committed, "quarrenby")


def compare(new: Any, old: Any, path: str) -> None:
    """Same structure, same text, numbers within one of the last digit printed."""
    assert type(new) is type(old), path
    if isinstance(new, dict):
        assert list(new) == list(old), path
        for key in new:
            compare(new[key], old[key], f"{path}/{key}")
    elif isinstance(new, list):
        assert len(new) == len(old), path
        for index, (one, other) in enumerate(zip(new, old, strict=True)):
            compare(one, other, f"{path}/{index}")
    elif isinstance(new, float):
        digits = max(len(repr(value).partition(".")[2]) for value in (new, old))
        assert abs(new - old) <= 1.01 * 10.0**-digits, path
    else:
        assert new == old, path


@pytest.mark.parametrize("ship", demo.demo_vessel_ids())
def test_layout_is_stable(ship: str) -> None:
    documents = [demo.read_vessel(ship)]
    documents += [demo.read_condition(ship, name) for name in demo.condition_names(ship)]
    for text in documents:
        assert (build.layout(json.loads(text)) + "\n").encode() == text


def test_layout_puts_a_table_row_on_a_line() -> None:
    value = {"rows": [{"a": 1.0, "b": "x"}, {"a": 2.0, "b": "ä"}], "heels": [1.0, 2.0], "short": {"c": 1}}
    text = build.layout(value)
    assert '    {"a": 1.0, "b": "x"},\n    {"a": 2.0, "b": "ä"}\n' in text
    assert '  "heels": [1.0, 2.0],\n' in text
    assert json.loads(text) == value


def test_reading_the_package() -> None:
    assert demo.demo_vessel_ids() == ("halvenmoor", "ostrel", "quarrenby")
    assert json.loads(demo.read_vessel("halvenmoor"))["name"] == "Halvenmoor"
    assert "ballast-arrival" in demo.condition_names("halvenmoor")
    assert json.loads(demo.read_condition("ostrel", "departure-terminal"))["units"] == "us"


@pytest.mark.parametrize("name", ["", "..", "../vessels/halvenmoor", "nobody"])
def test_unknown_names_are_key_errors(name: str) -> None:
    for read in (demo.read_vessel, demo.condition_names, lambda n: demo.read_condition("halvenmoor", n)):
        with pytest.raises(KeyError):
            read(name)


@pytest.mark.parametrize("ship", demo.demo_vessel_ids())
def test_ids_are_kebab_case_and_sources_say_invented(ship: str) -> None:
    assert ship == ship.lower().replace(" ", "-")
    assert "invented" in json.loads(demo.read_vessel(ship))["source"]["booklet"]
