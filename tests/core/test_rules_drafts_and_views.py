"""Ballast drafts of a tanker (MARPOL Annex I regulation 18.3), the view ahead (SOLAS V/22.1.1), and own limits: each
row below, at and above its limit, and what is missing is never a pass."""

from dataclasses import replace
from typing import Any

import pytest

from service.core.assessment import Assessment, assess
from service.core.errors import OutsideTable
from service.core.opening import DeckEdge
from service.core.own_limit import QUANTITIES, OwnLimit
from service.core.rules import marpol_annex_1_reg_18, own_limits, solas_v_22
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.situation import Situation
from service.core.stability import Rest
from service.core.vessel import Bridge, Propeller
from service.core.view import AirDraftPoint, Obstruction
from service.core.weight import Weight
from tests.core.barge import barge, loaded
from tests.core.ship import afloat, condition, details, just_around, particulars, situation, verdicts, vessel

OFF = OutsideTable("displacement", 9.0, 1.0, 2.0, "mass")
PROPELLER = Propeller(2.0, 2.0, 3.2)
BRIDGE = Bridge(12.0, 20.0, 95.0, 11.0, 100.0, 100.0)


def at(
    draft: float = 4.0, trim: float = 0.0, ship: dict[str, Any] | None = None, **changes: Any
) -> Situation:
    """L 100 m (load line and over all), on these drafts."""
    lengths = {"length_load_line": 100.0, "length_overall": 100.0}
    fields = {"particulars": particulars(**lengths), "propeller": PROPELLER, "bridge": BRIDGE, **(ship or {})}
    flotation = afloat(draft, trim=trim, draft_aft=draft + trim / 2.0, draft_forward=draft - trim / 2.0)
    given = {"given": condition(ballast=True), "flotation": flotation, **changes}
    found = situation(ship=vessel(**fields), **{**given, "flotation": flotation})
    if "flotation" in changes:
        found = replace(found, flotation=changes["flotation"])
    return found


# --- MARPOL Annex I, regulation 18 -------------------------------------------------------------------------------


def ballast(*args: Any, **changes: Any) -> list[Criterion]:
    return marpol_annex_1_reg_18.evaluate(at(*args, **changes))


def test_draft_amidships_of_two_metres_and_two_percent():
    found = [ballast(draft)[0] for draft in just_around(4.0)]
    assert verdicts(found) == [FAIL, PASS, PASS]
    assert (found[0].required, details(found[0])["length"]) == (4.0, 100.0)


def test_trim_of_one_and_a_half_percent():
    found = [ballast(5.0, trim)[1] for trim in just_around(1.5)]
    assert verdicts(found) == [PASS, PASS, FAIL]
    assert found[0].required == 1.5


def test_trim_by_the_head_fails():
    assert verdicts([ballast(5.0, trim)[1] for trim in (-0.01, 0.0)]) == [FAIL, PASS]


def test_full_immersion_of_the_propeller():
    found = [ballast(draft)[2] for draft in just_around(3.6)]
    assert verdicts(found) == [FAIL, PASS, PASS]
    assert found[1].attained == pytest.approx(100.0)


def test_a_condition_that_is_not_said_to_be_in_ballast_is_left_alone():
    found = marpol_annex_1_reg_18.evaluate(at(given=condition()))
    assert verdicts(found) == [NOT_APPLICABLE] * 3
    assert {row.because for row in found} == {"condition"}


def test_what_is_missing_is_never_a_pass():
    no_length = ballast(ship={"particulars": particulars(length_load_line=None)})
    assert verdicts(no_length) == [NOT_COMPUTABLE, NOT_COMPUTABLE, PASS]
    assert verdicts(ballast(ship={"propeller": None})) == [PASS, PASS, NOT_COMPUTABLE]
    lost = ballast(flotation=None, gaps={"flotation": OFF})
    assert verdicts(lost) == [NOT_COMPUTABLE] * 3
    assert {row.reason for row in lost} == {OFF.cause}


# --- SOLAS V/22 --------------------------------------------------------------------------------------------------


def view(*args: Any, **changes: Any) -> Criterion:
    (row,) = solas_v_22.evaluate(at(*args, **changes))
    return row


@pytest.mark.parametrize(("part", "verdict"), [(-1e-6, PASS), (0.0, PASS), (1e-6, FAIL)])
def test_hidden_for_two_lengths(part, verdict):
    """Eye 16 m above the water; what hides 200 m ahead of a bow 88 m away stands 16 (1 - 83 / 288) m above it."""
    top = 4.0 + 16.0 * (1.0 - 83.0 / 288.0) * (1.0 + part)
    row = view(ship={"bridge": replace(BRIDGE, obstruction_z=top)})
    assert row.verdict == verdict
    assert (row.attained, row.required) == (pytest.approx(200.0, rel=1e-4), 200.0)
    assert details(row) == {"obstruction": "her own", "eye_height": 16.0, "length_overall": 100.0}


def test_obstructions_of_the_vessel_and_of_the_condition_count():
    crane, stack = Obstruction("Crane", 60.0, 15.0), Obstruction("Stack", 60.0, 18.0)
    assert details(view(ship={"obstructions": (crane,)}))["obstruction"] == "Crane"
    row = view(ship={"obstructions": (crane,)}, given=condition(obstructions=(stack,)))
    assert (details(row)["obstruction"], row.verdict) == ("Stack", FAIL)


@pytest.mark.parametrize(("length", "verdict"), [(54.9, NOT_APPLICABLE), (55.0, PASS)])
def test_it_applies_from_55_m(length, verdict):
    row = view(12.0, ship={"particulars": particulars(length_overall=length)})
    assert row.verdict == verdict
    assert row.because == ("ship" if verdict == NOT_APPLICABLE else None)


def test_without_length_bridge_drafts_or_the_top_of_deck_cargo_it_is_not_computable():
    assert view(ship={"particulars": particulars()}).reason == "the booklet has no length over all"
    assert view(ship={"bridge": None}).verdict == NOT_COMPUTABLE
    assert view(flotation=None, gaps={"flotation": OFF}).reason == OFF.cause
    row = view(given=condition(deck_cargo_without_top=(0,)))
    assert (row.verdict, row.attained is not None) == (NOT_COMPUTABLE, True)


def test_deck_cargo_without_its_top_is_said():
    ship = vessel(rule_sets=("solas-v-22",))
    assessed = assess(ship, condition(deck_cargo_without_top=(0,)))
    found = [f for f in assessed.findings if f.code == "deck_cargo_without_top"]
    assert [(f.severity, f.place) for f in found] == [("caution", ("weights", 0))]
    assert "deck_cargo_without_top" not in {f.code for f in assess(ship, condition()).findings}


# --- own limits --------------------------------------------------------------------------------------------------

EDGE = DeckEdge(((0.0, 8.0, 9.0), (100.0, 8.0, 9.0)))
POINTS = (AirDraftPoint("Mast", 50.0, 28.0),)
FIGURES: dict[str, tuple[float, dict[str, Any]]] = {
    "draft_forward": (3.5, {}),
    "draft_aft": (4.5, {}),
    "draft_midship": (4.0, {}),
    "draft_greatest": (4.5, {}),
    "trim": (1.0, {}),
    "list": (2.0, {}),
    "propeller_immersion": (100.0 * (4.48 - 0.4) / 3.2, {}),
    "air_draft": (24.0, {}),
    "displacement": (9000.0, {}),
    "gm_corrected": (1.0, {}),
    "freeboard_least": (4.220637, {}),
}


def own(*limits: OwnLimit, condition_limits: tuple[OwnLimit, ...] = (), **changes: Any) -> list[Criterion]:
    ship = {"own_limits": limits, "deck_edge": EDGE, "air_draft_points": POINTS, **changes.pop("ship", {})}
    given = condition(
        own_limits=condition_limits, in_port=changes.pop("in_port", False), **changes.pop("cargo", {})
    )
    rest = changes.pop("rest", Rest(-2.0, None))
    return own_limits.evaluate(at(4.0, 1.0, ship=ship, given=given, rest=rest, **changes))


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_every_quantity_below_at_and_above_its_limit(quantity):
    (row,) = own(OwnLimit(quantity, 0.0, None))
    value, _ = FIGURES[quantity]
    assert row.attained == pytest.approx(value, rel=1e-6)
    least = [own(OwnLimit(quantity, limit, None))[0] for limit in just_around(row.attained)]
    most = [own(OwnLimit(quantity, None, limit))[0] for limit in just_around(row.attained)]
    assert verdicts(least) == [PASS, PASS, FAIL]
    assert verdicts(most) == [FAIL, PASS, PASS]
    assert least[0].row.id == f"own-limits-{quantity}-at-least-1"
    assert most[0].row.id == f"own-limits-{quantity}-at-most-1"


def test_only_a_limit_of_gm_moves_with_the_centre_of_gravity():
    """A metre of VCG is a metre of GM. Source: definition."""
    rows = [own(OwnLimit(quantity, 0.0, None))[0] for quantity in QUANTITIES]
    assert {row.row.key: row.vcg_effect for row in rows} == {**dict.fromkeys(QUANTITIES), "gm_corrected": 1.0}
    (most,) = own(OwnLimit("gm_corrected", None, 9.0))
    assert most.vcg_effect is None, (
        "a GM that may be too great does not come to its limit as the centre rises"
    )


def test_limits_are_counted_over_vessel_then_condition_and_keep_their_clause():
    limits = OwnLimit("trim", None, 2.0, clause="4.2", source="class notation"), OwnLimit("trim", -1.0, None)
    found = own(*limits, condition_limits=(OwnLimit("draft_greatest", None, 6.2, source="berth 4"),))
    assert [row.row.id for row in found] == [
        "own-limits-trim-at-most-1",
        "own-limits-trim-at-least-2",
        "own-limits-draft_greatest-at-most-3",
    ]
    assert (found[0].row.clause, found[0].row.source) == ("4.2", "class notation")
    assert found[2].row.source == "berth 4"


def test_a_limit_holds_at_sea_or_in_port_or_always():
    limits = [OwnLimit("trim", None, 0.1, when) for when in ("always", "at_sea", "in_port")]
    assert verdicts(own(*limits)) == [FAIL, FAIL, NOT_APPLICABLE]
    assert verdicts(own(*limits, in_port=True)) == [FAIL, NOT_APPLICABLE, FAIL]


def test_a_list_to_either_side_counts():
    rows = [own(OwnLimit("list", None, 1.0), rest=Rest(angle, None))[0] for angle in (1.5, -1.5, 0.5)]
    assert verdicts(rows) == [FAIL, FAIL, PASS]


def test_sag_and_hog_count_amidships_and_in_the_greatest_draft():
    """What her marks amidships would read. Source: common practice, no source."""
    limits = [OwnLimit(each, None, 9.0) for each in ("draft_greatest", "draft_midship", "draft_aft")]
    for deflection, expected in ((0.8, [4.8, 4.8, 4.5]), (-0.8, [4.5, 3.2, 4.5])):
        found = [row.attained for row in own(*limits, cargo={"deflection": deflection})]
        assert found == pytest.approx(expected)


@pytest.mark.parametrize(
    ("quantity", "changes"),
    [
        ("propeller_immersion", {"ship": {"propeller": None}}),
        ("air_draft", {"ship": {"air_draft_points": ()}}),
        ("freeboard_least", {"ship": {"deck_edge": None}}),
        ("freeboard_least", {"ship": {"deck_edge": DeckEdge(())}}),
        ("list", {"rest": Rest(None, None)}),
        ("air_draft", {"rest": Rest(None, None)}),
        ("gm_corrected", {"gm_corrected": None}),
        ("draft_aft", {"flotation": None}),
        ("trim", {"flotation": None}),
        ("draft_greatest", {"flotation": None, "gaps": {"flotation": OFF}}),
    ],
)
def test_what_she_has_no_data_for_is_not_computable(quantity, changes):
    (row,) = own(OwnLimit(quantity, None, 1e9), **changes)
    assert row.verdict == NOT_COMPUTABLE
    assert row.reason


def assessed(**changes: Any) -> Assessment:
    return assess(barge(strength=None), loaded(Weight(1000.0, 50.0, 5.0, 0.05), **changes))


def test_they_bind_where_there_are_any():
    found = assessed(own_limits=(OwnLimit("list", None, 0.5), OwnLimit("displacement", None, 3050.0)))
    rows = {c.row.id: c.verdict for rule_set, c in found.criteria if rule_set.name == "own-limits"}
    assert rows == {"own-limits-list-at-most-1": PASS, "own-limits-displacement-at-most-2": PASS}
    assert not [c for rule_set, c in assessed().criteria if rule_set.name == "own-limits"]
