"""List, loll and the angle at which stability vanishes.

Truth: tan(list) = TCG / GM for small angles (Derrett and Barrass, Ship Stability, chapters on list and on angle of
loll); roots of the closed-form levers of ship.py by scipy's brentq.
"""

from dataclasses import replace
from math import atan, copysign, cos, degrees, radians, sin, tan

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from service.core.assessment import Assessment, assess
from service.core.cross_curves import CrossCurves, CrossCurveTable
from service.core.errors import NoEquilibrium
from service.core.stability import Rest, rest_of
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    CUBIC,
    DRAFTS,
    HEELS,
    KM,
    LIGHTSHIP,
    PER_METRE,
    SALT,
    condition,
    cubic_lever,
    lever_through,
    vessel,
)


def floating(*weights: Weight) -> Assessment:
    return assess(vessel(), condition(weights=list(weights) or [CARGO_WEIGHT]))


@pytest.mark.parametrize("arm", [-1.0, 1.0])
@pytest.mark.parametrize(
    ("tonnes", "from_curve"), [(10.0, False), (60.0, False), (180.0, True), (250.0, True)]
)
def test_small_lists_by_tan_and_large_ones_from_the_curve(arm, tonnes, from_curve):
    """tan(list) = TCG / GM up to 5 degrees; beyond, the root of GZ."""
    result = floating(CARGO_WEIGHT, Weight(tonnes, 50.0, 6.0, 6.0 * arm))
    gm, tcg = result.situation.gm_corrected, abs(result.displacement.tcg)
    small = degrees(atan(tcg / gm))
    assert from_curve == (small > 5.0)
    listed = result.situation.rest.list_angle
    assert listed is not None
    assert copysign(1.0, listed) == arm
    if not from_curve:
        assert abs(listed) == pytest.approx(small, rel=1e-12)
        return
    vcg = result.displacement.vcg_corrected

    def lever(angle: float) -> float:
        return KM * angle - CUBIC * angle**3 - vcg * sin(angle) - tcg * cos(angle)

    assert abs(listed) == pytest.approx(degrees(brentq(lever, 0.0, 0.6, xtol=1e-14)), rel=1e-10)


@pytest.mark.parametrize("arm", [-1.0, 1.0])
@pytest.mark.parametrize(("angle", "from_curve"), [(4.999, False), (5.001, True)])
def test_around_5_degrees_the_list_goes_from_the_formula_to_the_curve(arm, angle, from_curve):
    """TCG = GM tan(angle); the curve, which softens, has its root a little further over."""
    tcg = floating().situation.gm_corrected * tan(radians(angle))
    ship = vessel(lightship=LIGHTSHIP._replace(tcg=arm * tcg * 7600.0 / LIGHTSHIP.mass))
    listed = assess(ship, condition()).situation.rest.list_angle
    assert listed is not None
    vcg = (3600.0 * 7.0 + 4000.0 * 5.6) / 7600.0

    def lever(a: float) -> float:
        return KM * a - CUBIC * a**3 - vcg * sin(a) - tcg * cos(a)

    root = degrees(brentq(lever, 0.0, 0.3, xtol=1e-15))
    assert arm * listed == pytest.approx(root if from_curve else angle, rel=1e-9)
    assert root == pytest.approx(angle, abs=0.1)
    assert root != pytest.approx(angle, abs=1e-3)


def hardening() -> Vessel:
    """A cubic that hardens: KN = KM a + 4 a^3 with KG above KM; GZ = KM a + 4 a^3 - KG sin a."""
    levers = np.array([[KM * radians(h) + 4.0 * radians(h) ** 3 for h in HEELS] for d in DRAFTS])
    table = CrossCurveTable(0.0, [PER_METRE * d for d in DRAFTS], levers)
    return vessel(cross_curves=CrossCurves(SALT, HEELS, (table,)), lightship=LIGHTSHIP._replace(vcg=10.0))


def test_loll_is_the_root_beyond_upright_and_is_called_so():
    result = assess(hardening(), condition())
    vcg = (36000.0 + 4000.0 * 5.6) / 7600.0
    assert result.situation.gm_corrected == pytest.approx(KM - vcg, rel=1e-9)
    assert result.situation.gm_corrected < 0.0
    root = brentq(lambda a: KM * a + 4.0 * a**3 - vcg * sin(a), 0.05, 1.0, xtol=1e-14)
    assert result.situation.rest == pytest.approx((degrees(root), degrees(root), True), rel=1e-10)
    assert "gm_not_positive" in {finding.code for finding in result.findings}


@pytest.mark.parametrize(("gm", "below"), [(-0.01, False), (-0.0005, True), (-0.00005, True)])
def test_a_loll_of_less_than_a_degree_is_no_upright_ship(gm, below):
    """GM is hardly negative: she rests at sqrt(-GM / (4 + KM / 6)) nearly, and her range begins there."""
    ship = replace(hardening(), lightship=LIGHTSHIP._replace(vcg=KM - gm))
    result = assess(ship, condition(weights=[CARGO_WEIGHT._replace(vcg=KM - gm)]))
    assert result.situation.gm_corrected == pytest.approx(gm, rel=1e-6)
    vcg = result.displacement.vcg_corrected
    start = np.sqrt(-gm / 20.0)
    root = degrees(brentq(lambda a: KM * a + 4.0 * a**3 - vcg * sin(a), start, 1.0, xtol=1e-16))
    assert (root < 1.0) is below
    assert radians(root) == pytest.approx(np.sqrt(-gm / (4.0 + KM / 6.0)), rel=1e-3)
    assert result.situation.rest == pytest.approx((root, root, True), rel=1e-6)
    assert result.heeled.curve.lever(0.5 * root) < 0.0 < result.heeled.curve.lever(2.0 * root)
    codes = {finding.code for finding in result.findings}
    assert "gm_not_positive" in codes
    assert ("list" in codes) is not below, "a loll of more than a degree is a list"
    assert "no_equilibrium" not in codes


@pytest.mark.parametrize("arm", [-4.0, 4.0])
def test_a_weight_off_the_centreline_adds_to_loll_but_is_no_part_of_it(arm):
    """She lies at the root of GZ with TCG; her angle of loll is the root without it."""
    mass = 7650.0
    vcg, tcg = (36000.0 + 4000.0 * 5.6 + 50.0 * 6.0) / mass, 50.0 * 4.0 / mass
    result = assess(hardening(), condition(weights=[CARGO_WEIGHT, Weight(50.0, 50.0, 6.0, arm)]))

    def lever(angle: float, off: float) -> float:
        return KM * angle + 4.0 * angle**3 - vcg * sin(angle) - off * cos(angle)

    listed = degrees(brentq(lever, 0.05, 1.0, args=(tcg,), xtol=1e-14))
    loll = degrees(brentq(lever, 0.05, 1.0, args=(0.0,), xtol=1e-14))
    assert result.situation.rest == pytest.approx((copysign(listed, arm), loll, True), rel=1e-10)


def test_no_loll_where_gm_is_positive():
    assert floating().situation.rest.loll is None
    assert floating(CARGO_WEIGHT, Weight(250.0, 50.0, 6.0, 6.0)).situation.rest.loll is None


def without_rest(result: Assessment) -> NoEquilibrium:
    """Why she has no angle of rest: everything but the list is answered, and she fails."""
    ship = result.situation
    assert ship.rest == Rest(None, None, sought=True)
    assert not ship.rest.found
    assert set(ship.gaps) == {"list"}
    gap = ship.gaps["list"]
    assert isinstance(gap, NoEquilibrium)
    assert result.heeled.curve is not None
    assert result.verdict == "fail"
    equilibrium = next(c for _, c in result.criteria if c.row.id == "afloat-equilibrium")
    assert (equilibrium.verdict, equilibrium.attained) == ("fail", None)
    assert "no_equilibrium" in {finding.code for finding in result.findings}
    assert not {"list", "list_large"} & {finding.code for finding in result.findings}
    return gap


def test_a_ship_that_never_rises_again_is_answered_without_an_angle_of_rest():
    result = assess(vessel(lightship=LIGHTSHIP._replace(vcg=10.0)), condition())
    assert "capsize" in without_rest(result).cause
    assert result.situation.gm_corrected < 0.0


@pytest.mark.parametrize("arm", [8.0, -8.0])
def test_a_ship_whose_list_exceeds_every_lever_has_no_angle_of_rest_either(arm):
    """GM is positive, and still nothing holds her."""
    result = floating(CARGO_WEIGHT, Weight(3000.0, 50.0, 6.0, arm))
    assert result.situation.gm_corrected > 0.0
    without_rest(result)
    assert max(result.heeled.curve.levers) < 0.0


@pytest.mark.parametrize("arm", [-6.0, 6.0])
def test_without_cross_curves_a_small_list_is_known_a_large_one_only_as_large(arm):
    ship = vessel(cross_curves=None)
    small = assess(ship, condition(weights=[CARGO_WEIGHT, Weight(50.0, 50.0, 6.0, arm)]))
    expected = degrees(atan(small.displacement.tcg / small.situation.gm_corrected))
    assert small.situation.rest == (pytest.approx(expected, rel=1e-12), None, False)
    large = assess(ship, condition(weights=[CARGO_WEIGHT, Weight(200.0, 50.0, 6.0, arm)]))
    assert large.situation.rest == (None, None, False)
    assert "no cross curves" in str(large.situation.gaps["list"])
    assert "list_large" in {finding.code for finding in large.findings}


def test_without_cross_curves_loll_is_unknown_but_said():
    light = assess(vessel(cross_curves=None, lightship=LIGHTSHIP._replace(vcg=10.0)), condition())
    assert light.situation.rest == (None, None, False)
    assert "no cross curves" in str(light.situation.gaps["list"])
    assert "gm_not_positive" in {finding.code for finding in light.findings}


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_ship_whose_gm_is_exactly_zero_is_looked_up_on_her_curve(side):
    """tan(list) = TCG / GM has no meaning there; a curve of GZ = a^3 - TCG cos a has its root where they meet."""
    curve = lever_through(HEELS, [radians(heel) ** 3 for heel in HEELS], 0.0, 0.0, 0.05)
    root = degrees(brentq(lambda a: a**3 - 0.05 * cos(a), 0.1, 1.0, xtol=1e-15))
    assert rest_of(curve, 0.0, side, side * 0.05) == (pytest.approx(side * root, rel=1e-10), 0.0, True)
    assert rest_of(None, 0.0, side, 0.0) == Rest(None, None)


# --- range of stability ----------------------------------------------------------------------------------------


def test_the_vanishing_angle_is_the_root_beyond_the_maximum():
    result = floating(CARGO_WEIGHT._replace(vcg=7.1))
    vcg = (3600.0 * 7.0 + 4000.0 * 7.1) / 7600.0
    root = brentq(lambda a: KM * a - CUBIC * a**3 - vcg * sin(a), 0.5, 1.2, xtol=1e-14)
    assert degrees(root) < 60.0
    assert result.heeled.curve.vanishing_angle == pytest.approx(degrees(root), rel=1e-10)


def test_no_vanishing_angle_up_to_the_last_heel():
    assert floating(CARGO_WEIGHT._replace(vcg=4.0)).heeled.curve.vanishing_angle is None


def test_no_curve_to_vanish_without_cross_curves():
    result = assess(vessel(cross_curves=None), condition())
    assert (result.heeled.curve, result.heeled.levers, result.heeled.levers_automatic) == (None, None, None)
    assert "list" not in result.situation.gaps, "a small list needs no curve"


def test_the_vanishing_angle_of_two_humps_is_where_the_first_ends():
    """GZ is negative from about 32 to 44 degrees; beyond, a higher hump that does not bring her back."""
    heels = [10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0]
    values = [0.15, 0.20, 0.05, -0.10, 0.20, 0.40, -0.20]
    curve = lever_through(heels, values, 0.9)
    spline = CubicSpline(np.radians([0.0, *heels]), [0.0, *values], bc_type=((1, 0.9), "not-a-knot"))
    root = np.degrees(brentq(spline, np.radians(22.0), np.radians(40.0), xtol=1e-15))
    assert curve.angle_of_maximum > 50.0
    assert curve.vanishing_angle == pytest.approx(root, rel=1e-12)


def test_with_a_list_the_range_of_stability_begins_where_she_rests():
    """GZ is negative upright, positive from her list on; without any positive lever there is no range."""
    result = floating(CARGO_WEIGHT._replace(vcg=7.1), Weight(60.0, 50.0, 7.0, 3.0))
    curve, vanishing, listed = (
        result.heeled.curve,
        result.heeled.curve.vanishing_angle,
        result.situation.rest.list_angle,
    )
    assert curve is not None
    assert vanishing is not None
    assert listed is not None
    assert curve.levers[0] < 0.0
    assert curve.lever(vanishing) == pytest.approx(0.0, abs=1e-13)
    assert vanishing > curve.angle_of_maximum > listed > 0.0
    assert cubic_lever(-0.2, 35.0, 50.0).vanishing_angle is None


def test_with_loll_the_range_of_stability_begins_at_the_angle_of_loll():
    """GZ is negative up to loll; the range ends where it falls to zero beyond, not upright."""
    curve = lever_through(HEELS, (-0.05, 0.1, 0.3, 0.2, -0.1, -0.4), -0.4)
    vanishing = curve.vanishing_angle
    assert vanishing is not None
    assert 40.0 < vanishing < 50.0
