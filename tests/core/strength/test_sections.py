"""Section areas, and the waterline that carries a mass with its centre; every figure a closed form.

Box: area 20 d. Wedge: the same aft, nothing at the fore end, linear in between: volume a metre of draft 20 L / 2,
its centre a third of the length from the full end.
"""

import numpy as np
import pytest
from scipy.optimize import fsolve

from service.core.errors import CoreError, OutsideTable, SeveralErrors, UnusableBooklet
from service.core.strength.sections import Sections, float_on_sections
from tests.core.barge import BREADTH, LENGTH, PER_METRE, sections
from tests.core.ship import SALT

WEDGE = Sections((0.0, LENGTH), (0.0, 10.0), ((0.0, 200.0), (0.0, 0.0)))


def test_areas_are_linear_in_draft_and_nothing_below_the_keel():
    areas, slopes = sections().at(np.array([2.5, -1.0]))
    assert areas == pytest.approx([50.0, 0.0], abs=1e-12)
    assert slopes == pytest.approx([20.0, 0.0], abs=1e-12)


def test_the_factor_for_shell_and_appendages_multiplies_every_area():
    plain = Sections((0.0, 100.0), (0.0, 10.0), ((0.0, 200.0), (0.0, 200.0)), 1.006)
    mass, lcb = plain.displacement(4.0, 4.0, LENGTH, SALT)
    assert (mass, lcb) == pytest.approx((1.006 * PER_METRE * 4.0, 50.0), rel=1e-12)


def test_displacement_of_box_and_wedge():
    assert sections().displacement(4.0, 4.0, LENGTH, SALT) == pytest.approx(
        (PER_METRE * 4.0, 50.0), rel=1e-12
    )
    assert WEDGE.displacement(4.0, 4.0, LENGTH, 1.0) == pytest.approx(
        (20.0 * 4.0 * LENGTH / 2.0, LENGTH / 3.0)
    )
    assert sections().displacement(-1.0, -1.0, LENGTH, SALT) == (0.0, 0.0)


def test_a_trimmed_box_has_the_moment_of_its_two_wedges():
    """Trim t shifts the centre of buoyancy by L t / (12 d) (inertia of the waterplane over volume)."""
    mass, lcb = sections().displacement(5.0, 3.0, LENGTH, SALT)
    assert mass == pytest.approx(PER_METRE * 4.0, rel=1e-12)
    assert lcb == pytest.approx(50.0 - LENGTH * 2.0 / (12.0 * 4.0), rel=1e-12)


def test_a_step_is_two_sections_at_one_place():
    """A block of 20 m2 a metre of draft aft, of 10 m2 forward of 60 m."""
    step = Sections(
        (0.0, 60.0, 60.0, 100.0), (0.0, 10.0), ((0.0, 200.0), (0.0, 200.0), (0.0, 100.0), (0.0, 100.0))
    )
    mass, lcb = step.displacement(2.0, 2.0, LENGTH, 1.0)
    volume = 40.0 * 60.0 + 20.0 * 40.0
    assert (mass, lcb) == pytest.approx((volume, (2400.0 * 30.0 + 800.0 * 80.0) / volume), rel=1e-12)


@pytest.mark.parametrize("start", [(4.0, 4.0), (1.0, 9.0), (9.5, 9.5)])
@pytest.mark.parametrize("water", [1.0, 1.025])
def test_she_floats_where_mass_and_moment_are_carried(start, water):
    """Weight 60 t/m aft falling to 40 t/m forward on a box 100 m by 16 m in salt water: 3.658537 m aft, 2.439024 m
    forward (closed form: the draft a metre carries its weight)."""
    box = Sections((0.0, 100.0), (0.0, 10.0), ((0.0, 160.0), (0.0, 160.0)))
    mass, moment = 5000.0, 100.0 / 6.0 * (60.0 * 100.0 + 40.0 * 200.0)
    assert moment / mass == pytest.approx(46.666667, abs=1e-6)
    found = float_on_sections(box, mass, moment, 100.0, water, start)
    assert found.draft_aft == pytest.approx(60.0 / (water * 16.0), abs=1e-10)
    assert found.draft_forward == pytest.approx(40.0 / (water * 16.0), abs=1e-10)
    assert found.draft_at(25.0) == pytest.approx(55.0 / (water * 16.0), abs=1e-10)


def test_she_may_lift_her_forefoot_out_of_the_water():
    """A negative draft forward is legal: the waterline of a box runs to a point at 3 times the centre's distance.
    The stations stand close enough for the triangle of buoyancy to be that of the sections."""
    x = np.linspace(0.0, 100.0, 401)
    box = Sections(x.tolist(), (0.0, 10.0), [[0.0, 200.0]] * len(x))
    found = float_on_sections(box, 1000.0, 1000.0 * 20.0, LENGTH, SALT, (2.0, 1.0))
    assert found.draft_forward < 0.0
    # triangle over 60 m: draft aft = 2 m / (rho B 60)
    assert found.draft_aft == pytest.approx(2.0 * 1000.0 / (SALT * BREADTH * 60.0), rel=2e-4)


def ship_shaped() -> Sections:
    x, drafts = np.linspace(-3.0, 104.0, 55), np.linspace(0.0, 10.0, 31)
    fullness = 1.0 - np.abs(2.0 * x / 100.0 - 1.0).clip(0.0, 1.0) ** 3
    areas = [[float(20.0 * f * d ** (1.0 + 0.4 * (1.0 - f)) / 2.0) for d in drafts] for f in fullness]
    return Sections(x.tolist(), drafts.tolist(), areas)


@pytest.mark.parametrize(("mass", "lcg"), [(3000.0, 50.0), (3000.0, 47.0), (5200.0, 52.0), (900.0, 49.0)])
def test_a_ship_shaped_hull_balances_as_a_general_solver_finds(mass, lcg):
    """Against scipy's fsolve (hybrid Powell)."""
    hull = ship_shaped()

    def unbalanced(drafts):
        displacement, lcb = hull.displacement(drafts[0], drafts[1], 100.0, SALT)
        return [displacement / mass - 1.0, (displacement * lcb - mass * lcg) / (mass * 100.0)]

    aft, forward = fsolve(unbalanced, [5.0, 5.0], xtol=1e-9)
    found = float_on_sections(hull, mass, mass * lcg, 100.0, SALT, (5.0, 5.0))
    assert (found.draft_aft, found.draft_forward) == pytest.approx((aft, forward), abs=1e-7)
    assert hull.displacement(*found, SALT) == pytest.approx((mass, lcg), rel=1e-10)


def test_too_heavy_for_the_sections_is_off_the_table_not_extrapolated():
    with pytest.raises(OutsideTable) as off:
        float_on_sections(sections(), PER_METRE * 10.1, PER_METRE * 10.1 * 50.0, LENGTH, SALT, (9.0, 9.0))
    assert (off.value.low, off.value.high, off.value.dimension) == (0.0, 10.0, "length")
    assert off.value.value == pytest.approx(10.1)
    whole = float_on_sections(sections(), PER_METRE * 10.0, PER_METRE * 500.0, LENGTH, SALT, (9.0, 9.0))
    assert whole.draft_aft == pytest.approx(10.0)


def test_lighter_than_the_first_draft_is_off_the_table_where_that_has_an_area():
    above = Sections((0.0, 100.0), (2.0, 10.0), ((40.0, 200.0), (40.0, 200.0)))
    with pytest.raises(CoreError):
        float_on_sections(above, PER_METRE, PER_METRE * 50.0, LENGTH, SALT, (2.5, 2.5))


@pytest.mark.parametrize("mass", [0.0, -5.0, float("nan")])
def test_no_mass_floats_nowhere(mass):
    with pytest.raises(CoreError, match="come to nothing"):
        float_on_sections(sections(), mass, 0.0, LENGTH, SALT, (1.0, 1.0))


def test_a_centre_beyond_her_ends_balances_nowhere():
    with pytest.raises(CoreError):
        float_on_sections(sections(), 1000.0, 1000.0 * 120.0, LENGTH, SALT, (1.0, 1.0))


ROW = (0.0, 200.0)


@pytest.mark.parametrize(
    ("x", "drafts", "areas", "place"),
    [
        ((0.0,), (0.0, 10.0), (ROW,), ("x",)),
        ((50.0, 50.0), (0.0, 10.0), (ROW, ROW), ("x",)),
        ((0.0, 60.0, 40.0), (0.0, 10.0), (ROW, ROW, ROW), ("x", 2)),
        ((0.0, 50.0, 50.0, 50.0, 100.0), (0.0, 10.0), (ROW,) * 5, ("x", 3)),
        ((0.0, 100.0), (0.0,), ((0.0,), (0.0,)), ("drafts",)),
        ((0.0, 100.0), (0.0, 0.0), (ROW, ROW), ("drafts", 1)),
        ((0.0, 100.0), (0.0, 10.0), (ROW,), ("areas",)),
        ((0.0, 100.0), (0.0, 10.0), (ROW, (0.0,)), ("areas", 1)),
        ((0.0, 100.0), (0.0, 10.0), (ROW, (5.0, 4.0)), ("areas", 1)),
    ],
)
def test_what_cannot_be_used_is_named_with_its_place(x, drafts, areas, place):
    with pytest.raises(UnusableBooklet) as unusable:
        Sections(x, drafts, areas)
    assert unusable.value.place == place


def test_every_fault_is_named_at_once():
    with pytest.raises(SeveralErrors) as several:
        Sections((0.0, -1.0), (0.0, 0.0), (ROW, ROW))
    assert len(several.value.errors) == 3
