"""Questions of marine engineer, second mate and naval architecture examinations, mostly from India.

Citation and how obtained: each test names its page; the questions were read there. Where the answer was not shown
(a paper without its key) the test says so, and holds the service to the closed form.
"""

from math import atan, degrees, radians, sin, tan

import pytest

from service.core.hull.hydrostatics import upright
from tests.published.booklet import loaded, shifted, ship, surface, tank, weight
from tests.published.hulls import box, prism


def test_four_slack_tanks_of_different_liquids(assess):
    """ "DNS Stability Module No 9", question 1 (scribd.com/document/486106246): 18 500 t, KM 8.5, KG 7.6 m.

    The key was not in the excerpt: sum of moments 2263.9 t m, loss 0.1224 m, fluid GM 0.7776 m are recomputed."""
    tanks = [
        surface("1DB", 500, 1.025, contents="ballast"),
        surface("3DB C", 1300, 0.95, contents="fuel_oil"),
        surface("5DB P", 555, 0.88, contents="diesel_oil"),
        surface("8DB P", 28, 1.0, contents="fresh_water"),
    ]
    vessel = ship(18_500, 7.6, 8.5, tanks=tanks)
    answer = assess(loaded(vessel, fills={t["id"]: 50.0 for t in tanks}, counted=True))
    assert answer["free_surface_moment"] == pytest.approx(2263.9, abs=0.05)
    assert answer["free_surface_correction"] == pytest.approx(0.1224, abs=0.00005)
    assert answer["stability"]["gm_corrected"] == pytest.approx(0.7776, abs=0.0005)


@pytest.mark.parametrize(("length", "breadth", "inertia"), [(12, 16, 4096), (16, 12, 2304)])
def test_tanks_of_one_area_turned_round(assess, length, breadth, inertia):
    """GATE, naval architecture, two ballast tanks (questions.collegedunia.com): 4096 and 2304 m4, exactly."""
    vessel = ship(10_000, 7, 8, tanks=[tank("1", length, breadth, 1.0)])
    answer = assess(loaded(vessel, fills={"1": 50.0}, counted=True))
    assert answer["tanks"][0]["free_surface_moment"] == pytest.approx(inertia, rel=1e-12)


def test_list_without_gm(assess):
    """meomock.com: 12 250 t, KM and KG both 8, KB 3.8 m; 2 t moved 12 m across. Wall-sided: tan^3 = 2 w d / (W
    BM), 5.58 degrees (answer not shown). The small-angle formula would divide by zero."""
    bm = 8 - 3.8
    vessel = ship(
        12_250, 8, 8, kn=lambda a: sin(a) * (8 + 0.5 * bm * tan(a) ** 2), heels=[1, 2, 3, 4, *range(5, 41, 5)]
    )
    answer = assess(loaded(vessel, shifted(2, across=12)))
    assert answer["stability"]["gm_solid"] == pytest.approx(0.0, abs=1e-12)
    exact = degrees(atan((2 * 2 * 12 / (12_250 * bm)) ** (1 / 3)))
    assert exact == pytest.approx(5.58, abs=0.005)
    assert answer["flotation"]["list"]["angle"] == pytest.approx(exact, abs=0.01)


def test_triangular_prism():
    """MEO paper 78NA-2, question 4 (studylib.net/doc/9012396), apex down: 32 m, 8 m wide at the top, 5 m deep, KG
    3.7 m, at 4 m draft (answer not shown). Closed form: KB = 2 d / 3, BM = b^2 / (6 d); GM 0.6733 m."""
    row = upright(prism(32, lambda z: 0.8 * z, 5), 4)
    assert row.vcb == pytest.approx(8 / 3, rel=1e-12)
    assert row.km - row.vcb == pytest.approx(6.4**2 / 24, rel=1e-12)
    assert row.km - 3.7 == pytest.approx(0.6733, abs=0.00005)


def test_righting_moment_of_a_timber_box_in_beam_wind(assess):
    """MEO class II, July 2017, question 2 (dieselship.com): box 80 x 12 m at 5 m, KG 4.815 m, heeled 15 degrees
    by wind.

    The page with the answer was not seen: GM 0.085 m, GZ 0.0443 m, moment 2138 kN m follow, and the 50 knots the
    figures are plainly made for: 0.85 A b v^2 cos^2(heel) with A = 627 m2, b = 6.5 m."""
    row = upright(box(80, 12, 9), 5)
    mass, bm = row.volume * 1.025, row.km - row.vcb
    vessel = ship(
        mass,
        4.815,
        row.km,
        kn=lambda a: sin(a) * (row.km + 0.5 * bm * tan(a) ** 2),
        heels=[5, 10, 15, 20, 25],
    )
    answer = assess(loaded(vessel))
    assert answer["stability"]["gm_solid"] == pytest.approx(0.085, abs=0.0005)
    moment = mass * 9.81 * answer["righting_lever"]["levers"][15]
    assert moment == pytest.approx(2138, abs=0.5)
    speed = (1000 * moment / (0.85 * 627 * 6.5 * (1 - sin(radians(15)) ** 2))) ** 0.5
    assert speed * 3600 / 1852 == pytest.approx(50, abs=0.1)


def test_cargo_to_the_summer_mark_from_a_submerged_winter_mark(assess):
    """imunotes.in: water 1.005, the WNA mark 30 mm under on one side and 60 on the other; summer draft 8.4 m, TPC
    30, FWA 160 mm: 905.82 t to the summer mark, from TPC rounded to 29.41; exact 905.97 t.

    Winter is a forty-eighth of the summer draft below summer, WNA 50 mm below that (load line length to 100 m)."""
    vessel = ship(
        160 * 4 * 30,
        6,
        7,
        length=95,
        draft=8.4,
        tpc=30,
        load_lines={"summer_draft": 8.4},
        rule_sets=["load-lines"],
    )
    found = 8.4 - 8.4 / 48 - 0.05 + 0.045
    to_found = weight((160 * 4 * 30 + 3000 * (found - 8.4)) * 1.005 / 1.025 - 160 * 4 * 30, 6)
    light = assess(loaded(vessel, [to_found], density=1.005, load_line_mark="WNA"))
    wna = light["criteria"][0]
    assert wna["attained"] == pytest.approx(found, abs=1e-9)
    assert wna["limit"] - 0.128 == pytest.approx(found - 0.045, abs=1e-9)  # dock water allowance 128 mm
    full = assess(loaded(vessel, [to_found, weight(905.82, 6)], density=1.005, load_line_mark="S"))
    assert full["flotation"]["tpc"] == pytest.approx(29.41, abs=0.005)
    assert full["flotation"]["mctc"] == pytest.approx(100 * 1.005 / 1.025, rel=1e-12)
    assert full["criteria"][0]["margin"] == pytest.approx(0.0, abs=0.3 / 2941)
    to_summer = assess(loaded(vessel, [to_found], density=1.005, load_line_mark="S"))["load_line_margin"]
    assert to_summer["mass"] == pytest.approx(905.97, abs=0.005)


def test_deadweight_still_available_by_freeboards(assess):
    """imunotes.in: freeboards 3.0 and 2.9 m in water 1.020, FWA 200 mm, TPC 30, summer freeboard 2.8 m: 567.15 t,
    from TPC rounded; exact 567.22 t. A depth of 12 m is ours: only differences count."""
    summer = 12 - 2.8
    mass = 200 * 4 * 30
    vessel = ship(
        mass, 6, 7, draft=summer, tpc=30, load_lines={"summer_draft": summer}, rule_sets=["load-lines"]
    )
    to_found = weight((mass + 3000 * (12 - 2.95 - summer)) * 1.020 / 1.025 - mass, 6)
    found = assess(loaded(vessel, [to_found], density=1.020, load_line_mark="S"))
    assert found["criteria"][0]["margin"] == pytest.approx(0.19, abs=1e-9)
    assert found["load_line_margin"]["mass"] == pytest.approx(567.22, abs=0.005)
    full = assess(loaded(vessel, [to_found, weight(567.15, 6)], density=1.020, load_line_mark="S"))
    assert full["criteria"][0]["margin"] == pytest.approx(0.0, abs=0.1 / 2985)


def test_inclining_moment(assess):
    """United States Navy, Damage Controlman, chapter 12: 20 tons 20 ft off the centreline: 400 foot-tons,
    exactly."""
    answer = assess(loaded(ship(3000, 15, 20, units="us"), [weight(20, 15, tcg=20)]))
    assert answer["moments"]["transverse"] == pytest.approx(400, abs=1e-9)
