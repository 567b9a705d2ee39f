"""Ice on decks and sides, and on timber: masses by hand, on a box whose drafts and GM are closed forms.

Rates 30 and 7.5 kg/m2, 5 % more area and 10 % more moment: 2008 IS Code Part B 6 (values from memory; the same
figures are read in the High-Speed Craft Code). The formula for timber: value from memory. No published example is
known.
"""

import pytest

from service.core.assessment import Assessment, assess
from service.core.errors import CoreError
from service.core.heeling_lever import WindProfile
from service.core.icing import DECK, SIDE, IcingCase, IcingSurface, TimberIce, ice, on_timber
from service.core.weight import Weight
from tests.core.barge import LIGHT, PER_METRE, barge, km, loaded, strength

SURFACES = (
    IcingSurface("Deck", DECK, 1800.0, 52.0, 10.0),
    IcingSurface("House top", DECK, 120.0, 12.0, 18.0),
)
DRAFTS = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0)
AREAS = tuple(100.0 * (10.0 - d) + 160.0 for d in DRAFTS)
"""The side of the hull and a house of 160 m2, 16 m high at its middle."""
HEIGHTS = tuple(
    (100.0 * (10.0 - d) * 0.5 * (10.0 + d) + 160.0 * 14.0) / (100.0 * (10.0 - d) + 160.0) for d in DRAFTS
)
PROFILE = WindProfile(DRAFTS, AREAS, HEIGHTS)
CARGO = Weight(6150.0, 50.0, 4.5, 0.0, "cargo")


def iced(case: IcingCase | None = None, cargo: Weight = CARGO, **changes) -> Assessment:
    fields = {
        "wind_profile": PROFILE,
        "icing_surfaces": SURFACES,
        "strength": None,
        **changes.pop("ship", {}),
    }
    return assess(barge(**fields), loaded(cargo, icing=case or IcingCase(1.0), **changes))


def masses(assessed: Assessment) -> dict[str | None, float]:
    return {each.name: each.weight.mass for each in assessed.added}


def test_full_allowance_on_decks_and_sides():
    """8200 t float at 4 m, where the profile has 760 m2 at its row."""
    assessed = iced()
    assert masses(assessed) == pytest.approx({"Deck": 54.0, "House top": 3.6, "Sides": 11.97}, rel=1e-12)
    sides = assessed.added[-1].weight
    assert sides[:4] == pytest.approx((2.0 * 7.5e-3 * 760.0 * 1.05, 50.0, HEIGHTS[3] * 1.10 / 1.05, 0.0))
    assert sides.mass == pytest.approx(11.97, abs=1e-9)
    assert {each.weight.category for each in assessed.added} == {"ice"}
    assert {each.reason for each in assessed.added} == {"ice"}
    assert all(each.from_memory for each in assessed.added)


def test_what_ice_does_to_her():
    assessed = iced()
    mass = 8200.0 + 69.57
    moment = LIGHT * 6.0 + 6150.0 * 4.5 + 54.0 * 10.0 + 3.6 * 18.0 + 11.97 * HEIGHTS[3] * 1.10 / 1.05
    before = km(4.0) - (LIGHT * 6.0 + 6150.0 * 4.5) / 8200.0
    after = km(mass / PER_METRE) - moment / mass
    assert assessed.displacement.mass == pytest.approx(mass, rel=1e-12)
    assert assessed.displacement.vcg_solid == pytest.approx(moment / mass, rel=1e-12)
    assert assessed.situation.gm_corrected == pytest.approx(after, abs=2e-4), "rows of KM 5 cm apart"
    effect = assessed.icing
    assert effect is not None
    assert (effect.factor, effect.mass) == (1.0, pytest.approx(69.57))
    assert effect.gm_loss == pytest.approx(before - after, abs=2e-4)
    assert effect.draft_increase == pytest.approx(69.57 / PER_METRE, rel=1e-9)
    lever = (54.0 * 52.0 + 3.6 * 12.0 + 11.97 * 50.0) / 69.57
    trim = 69.57 * (50.0 - lever) * 12.0 / (1.025 * 20.0 * 100.0**2)
    assert effect.trim_change == pytest.approx(trim, rel=1e-6)
    assert effect.vcg == pytest.approx(
        (54.0 * 10.0 + 3.6 * 18.0 + 11.97 * HEIGHTS[3] * 1.10 / 1.05) / 69.57, rel=1e-12
    )


@pytest.mark.parametrize("factor", [0.0, 0.5, 2.0])
def test_half_or_twice_the_allowance(factor):
    whole, part = masses(iced()), masses(iced(IcingCase(factor)))
    assert part == pytest.approx({name: factor * mass for name, mass in whole.items()})


def test_sides_of_the_booklet_stand_instead_of_the_wind_profile():
    """Area of one side; rails and rigging are added as for the profile."""
    bulwark = IcingSurface("Bulwark", SIDE, 200.0, 90.0, 11.0, 10.0)
    assessed = iced(ship={"icing_surfaces": (*SURFACES, bulwark)})
    assert masses(assessed) == pytest.approx({"Deck": 54.0, "House top": 3.6, "Bulwark": 3.15})
    assert assessed.added[-1].weight[1:4] == pytest.approx((90.0, 11.0 * 1.10 / 1.05, 0.0))


def test_deck_cargo_ices_on_its_own_surfaces_and_wind_additions_count_in_the_sides():
    case = IcingCase(
        1.0,
        (
            IcingSurface("Stack", DECK, 300.0, 50.0, 14.0, 2.0),
            IcingSurface("Stack side", SIDE, 80.0, 50.0, 12.0),
        ),
    )
    assessed = iced(case, wind_area=100.0, wind_moment=1200.0)
    found = masses(assessed)
    assert found["Stack"] == pytest.approx(9.0)
    assert found["Stack side"] == pytest.approx(1.26)
    assert found["Sides"] == pytest.approx(2.0 * 7.5e-3 * 860.0 * 1.05)
    stack = next(each.weight for each in assessed.added if each.name == "Stack")
    assert stack[1:4] == (50.0, 14.0, 2.0)


def test_ice_on_timber_by_its_formula():
    """L 100 m, freeboard 3000 mm, bow flare 12 m: 24.18174 kg/m2 (value from memory)."""
    assert 1000.0 * on_timber(100.0, TimberIce(3.0, 12.0)) == pytest.approx(24.18174, abs=1e-6)
    case = IcingCase(0.5, (IcingSurface("Timber", DECK, 900.0, 50.0, 13.0),), TimberIce(3.0, 12.0))
    assert masses(iced(case))["Timber"] == pytest.approx(0.5 * 0.02418174 * 900.0, rel=1e-6)
    assert masses(iced(case))["Deck"] == pytest.approx(27.0), "her own decks keep their rate"


def test_without_a_lateral_area_there_is_no_answer():
    with pytest.raises(CoreError, match="no lateral area for ice"):
        iced(ship={"wind_profile": None})
    assert masses(iced(IcingCase(0.0), ship={"wind_profile": None})) == {"Deck": 0.0, "House top": 0.0}
    bulwark = IcingSurface("Bulwark", SIDE, 200.0, 90.0, 11.0)
    assert len(ice(IcingCase(1.0), (bulwark,), None, 100.0, 100.0)) == 1


def test_without_icing_nothing_is_added():
    assessed = assess(barge(icing_surfaces=SURFACES, wind_profile=PROFILE), loaded(CARGO))
    assert (assessed.added, assessed.icing) == ((), None)


def test_off_her_tables_the_effect_is_unknown_and_the_mass_is_not():
    bulwark = IcingSurface("Bulwark", SIDE, 200.0, 90.0, 11.0)
    assessed = iced(cargo=Weight(20000.0, 50.0, 4.5), ship={"icing_surfaces": (*SURFACES, bulwark)})
    effect = assessed.icing
    assert effect is not None
    assert effect.mass == pytest.approx(60.75)
    assert effect.gm_loss is effect.draft_increase is effect.trim_change is None


def test_ice_weighs_on_her_strength_too():
    assessed = iced(ship={"strength": strength()}, cargo=CARGO._replace(extent=(0.0, 100.0)))
    forces = assessed.situation.strength
    assert forces is not None
    assert forces.distributed.mass == pytest.approx(assessed.displacement.mass, rel=1e-12)
    assert forces.curve.closure == pytest.approx((0.0, 0.0), abs=1e-6)


@pytest.mark.parametrize(("mark", "said"), [("W", True), ("WNA", True), ("S", False), (None, False)])
def test_a_winter_mark_without_ice_is_said(mark, said):
    ship = barge(load_line_drafts={"S": 6.0}, icing_surfaces=SURFACES, wind_profile=PROFILE)
    assessed = assess(ship, loaded(CARGO, load_line_mark=mark))
    assert ("mark_winter_without_icing" in {f.code for f in assessed.findings}) is said
    counted = assess(ship, loaded(CARGO, load_line_mark=mark, icing=IcingCase(0.0)))
    assert "mark_winter_without_icing" not in {f.code for f in counted.findings}


def test_a_constructed_ship_with_ice():
    """1000 t at 3.8 m, KM 4.6 m: 12 t at 6 m and 2.25 t at 5 m leave KG 3.828691 and GM 0.771309 m (constructed;
    without the additions for rails and rigging)."""
    deck = Weight(400.0 * 0.030, 50.0, 6.0)
    sides = Weight(2.0 * 150.0 * 0.0075, 50.0, 5.0)
    added = ice(
        IcingCase(1.0),
        (IcingSurface("Deck", DECK, 400.0, 50.0, 6.0),),
        (150.0 / 1.05, 5.0 * 1.05 / 1.10),
        100.0,
        100.0,
    )
    assert [each.weight.mass for each in added] == pytest.approx([deck.mass, sides.mass])
    assert [each.weight.vcg for each in added] == pytest.approx([6.0, 5.0])
    total = 1000.0 + sum(each.weight.mass for each in added)
    kg = (1000.0 * 3.8 + sum(each.weight.mass * each.weight.vcg for each in added)) / total
    assert (kg, 4.6 - kg) == pytest.approx((3.828691, 0.771309), abs=5e-7)
