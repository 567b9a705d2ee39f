"""Voyages: stability and load line at every stage, not at departure and arrival only.

Sources: 2008 IS Code Part A 2.1.5, Part B 3.1.4 and 3.1.5 (all stages of the voyage; surfaces of the tanks in use);
International Convention on Load Lines, 1966, article 12 and Annex II (seasonal periods read as enacted in Singapore,
MSA 1995 RG 5, Annex II); GM along a voyage as a closed form of first moments; the consumption to the summer zone
discussed at myseatime.com. Ships and conditions are constructed; expected figures are first moments of the box of
`box_vessel`.
"""

from datetime import UTC, datetime

import pytest

from service.translation.season import Season
from tests.published.booklet import loaded, ship, tank
from tests.published.box_vessel import condition, vessel

ORDER = [["DB1P", "DB1S"], ["DB2P", "DB2S"]]


def fuel(rate, **more):
    return [{"contents": "fuel_oil", "mass_per_day": rate, "order": ORDER, **more}]


def point_at(answer, stage, at):
    return next(p for p in answer["plan"]["points"] if (p["stage"], p["at"]) == (stage, at))


@pytest.fixture(scope="module")
def two_pairs(assess):
    """25 t a day from two pairs in order; at 97 % all four are slack from the start."""
    plan = {
        "kind": "voyage",
        "departs": "2026-10-20T12:00:00Z",
        "consumption": fuel(25.0),
        "stages": [
            {"name": "At sea", "days": 12.0, "phase": "at_sea"},
            {"name": "Arrival", "days": 13.0, "phase": "arrival"},
        ],
    }
    return assess({"vessel": vessel(), "condition": condition(6200.0, 50.5, 6.2, plan=plan)})


# stage, at: day, displacement, KG solid, free surface moment, GM corrected, trim; by first moments, KM = d/2 + B2/12d
TWO_PAIRS = {
    (0, "start"): (0.0, 9355.8, 5.509359916, 6333.333333333, 3.399622126, -0.181463415),
    (1, "end"): (12.0, 9055.8, 5.656749327, 6333.333333333, 3.39864231, -0.357073171),
    (2, "emptied DB1P, DB1S"): (22.116, 8802.9, 5.809703024, 6333.333333333, 3.380589829, -0.505112195),
    (2, "begun DB2P, DB2S"): (22.116, 8802.9, 5.809703024, 3166.666666667, 3.740319766, -0.505112195),
    (2, "end"): (25.0, 8730.8, 5.846448122, 3166.666666667, 3.747169511, -0.462907317),
}


@pytest.mark.parametrize("where", TWO_PAIRS)
def test_first_moments_at_every_point(two_pairs, where):
    day, displacement, vcg, moment, gm, trim = TWO_PAIRS[where]
    found = point_at(two_pairs, *where)
    assert found["day"] == pytest.approx(day, abs=1e-6)
    assert found["displacement"] == pytest.approx(displacement, abs=1e-6)
    assert found["vcg_solid"] == pytest.approx(vcg, abs=1e-9)
    assert found["free_surface_moment"] == pytest.approx(moment, abs=1e-6)
    assert found["trim"] == pytest.approx(trim, abs=1e-6)
    # KM between rows of the hydrostatic table is interpolated
    assert found["gm_corrected"] == pytest.approx(gm, abs=1e-3)


def test_the_points_of_two_pairs(two_pairs):
    assert [(p["stage"], p["at"]) for p in two_pairs["plan"]["points"]] == [
        (0, "start"),
        (1, "day 5"),
        (1, "day 10"),
        (1, "end"),
        (2, "start"),
        (2, "day 15"),
        (2, "day 20"),
        (2, "emptied DB1P, DB1S"),
        (2, "begun DB2P, DB2S"),
        (2, "end"),
    ]
    (used,) = two_pairs["plan"]["consumption"]
    assert used["used"] == pytest.approx(625.0)
    assert used["left"] == pytest.approx(4 * 276.45 - 625.0)
    assert used["lasts_days"] == pytest.approx((4 * 276.45 - 625.0) / 25.0)
    assert used["empty_on_day"] == pytest.approx(4 * 276.45 / 25.0)


@pytest.fixture(scope="module")
def season(assess):
    """28 October 12:00 to the winter of 1 November: 3.5 days; 25 t a day."""
    winter = {"from": "11-01", "to": "03-31", "mark": "W", "otherwise": "S"}
    plan = {
        "kind": "voyage",
        "departs": "2026-10-28T12:00:00Z",
        "consumption": fuel(25.0),
        "stages": [{"name": "Into the zone", "days": 10.0, "phase": "at_sea", "season": winter}],
    }
    return assess({"vessel": vessel(), "condition": condition(8834.2, 50.5, 6.0, plan=plan)})


def test_a_season_that_begins_inside_a_leg(season):
    winter, before = point_at(season, 1, "season"), point_at(season, 1, "before season")
    assert winter["day"] == before["day"] == pytest.approx(3.5, abs=1e-9)
    assert winter["date"] == "2026-11-01T00:00:00Z"
    assert (before["load_line_mark"], winter["load_line_mark"]) == ("S", "W")
    # mass to the line = permitted draft x 1.025 L B - displacement
    assert winter["load_line"]["mass_to_line"] == pytest.approx(5.875 * 2050.0 - 11902.5, abs=1e-4)
    assert point_at(season, 0, "start")["load_line"]["mass_to_line"] == pytest.approx(310.0, abs=1e-4)
    line = season["plan"]["load_line"]
    assert line["more_to_load"] == pytest.approx(141.25, abs=1e-4)
    assert (line["limiting"]["at"], line["limiting"]["load_line_mark"]) == ("season", "W")


def test_deeper_in_the_river_by_what_is_burnt_before_the_sea(assess):
    """Article 12(3), value from memory: judged at the first point at sea, in salt water."""
    plan = {
        "kind": "voyage",
        "consumption": fuel(30.0),
        "stages": [
            {"name": "River", "days": 1.0, "phase": "at_sea", "inland": True, "water_density": 1.0},
            {"name": "Sea", "days": 5.0, "phase": "arrival", "water_density": 1.025},
        ],
    }
    river = condition(9164.2, 50.0, 6.0, plan=plan, inland=True) | {"water_density": 1.0}
    answer = assess({"vessel": vessel(), "condition": river})
    verdicts = {row["id"]: (row["verdict"], row["because"]) for row in answer["criteria"]}
    assert verdicts["load-lines-draft"] == verdicts["load-lines-low-side"] == ("not_applicable", "condition")
    assert point_at(answer, 1, "end")["load_line"] is None
    # 12 320 t at departure, 12 290 t after a day; 6.0 m of salt water carry 12 300 t
    assert point_at(answer, 2, "start")["load_line"]["mass_to_line"] == pytest.approx(10.0, abs=1e-4)
    assert answer["plan"]["load_line"]["more_to_load"] == pytest.approx(10.0, abs=1e-4)


# --- GM along a voyage: KG(t) = (W0 KG0 - m kg)/(W0 - m), KM falls with the displacement --------------------------

# day: displacement, KG solid, GM corrected; on day 0 the tank is full, and its surface begins with the voyage
DAYS = {
    0: (9000.0, 6.9, 0.99),
    2: (8950.0, 6.934637, 0.911084),
    10: (8750.0, 7.077143, 0.791429),
    20: (8500.0, 7.264706, 0.632353),
}


def test_gm_falls_along_a_voyage_from_double_bottom_fuel(assess):
    """25 t a day at KG 0.7 m, 450 t.m of surface once the tank is broached: the worst day is the last."""
    surface = 450.0 * 12.0 / 0.95 / 20.0**3  # length of a surface 20 m broad
    oil = tank("DB", surface, 20.0, 0.95, depth=600.0 / 0.95 / surface / 20.0, contents="fuel_oil", vcg=0.7)
    hull = ship(8400.0, (9000.0 * 6.9 - 600.0 * 0.7) / 8400.0, 7.95, tpc=20, draft=7.0, tanks=[oil])
    row = hull["hydrostatics"]["rows"][0]
    hull["hydrostatics"]["rows"] = [
        {**row, "draft": mass / 2000.0, "displacement": mass, "km": 7.95 - 1.2e-4 * (mass - 8500.0)}
        for mass in range(8000, 9501, 50)
    ]
    plan = {
        "kind": "voyage",
        "every_days": 2,
        "consumption": [{"contents": "fuel_oil", "mass_per_day": 25.0, "order": [["DB"]]}],
        "stages": [{"name": "Passage", "days": 20, "phase": "arrival"}],
    }
    document = loaded(hull, tanks=[{"tank": "DB", "mass": 600.0, "density": 0.95}], plan=plan)
    answer = assess(document)
    by_day = {p["day"]: p for p in answer["plan"]["points"] if p["kind"] != "begun"}
    for day, (displacement, vcg, gm) in DAYS.items():
        assert by_day[day]["displacement"] == pytest.approx(displacement, abs=1e-6)
        assert by_day[day]["vcg_solid"] == pytest.approx(vcg, abs=1e-6)
        assert by_day[day]["gm_corrected"] == pytest.approx(gm, abs=1e-6)
    (begun,) = (p for p in answer["plan"]["points"] if p["kind"] == "begun")
    assert begun["day"] == 0.0
    assert begun["free_surface_moment"] == pytest.approx(450.0)
    assert min(answer["plan"]["points"], key=lambda p: p["gm_corrected"])["day"] == 20.0


# --- the load line -------------------------------------------------------------------------------------------------


def test_what_is_burnt_before_the_summer_zone_may_be_loaded_beyond(assess):
    """myseatime.com: ten days to the summer zone, 40 t of fuel a day, 15 t of fresh water made and 10 t used a day:
    350 t beyond the 80 000 t of the summer line. She is under the tropical mark until then."""
    tanks = [
        tank("FO", 20.0, 10.0, 0.95, contents="fuel_oil"),
        tank("FW", 20.0, 10.0, 1.0, contents="fresh_water"),
    ]
    marks = {"summer_draft": 8.0, "marks": {"S": 8.0, "T": 8.5}}
    hull = ship(
        80_000.0, 8.0, 9.5, draft=8.0, tpc=80.0, tanks=tanks, load_lines=marks, rule_sets=["load-lines"]
    )
    plan = {
        "kind": "voyage",
        "consumption": [
            {"contents": "fuel_oil", "mass_per_day": 40.0, "order": [["FO"]]},
            {"contents": "fresh_water", "mass_per_day": -5.0, "order": [["FW"]]},
        ],
        "stages": [
            {"name": "Tropics", "days": 10, "load_line_mark": "T"},
            {"name": "Summer zone", "phase": "arrival", "load_line_mark": "S"},
        ],
    }
    oil = {"tank": "FO", "mass": 900.0, "density": 0.95}
    document = loaded(hull, tanks=[oil, {"tank": "FW", "mass": 100.0, "density": 1.0}], plan=plan)
    document["condition"]["load_line_mark"] = "T"
    document["vessel"]["lightship"]["mass"] -= 1000.0
    line = assess(document)["plan"]["load_line"]
    assert line["more_to_load"] == pytest.approx(350.0, abs=1e-6)
    assert line["greatest_departure_displacement"] == pytest.approx(80_350.0, abs=1e-6)
    assert (line["limiting"]["stage"], line["limiting"]["at"]) == (2, "start")


def test_days_until_she_is_at_the_line(assess):
    """100 t over in winter, 25 t a day: 4 days (closed form)."""
    winter = {"name": "Winter", "days": 10, "phase": "arrival", "load_line_mark": "W"}
    plan = {"kind": "voyage", "consumption": fuel(25.0), "stages": [winter]}
    cargo = 5.875 * 2050.0 + 100.0 - 2050.0 - 4 * 276.45
    answer = assess({"vessel": vessel(), "condition": condition(cargo, 50.0, 6.0, plan=plan)})
    line = answer["plan"]["load_line"]
    assert line["mass_to_line"] == pytest.approx(-100.0, abs=1e-6)
    assert line["days_to_line"] == pytest.approx(4.0, abs=1e-6)
    assert answer["verdict"] == answer["plan"]["verdict"] == "fail"
    worst = next(row for row in answer["plan"]["worst"] if row["criterion"] == "load-lines-draft")
    assert (worst["stage"], worst["at"], worst["verdict"]) == (1, "start", "fail")


# --- seasonal periods, ICLL Annex II regulation 46; the dates are inclusive -----------------------------------------

NORTH_ATLANTIC_I, NORTH_ATLANTIC_II = ((10, 16), (4, 15)), ((11, 1), (3, 31))
SOUTHERN = ((4, 16), (10, 15))
SEASONS = [
    (NORTH_ATLANTIC_I, "04-15", "W"),
    (NORTH_ATLANTIC_I, "04-16", "S"),
    (NORTH_ATLANTIC_I, "10-15", "S"),
    (NORTH_ATLANTIC_I, "10-16", "W"),
    (NORTH_ATLANTIC_II, "03-31", "W"),
    (NORTH_ATLANTIC_II, "04-01", "S"),
    (NORTH_ATLANTIC_II, "10-31", "S"),
    (NORTH_ATLANTIC_II, "11-01", "W"),
    (SOUTHERN, "04-15", "S"),
    (SOUTHERN, "04-16", "W"),
    (SOUTHERN, "10-15", "W"),
    (SOUTHERN, "10-16", "S"),
]


@pytest.mark.parametrize("year", [2023, 2024])
@pytest.mark.parametrize(("zone", "day", "mark"), SEASONS)
def test_the_first_and_the_last_day_of_a_season(zone, day, mark, year):
    found = Season(*zone, "W", "S")
    for clock in ("00:00:00", "23:59:59"):
        assert found.mark_at(datetime.fromisoformat(f"{year}-{day}T{clock}+00:00")) == mark


@pytest.mark.parametrize(("year", "first"), [(2023, 1), (2024, 29)])
def test_a_season_from_the_29_of_february_begins_in_march_where_there_is_none(year, first):
    marks = Season((2, 29), (3, 10), "W", "S").marks(datetime(year, 2, 28, tzinfo=UTC), 0.0, 5.0)
    # 28 February, and the day after it, whichever that is
    assert marks == ((0.0, "S"), (1.0, "W")), first
