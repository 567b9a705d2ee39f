"""The sheet of a condition: what was kept comes back, what was mistyped is named, nothing is carried unseen."""

from typing import Any

import pytest

from service.demo import condition_names, demo_vessel_ids
from service.pages import wording
from service.pages.sheet import form, judge, layout, tanks, weights
from service.pages.sheet.merge import merge
from service.pages.sheet.numbers import NotANumber, has_decimal_comma, number_in
from service.wire.condition import Condition
from tests.api.office import condition_document, vessel_document

DEMOS = [(ship, name) for ship in demo_vessel_ids() for name in condition_names(ship)]


def read_back(document: dict[str, Any], vessel: dict[str, Any], **typed: str) -> layout.Read:
    fields = {**form.fields_of(document, vessel), **typed}
    return form.read(fields, document, vessel)


@pytest.mark.parametrize(("ship", "name"), DEMOS)
def test_a_condition_comes_back_as_it_was(ship: str, name: str) -> None:
    """Every digit: the form must not change what nobody touched."""
    document, vessel = condition_document(name, ship), vessel_document(ship)
    found = read_back(document, vessel)
    assert not found.wrong
    # a weight's TCG may be left out in a document; the form always says it
    weights = [{"tcg": 0.0, **weight} for weight in document["weights"]]
    assert found.document == {**document, "weights": weights}


EVERYTHING: dict[str, Any] = {
    "id": "a-name",
    "reference": "17/2",
    "axes": {"x_origin": "midship", "x_positive": "aft", "y_positive": "starboard"},
    "voyage": {"number": "3", "phase": "departure", "ballast": True},
    "grain": [{"hold": "hold-1", "filling": "partly_filled", "volume": 900.0, "stowage_factor": 1.42}],
    "wind_additions": [{"name": "Silo", "area": 10.0, "centroid_height": 12.0, "of": "Silo on hatch 1"}],
    "drafts_at": [12.5, 80.0],
    "passengers": [{"space": "SUN", "number": 240, "mass_each": 75.0}],
    "operation": {
        "lift": {"name": "Anchor", "mass": 22.0, "x": 40.0, "y": 14.0, "z": 24.0},
        "escort": {"heeling_moment": 9.0},
    },
    "dock_water": "exact",
    "inland": True,
    "icing": {
        "factor": 0.5,
        "surfaces": [{"name": "Hatch 1", "kind": "deck", "area": 40.0, "x": 60.0, "z": 9.0}],
        "timber_formula": {"freeboard": 3.0, "bow_flare_length": 12.0},
    },
    "obstructions": [{"name": "Silo", "x": 60.0, "z": 19.5, "y_from": -6.0, "y_to": 6.0}],
    "limits": [{"quantity": "draft_greatest", "at_most": 6.2, "when": "in_port", "clause": "4.2", "source": "Berth 4"}],
    "deflection": 0.02,
    "rule_sets": ["grain-code"],
    "observed": {
        "drafts": {"aft": 5.3, "midship": {"port": 5.1, "starboard": 5.0}},
        "mean": "quarter", "list": -0.5, "roll_period": 11.5,
    },
    "plan": {"kind": "voyage", "stages": [{"name": "Ocean", "days": 10.0}]},
}  # fmt: skip


def test_every_member_of_a_condition_comes_back() -> None:
    """Whatever the published condition may hold: a field each, or a line that names it."""
    timber = {"between_superstructures": True, "full_breadth": False, "secured": True, "absorption": 10.0}
    weight = {"name": "Logs", "category": "deck_cargo", "mass": 20.0, "lcg": 1.0, "vcg": 9.0, "tcg": 0.0}
    weight |= {"extent": {"x_from": 0.0, "x_to": 2.0}, "hold": "hold-1", "timber": timber}
    document = {**condition_document(), **EVERYTHING, "weights": [weight]}
    assert set(Condition.model_fields) <= set(document)
    Condition.model_validate(document)
    found = read_back(document, vessel_document())
    assert not found.wrong
    assert not found.missing
    assert found.document == document
    assert [line.words for line in layout.kept_lines(document)] == [
        "Entered under the id a-name",
        "A voyage in 1 stage: Ocean 10 days",
    ]


def test_what_is_kept_can_be_left_out() -> None:
    document = {**condition_document(), **EVERYTHING}
    assert "plan" not in read_back(document, vessel_document(), **{"keep:plan": "no"}).document


def test_blank_lines_stand_where_there_is_room() -> None:
    vessel = vessel_document()
    for numbers in ((layout.MOST_LINES - 1,), (0, 2, layout.MOST_LINES - 1), range(layout.MOST_LINES)):
        fields = {f"w:{n}:name": f"Weight {n}" for n in numbers}
        holds, others = weights.weight_lines(fields, vessel, {}, compare=False)
        shown = [int(line.n) for line in (*holds, *others)]
        assert (
            len(shown)
            == len(set(shown))
            == min(len(numbers) + len(vessel["holds"]) + weights.BLANK_WEIGHTS, layout.MOST_LINES)
        )
        assert set(numbers) <= set(shown) <= set(range(layout.MOST_LINES))


@pytest.mark.parametrize("typed", ["1,2,3", "12a", "--3", "nan", "inf", "1e5", "1" * 40, "٣", "1.2.3"])
def test_what_is_no_number_is_named_beside_its_field(typed: str) -> None:
    found = read_back(condition_document(), vessel_document(), **{"q:fo-db-5-p": typed})
    assert set(found.wrong) == {"q:fo-db-5-p"}


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        *(("41.5", 41.5), (" 41.50 ", 41.5), ("1 200", 1200.0), (".5", 0.5), ("44,3", 44.3), (",5", 0.5)),
        *(("1.200,5", 1200.5), ("1,200.5", 1200.5), ("\u22123", -3.0), ("0,625", 0.625)),
    ],
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
        "u:ballast": "volume",
        "d:wb-fore-peak": "1.010",
    }
    found = read_back(condition_document(), vessel_document(), **typed)
    lines = {line["tank"]: line for line in found.document["tanks"]}
    assert "fo-db-5-p" not in lines
    assert lines["wb-fore-peak"] == {"tank": "wb-fore-peak", "volume": 120.0, "density": 1.010}


def test_the_form_lists_every_tank_from_forward_to_aft() -> None:
    vessel = vessel_document()
    lines = tanks.in_ship_order(vessel)
    assert {tank["id"] for tank in lines} == {tank["id"] for tank in vessel["tanks"]}
    positions = [round(tank["lcg"], 1) for tank in lines]
    assert positions == sorted(positions, reverse=True)


def test_soundings_are_offered_only_where_the_table_has_them() -> None:
    own = {tank["id"]: tank for tank in vessel_document()["tanks"]}
    assert "sounding" in tanks.bases_of(own["fo-db-5-p"])
    assert "sounding" not in tanks.bases_of({**own["fo-db-5-p"], "table": None})


def test_a_hold_takes_a_line_of_its_own_and_gives_its_centre() -> None:
    typed = {"w:9:name": "Coils", "w:9:mass": "812", "w:9:at": "hold-1", "w:9:hold": "hold-1"}
    found = form.read(typed, form.empty_document(vessel_document()), vessel_document())
    hold = next(hold for hold in vessel_document()["holds"] if hold["id"] == "hold-1")
    (weight,) = found.document["weights"]
    assert (weight["lcg"], weight["vcg"], weight["hold"]) == (hold["lcg"], hold["vcg"], "hold-1")
    shown, others = weights.weight_lines(typed, vessel_document(), {}, compare=False)
    assert [line["name"] for line in shown] == ["Coils", ""]
    assert all(not line["name"] for line in others)


def test_a_weight_without_name_or_mass_is_named() -> None:
    found = read_back(condition_document(), vessel_document(), **{"w:40:lcg": "12"})
    assert set(found.missing) == {"w:40:name", "w:40:mass", "w:40:vcg"}
    assert ("weights", len(condition_document()["weights"])) in found.broken


def test_title_and_water_are_needed() -> None:
    found = read_back(condition_document(), vessel_document(), title=" ", water_density="")
    assert set(found.missing) == {"title", "water_density"}


@pytest.mark.parametrize(
    ("pointer", "name"),
    [
        ("/condition/tanks/0/fill", "q:fo-db-5-p"),
        ("/tanks/0/density", "d:fo-db-5-p"),
        ("/condition/weights/0/lcg", "w:2:lcg"),
        ("/condition/grain/0/volume", "grain:1:volume"),
        ("/condition/icing/factor", "icing.factor"),
        ("/condition/observed/drafts/aft", "o:aft"),
        ("/condition/water_density", "water_density"),
        ("/condition/nothing/list", None),
        ("/condition", None),
    ],
)
def test_places_of_a_refusal_find_their_field(pointer: str, name: str | None) -> None:
    document = {"tanks": [{"tank": "fo-db-5-p", "fill": 50.0}], "weights": []}
    fields = {"w:2:name": "Crew", "w:2:mass": "3", "grain:1:hold": "hold-1"}
    assert form.field_of(pointer, document, fields) == name


def test_a_comma_before_three_digits_is_not_guessed() -> None:
    with pytest.raises(NotANumber, match=r"can be read as 1\.838 or as 1838"):
        number_in("1,838")
    assert number_in("1,838", comma=True) == 1.838  # the sheet is typed with commas
    assert number_in("1,838", most=20.0) == 1.838  # no tank is 1838 m deep
    assert has_decimal_comma(["12", "44,3"])
    assert not has_decimal_comma(["12", "1,838", "Coils, 12,5"])


def test_a_figure_nobody_touched_keeps_its_quantity_in_another_unit() -> None:
    """The group is shown in m3, the document says percent: it still says so afterwards, to the digit."""
    document = {**form.empty_document(vessel_document()), "tanks": [{"tank": "fo-db-5-p", "fill": 96}]}
    fields = form.fields_of(document, vessel_document()) | {"u:fuel_oil": "volume"}
    states = {"fo-db-5-p": {"volume": 70.8384, "mass": 67.3, "fill": 96.0, "sounding": 1.0, "ullage": 0.2}}
    found = form.read(fields, document, vessel_document())
    groups = tanks.groups_of(fields, found.document, vessel_document(), states, {}, document, compare=True)
    shown = next(t for g in groups for t in g.tanks if t.tank["id"] == "fo-db-5-p")
    assert (shown.text, shown.unit, shown.was) == ("70.8", "volume", None)
    fields |= {"q:fo-db-5-p": shown.text, "k:fo-db-5-p": shown.kept}
    assert form.read(fields, document, vessel_document()).document["tanks"] == document["tanks"]
    fields["q:fo-db-5-p"] = "44,3"
    found = form.read(fields, document, vessel_document())
    assert found.document["tanks"] == [{"tank": "fo-db-5-p", "volume": 44.3}]
    groups = tanks.groups_of(fields, found.document, vessel_document(), {}, states, document, compare=True)
    shown = next(t for g in groups for t in g.tanks if t.tank["id"] == "fo-db-5-p")
    assert (shown.text, shown.was) == ("44,3", "70.8")


def test_three_states_are_put_together_and_conflicts_are_named() -> None:
    base = condition_document()
    changed = [t for t in base["tanks"] if t["tank"] not in ("wb-fore-peak", "fw-p")]
    mine = {
        **base,
        "tanks": [*changed, {"tank": "wb-fore-peak", "fill": 0.0}, {"tank": "fw-p", "volume": 20.0}],
    }
    theirs = {**base, "water_density": 1.02, "tanks": [*changed, {"tank": "wb-fore-peak", "fill": 10.0}, *[
        t for t in base["tanks"] if t["tank"] == "fw-p"]]}  # fmt: skip
    rest = [t for t in base["tanks"] if t["tank"] != "wb-fore-peak"]
    base = {**base, "tanks": [*rest, {"tank": "wb-fore-peak", "fill": 50.0}]}
    found = merge(base, mine, theirs, vessel_document(), {})
    assert [(c.label, c.theirs, c.mine) for c in found.both] == [("Fore peak", "10 % full", "0 % full")]
    assert [(c.label, c.theirs) for c in found.theirs] == [("Water, t/m³", "1.02")]
    assert [(c.label, c.mine) for c in found.mine] == [("Fresh water tank port", "20 m³")]
    lines = {t["tank"]: t for t in found.document["tanks"]}
    assert (found.document["water_density"], lines["fw-p"]["volume"], lines["wb-fore-peak"]["fill"]) == (
        1.02,
        20.0,
        0.0,
    )
    picked = merge(base, mine, theirs, vessel_document(), {found.both[0].name: "theirs"})
    assert {t["tank"]: t for t in picked.document["tanks"]}["wb-fore-peak"]["fill"] == 10.0


def test_no_two_lines_of_a_liquid_have_one_name_and_a_refusal_names_the_tank() -> None:
    vessel, document = vessel_document(), condition_document()
    groups = tanks.groups_of(
        form.fields_of(document, vessel), document, vessel, {}, {}, document, compare=False
    )
    for group in groups:
        labels = [line.label for line in group.lines]
        assert len(labels) == len(set(labels))
    told = judge.with_tank_name(
        "tank wb-fore-peak: volume: 300 is outside 0 to 240.",
        {"tanks": [{"tank": "wb-fore-peak", "volume": 300.0}]},
        ("tanks", 0, "volume"),
        wording.tank_names(vessel),
    )
    assert told == "Fore peak, volume: 300 is outside 0 to 240."
