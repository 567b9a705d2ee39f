"""Which rule sets exist, what each brings, and which of them bind a ship in a condition."""

import pytest

from service.core.grain import FILLED_TRIMMED, VCG_OF_CARGO, GrainLine
from service.core.own_limit import QUANTITIES
from service.core.rules.catalogue import CATALOGUE, NAMES, binding_sets
from service.core.rules.limit import AT_LEAST, AT_MOST
from tests.core.ship import RULE_SETS, condition, vessel

PREFIXES = ("is-code-2008-a-2.2", "is-code-2008-a-2.3", "grain-code")
"""Sets whose rows carry the number of their own clause."""


def bound(ship, given) -> list[str]:
    return [rule_set.name for rule_set in binding_sets(ship, given)]


def test_names_and_ids_of_the_catalogue():
    """Public names are part of the interface; no id stands twice; every row names unit, source and key."""
    assert [name for name in CATALOGUE if name in RULE_SETS] == list(RULE_SETS)
    every = [row.id for rule_set in CATALOGUE.values() for row in rule_set.limits]
    assert len(every) == len(set(every))
    for rule_set in CATALOGUE.values():
        ids = [row.id for row in rule_set.limits]
        assert len(ids) == len(set(ids))
        assert rule_set.edition
        assert rule_set.document
        assert (rule_set.evaluate is None) is not (rule_set.evaluate_upright is None)
        assert all(row.id.startswith(rule_set.name) or rule_set.name in PREFIXES for row in rule_set.limits)
        for row in rule_set.limits:
            assert all((row.clause, row.title, row.quantity, row.unit, row.source, row.key))
            assert row.comparison in (AT_LEAST, AT_MOST)


def test_what_each_rule_set_brings():
    """The rule for free surfaces of its document, whether only openings that close by themselves stay dry, and whether
    it can stand for a stability document."""
    us = [name for name in CATALOGUE if name.startswith("46-cfr")]
    code = [name for name in CATALOGUE if name.startswith("is-code-2008")]
    assert (len(us), len(code)) == (8, 11)
    assert {name: rule_set.surfaces for name, rule_set in CATALOGUE.items()} == {
        **dict.fromkeys(code, "imo"),
        **dict.fromkeys(us, "cfr"),
        "marpol-annex-1-reg-27": "imo",
        "grain-code": None,
        "vessel-gm-limits": None,
        "vessel-strength": None,
        "load-lines": None,
        "own-limits": None,
        "marpol-annex-1-reg-18": None,
        "solas-v-22": None,
        "afloat": None,
    }
    assert {n for n, rule_set in CATALOGUE.items() if rule_set.automatic_closure} == {*us} - {
        "46-cfr-170.170"
    }
    assert {n for n, rule_set in CATALOGUE.items() if not rule_set.judges_stability} == {
        "vessel-strength",
        "load-lines",
        "own-limits",
        "marpol-annex-1-reg-18",
        "solas-v-22",
        "afloat",
        "is-code-2008-b-2.9",
    }
    assert {n: s.excludes for n, s in CATALOGUE.items() if s.excludes} == {
        "is-code-2008-a-2.2.3-alternative": ("is-code-2008-a-2.2",),
        "is-code-2008-a-3.3": ("is-code-2008-a-2.2",),
    }
    assert {n for n, s in CATALOGUE.items() if s.choose is not None} == {
        "46-cfr-170.173",
        "46-cfr-172.090",
        "46-cfr-173.095",
    }
    assert {n: s.brings for n, s in CATALOGUE.items() if s.brings} == {
        "is-code-2008-a-3.1": ("is-code-2008-a-2.2", "is-code-2008-a-2.3"),
        "46-cfr-174.185": ("46-cfr-170.170",),
    }


def test_names_of_before_mean_the_set_of_today():
    assert {
        **{name: name for name in CATALOGUE},
        "46-cfr-170.173-b": "46-cfr-170.173",
        "46-cfr-170.173-c": "46-cfr-170.173",
    } == NAMES


# --- what binds ------------------------------------------------------------------------------------------------

GRAIN = (GrainLine(0, FILLED_TRIMMED, None, 1.3, None, VCG_OF_CARGO),)


def test_afloat_binds_every_ship():
    assert bound(vessel(), condition()) == ["afloat"]
    assert bound(vessel(rule_sets=("afloat",)), condition(rule_sets=("afloat",))) == ["afloat"]


def test_load_lines_bind_where_the_booklet_prints_a_mark():
    assert bound(vessel(load_line_drafts={"S": 6.0}), condition()) == ["load-lines", "afloat"]
    assert bound(vessel(load_line_drafts={}), condition()) == ["afloat"]
    assert bound(vessel(load_line_drafts={}, rule_sets=("load-lines",)), condition()) == [
        "load-lines",
        "afloat",
    ]


def test_the_grain_code_binds_where_there_is_grain():
    assert bound(vessel(), condition(grain=GRAIN)) == ["grain-code", "afloat"]


@pytest.mark.parametrize("by", ["ship", "condition", "both"])
def test_a_condition_adds_to_the_ships_sets_and_takes_none_away(by):
    name = ("is-code-2008-a-2.2",)
    ship = vessel(rule_sets=name if by in ("ship", "both") else ())
    given = condition(rule_sets=name if by in ("condition", "both") else ("vessel-gm-limits",))
    expected = ["is-code-2008-a-2.2", *([] if by != "ship" else ["vessel-gm-limits"]), "afloat"]
    assert bound(ship, given) == expected


def test_sets_come_in_the_order_of_the_catalogue_each_once():
    given = condition(rule_sets=(*reversed(RULE_SETS), "46-cfr-170.173-b", "46-cfr-170.173-c"))
    assert bound(vessel(rule_sets=RULE_SETS), given) == [*RULE_SETS, "afloat"]


@pytest.mark.parametrize("name", ["46-cfr-170.173", "46-cfr-170.173-b", "46-cfr-170.173-c"])
def test_either_paragraph_named_binds_the_whole_section(name):
    assert bound(vessel(rule_sets=(name,)), condition()) == ["46-cfr-170.173", "afloat"]


def test_a_set_that_stands_instead_of_another_keeps_it_from_being_brought():
    """A passenger ship brings A 2.2 and 2.3; with timber on deck A 3.3 stands instead of the former."""
    names = ("is-code-2008-a-3.1", "is-code-2008-a-3.3")
    expected = ["is-code-2008-a-2.3", "is-code-2008-a-3.3", "is-code-2008-a-3.1", "afloat"]
    assert sorted(bound(vessel(rule_sets=names), condition())) == sorted(expected)
    assert "is-code-2008-a-2.2" in bound(vessel(rule_sets=names[:1]), condition())


GENERAL = (
    *("is-code-2008-a-2", "is-code-2008-a-3.3", "grain-code", "46-cfr-170", "vessel-gm-limits"),
    *("vessel-strength", "load-lines", "own-limits", "marpol-annex-1-reg-18", "solas-v-22", "afloat"),
)
"""Sets for every type of ship."""


# --- keys ------------------------------------------------------------------------------------------------------


def test_what_is_measured_has_one_key_in_every_document():
    """Rows of different documents that measure the same carry the same key."""
    keys = {row.id: row.key for rule_set in CATALOGUE.values() for row in rule_set.limits}
    general = {id: key for id, key in keys.items() if id.startswith(GENERAL)}
    assert general == {
        "is-code-2008-a-2.2.1-area-to-30": "area_to_30",
        "is-code-2008-a-2.2.1-area-to-40": "area_to_40",
        "is-code-2008-a-2.2.1-area-30-to-40": "area_30_to_40",
        "is-code-2008-a-2.2.2-lever": "greatest_lever_from_30",
        "is-code-2008-a-2.2.3-angle-of-maximum": "angle_of_maximum",
        "is-code-2008-a-2.2.4-initial-gm": "gm",
        "is-code-2008-a-2.2.3-alternative-area-to-30": "area_to_30",
        "is-code-2008-a-2.2.3-alternative-area-to-40": "area_to_40",
        "is-code-2008-a-2.2.3-alternative-area-30-to-40": "area_30_to_40",
        "is-code-2008-a-2.2.3-alternative-lever": "greatest_lever_from_30",
        "is-code-2008-a-2.2.3-alternative-angle-of-maximum": "angle_of_maximum",
        "is-code-2008-a-2.2.3-alternative-initial-gm": "gm",
        "is-code-2008-a-2.2.3-alternative-angle": "angle_of_maximum",
        "is-code-2008-a-2.2.3-alternative-area": "area_to_maximum",
        "is-code-2008-a-2.3.1-steady-wind": "steady_wind_angle",
        "is-code-2008-a-2.3.1-areas": "weather_areas",
        "is-code-2008-a-3.3.2-area": "area_to_40",
        "is-code-2008-a-3.3.2-lever": "greatest_lever",
        "is-code-2008-a-3.3.2-gm": "gm",
        "is-code-2008-a-3.3-area-to-30": "area_to_30",
        "is-code-2008-a-3.3-area-to-40": "area_to_40",
        "is-code-2008-a-3.3-area-30-to-40": "area_30_to_40",
        "is-code-2008-a-3.3-lever": "greatest_lever_from_30",
        "is-code-2008-a-3.3-angle-of-maximum": "angle_of_maximum",
        "is-code-2008-a-3.3-initial-gm": "gm",
        "grain-code-a-7.1.1-heel": "grain_heel",
        "grain-code-a-7.1.2-residual-area": "grain_residual_area",
        "grain-code-a-7.1.3-initial-gm": "gm",
        "46-cfr-170.170-gm": "gm",
        "46-cfr-170.173-b-gm": "gm",
        "46-cfr-170.173-b-lever": "greatest_lever_from_30",
        "46-cfr-170.173-b-angle": "angle_of_maximum",
        "46-cfr-170.173-b-area-to-30": "area_to_30",
        "46-cfr-170.173-b-area-to-40": "area_to_40",
        "46-cfr-170.173-b-area-30-to-40": "area_30_to_40",
        "46-cfr-170.173-c-gm": "gm",
        "46-cfr-170.173-c-angle": "angle_of_maximum",
        "46-cfr-170.173-c-area-to-40": "area_to_40",
        "46-cfr-170.173-c-area-30-to-40": "area_30_to_40",
        "46-cfr-170.173-c-area-to-maximum": "area_to_maximum",
        "vessel-gm-limits-min-gm": "gm",
        "vessel-gm-limits-max-vcg": "vcg",
        "vessel-strength-shear": "shear_force",
        "vessel-strength-bending": "bending_moment",
        "vessel-strength-between-stations": "between_stations",
        "vessel-strength-hold-mass": "hold_mass",
        "vessel-strength-hold-mass-least": "hold_mass",
        "vessel-strength-adjacent-holds": "hold_mass",
        "vessel-strength-adjacent-holds-least": "hold_mass",
        "load-lines-draft": "draft_midship",
        "load-lines-low-side": "draft_low_side",
        **{f"own-limits-{q}-{kind}": q for q in QUANTITIES for kind in ("at-least", "at-most")},
        "marpol-annex-1-reg-18-midship": "ballast_draft_midship",
        "marpol-annex-1-reg-18-trim": "ballast_trim",
        "marpol-annex-1-reg-18-propeller": "propeller_immersion",
        "solas-v-22-view": "hidden_sea",
        "afloat-equilibrium": "equilibrium",
        "afloat-gm": "positive_gm",
        "afloat-openings": "opening_height",
    }
    curve = {
        "area-to-30": "area_to_30",
        "area-to-40": "area_to_40",
        "area-30-to-40": "area_30_to_40",
        "lever-at-30": "greatest_lever_from_30",
        "angle-of-maximum": "angle_of_maximum",
        "initial-gm": "gm",
        "stern-freeboard": "stern_freeboard",
        "range": "positive_range",
        "down-flooding": "down_flooding",
    }
    for slug, key in curve.items():
        found = {k for id, k in keys.items() if id.endswith(f"-{slug}") and not id.startswith(GENERAL)}
        assert found == {key}, slug
