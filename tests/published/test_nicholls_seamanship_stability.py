"""Nicholls's Seamanship and Nautical Knowledge: KG by moments, list, righting moment, metacentre of a box.

Citation: Nicholls's Seamanship and Nautical Knowledge; scan NichollssSeamanshipAndNauticalKnowledge at
archive.org, pages 561 and 568 to 570 of the scan; question numbers at each row. How obtained: read in the text of
that scan; where its characters are garbled a comment says so. Units: feet and long tons; 35 ft3 of salt water
weigh one ton.
"""

import pytest

from tests.published.booklet import loaded, shifted, ship, weight

# no. 31; 33 and 41; 27; 28: the ship, what is loaded, KG and GM printed, with half the last printed digit
KG_BY_MOMENTS = [
    pytest.param((2000, 17), [(5000, 16), (300, 10), (100, 20)], 20.0, 16.1, 0.05, None, None, id="31"),
    # GM is printed as 2 ft 2.2 in, worked from the rounded KG (2.18 ft); exact 26.14 in: a tenth of an inch
    pytest.param((1800, 10), [(3400, 9), (400, 16)], 12.0, 9.82, 0.005, 26.2 / 12, 0.1 / 12, id="33+41"),
]
LOADED_27 = [(1000, 24), (1500, 22), (1250, 21), (1100, 19), (900, 23), (600, 25), (400, 18)]
DISCHARGED_28 = [(-400, 20), (-300, 22), (-500, 23), (-600, 24)]


@pytest.mark.parametrize(("found", "loads", "km", "kg", "kg_room", "gm", "gm_room"), KG_BY_MOMENTS)
def test_kg_by_moments(assess, found, loads, km, kg, kg_room, gm, gm_room):
    answer = assess(loaded(ship(*found, km, units="us"), [weight(*load) for load in loads]))
    assert answer["displacement"] == pytest.approx(found[0] + sum(w for w, _ in loads), rel=1e-12)
    assert answer["vcg_solid"] == pytest.approx(kg, abs=kg_room)
    if gm is not None:
        assert answer["stability"]["gm_solid"] == pytest.approx(gm, abs=gm_room)


@pytest.mark.parametrize(
    ("moves", "displacement", "gm"),
    [
        pytest.param(LOADED_27, 10_000, 0.8, id="27"),
        # the printed answer is garbled in the scan and read as 1.1 ft
        pytest.param(LOADED_27 + DISCHARGED_28, 8_200, 1.1, id="28, after 27"),
    ],
)
def test_gm_after_loading_and_after_discharging(assess, moves, displacement, gm):
    answer = assess(loaded(ship(3250, 20, 22, units="us"), [weight(*move) for move in moves]))
    assert answer["displacement"] == pytest.approx(displacement, rel=1e-12)
    assert answer["stability"]["gm_solid"] == pytest.approx(gm, abs=0.05)


def test_no_32_weight_lowered(assess):
    """40 tons lowered 20 ft in 4000 tons: GM from 1.2 to 1.4 ft, which is exact."""
    answer = assess(loaded(ship(4000, 10.0, 11.2, units="us"), shifted(40, up=-20)))
    assert answer["stability"]["gm_solid"] == pytest.approx(1.4, abs=1e-9)


def test_no_36_box_without_gm_given_some(assess):
    """Box 180 x 20 x 10 ft at 7 ft without GM; 40 tons dropped 10 ft. Printed 0.55 ft, truncated from 0.5556."""
    answer = assess(loaded(ship(180 * 20 * 7 / 35, 6.0, 6.0, units="us", draft=7.0), shifted(40, up=-10)))
    assert answer["displacement"] == pytest.approx(720, rel=1e-12)
    assert answer["stability"]["gm_solid"] == pytest.approx(0.55, abs=0.006)


@pytest.mark.parametrize(("across", "side"), [(20, "port"), (-20, "starboard")])
def test_no_42_list(assess, across, side):
    """8 tons moved 20 ft across a ship of 1600 tons, KG 10, KM 11.5 ft: 3 degrees 49 minutes, to one minute."""
    answer = assess(loaded(ship(1600, 10, 11.5, units="us"), shifted(8, across=across)))
    found = answer["flotation"]["list"]
    assert found["side"] == side
    assert abs(found["angle"]) == pytest.approx(3 + 49 / 60, abs=1 / 60)
    assert found["angle"] * across > 0.0


def test_no_35_gm_that_goes_with_a_list(assess):
    """10 tons moved 20 ft in 2000 tons heel her 8 degrees; printed: GG1 0.1 ft, GM 0.7 ft (exact 0.7115).

    Asked backwards: with a GM at either end of what prints as 0.7 she lists on either side of 8 degrees."""
    lists = []
    for gm in (0.75, 0.65):
        answer = assess(loaded(ship(2000, 10, 10 + gm, units="us"), shifted(10, across=20)))
        assert answer["tcg"] == pytest.approx(0.1, abs=1e-12)
        lists.append(answer["flotation"]["list"]["angle"])
    assert lists[0] < 8.0 < lists[1]


# no. 44; page 561: displacement, KG, KM, heel, GZ (None: not printed), righting moment with its room
RIGHTING_MOMENTS = [
    pytest.param(5000, 15.8, 18, 7, None, 1340, 1.0, id="44: exact 1340.6"),
    pytest.param(6000, 13.8, 16, 8, 0.306, 1836, 2.0, id="561: from GZ rounded; exact 1837.1"),
]


@pytest.mark.parametrize(("mass", "kg", "km", "heel", "gz", "moment", "room"), RIGHTING_MOMENTS)
def test_righting_moment_at_a_small_angle(assess, mass, kg, km, heel, gz, moment, room):
    lever = assess(loaded(ship(mass, kg, km, units="us")))["righting_lever"]
    found = lever["levers"][lever["heels"].index(heel)]
    if gz is not None:
        assert found == pytest.approx(gz, abs=0.0005)
    assert mass * found == pytest.approx(moment, abs=room)
