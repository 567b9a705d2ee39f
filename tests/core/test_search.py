"""Sensitivities: the change per tonne against the derivatives of closed forms, and the whole jumps.

Truth: the ship of tests/core/ship.py, whose KM is the same at every displacement and whose free surfaces are constant:
with displacement W, moment M of the mass about the baseline and free surface F, GM = KM - (M + F) / W. A tonne that
lands on the surface of a box tank at z lies there: dM/dm = z of the surface.
"""

from dataclasses import replace
from math import atan, degrees

import pytest

from service.core.assessment import assess
from service.core.condition import Condition
from service.core.filling import filling_of, refilled
from service.core.search import gains_of, tank_sensitivity, weight_sensitivity
from service.core.tank import AT_LIMIT, EMPTY, PRESSED_UP, SLACK, PrintedColumn, TankTable
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    KM,
    SALT,
    box_tank,
    condition,
    line,
    printed_tank,
    rectangular_tank,
    vessel,
    wedge_tank,
)

AREA = 80.0
"""m2 of the surface of a box tank."""
INERTIA = 10.0 * 8.0**3 / 12.0


def ship() -> Vessel:
    return vessel(
        box_tank("MID"),
        box_tank("WING", y=4.0),
        wedge_tank("PEAK"),
        rectangular_tank("FW", contents="ballast"),
    )


def moments(given: Condition, masses: dict[str, float]) -> tuple[float, float, float]:
    """Displacement, moment about the baseline and free surface moment of MID and WING boxes, by hand."""
    mass = 3600.0 + 4000.0 + sum(masses.values())
    vertical = 3600.0 * 7.0 + 4000.0 * 5.6
    surface = 0.0
    for aboard in masses.values():
        depth = aboard / SALT / AREA
        vertical += aboard * (1.0 + 0.5 * depth)
        surface += SALT * INERTIA if 0.0 < depth < 4.9 else 0.0
    return mass, vertical, surface


def gm(masses: dict[str, float]) -> float:
    mass, vertical, surface = moments(condition(), masses)
    return KM - (vertical + surface) / mass


def test_a_tonne_in_a_slack_tank_lands_on_its_surface():
    her = ship()
    given = condition(line(her, "MID", mass=200.0))
    found = tank_sensitivity(her, given, assess(her, given), her.index["MID"])
    mass, vertical, surface = moments(given, {"MID": 200.0})
    z = 1.0 + 200.0 / SALT / AREA
    wanted = (vertical + surface) / mass**2 - z / mass
    assert found.effect.figures["gm_corrected"] == pytest.approx(wanted, rel=1e-5)
    assert found.effect.figures["draft_at_lcf"] == pytest.approx(1.0 / 1500.0, rel=1e-9)
    assert not found.kink
    assert found.step == pytest.approx(max(0.1, 0.001 * 400.0 * SALT))


def test_a_tonne_to_port_lists_her_to_port():
    her = ship()
    given = condition(line(her, "MID", mass=200.0))
    found = tank_sensitivity(her, given, assess(her, given), her.index["WING"])
    step = found.step
    low, high = gm({"MID": 200.0, "WING": step}), gm({"MID": 200.0, "WING": 2.0 * step})
    lists = [degrees(atan(4.0 * m / (7800.0 + m) / g)) for m, g in ((step, low), (2.0 * step, high))]
    assert found.effect.figures["list"] == pytest.approx((lists[1] - lists[0]) / step, rel=1e-4)
    assert found.effect.figures["gm_corrected"] == pytest.approx((high - low) / step, rel=1e-3)
    assert found.kink, "she is empty: a free surface appears"


@pytest.mark.parametrize(
    ("fill", "state", "kink"),
    [
        (0.0, EMPTY, True),
        (50.0, SLACK, False),
        (97.92, SLACK, True),
        (98.0, AT_LIMIT, True),
        (100.0, PRESSED_UP, False),
    ],
)
def test_no_difference_is_taken_across_a_jump(fill: float, state: str, kink: bool):
    """The jump of the free surface would show as more than ten times the gradient."""
    her = ship()
    given = condition(line(her, "MID", fill=fill))
    found = tank_sensitivity(her, given, assess(her, given), her.index["MID"])
    assert found.filling.piece_of(found.filling.mass).state == state
    assert found.kink is kink
    assert abs(found.effect.figures["gm_corrected"]) < 1e-3
    assert SALT * INERTIA / 8000.0 / found.step > 1e-2


def test_pressing_up_and_emptying_are_the_whole_jump():
    her = ship()
    given = condition(line(her, "MID", mass=200.0))
    found = tank_sensitivity(her, given, assess(her, given), her.index["MID"])
    before = gm({"MID": 200.0})
    assert found.press_up.mass_change == pytest.approx(400.0 * SALT - 200.0)
    assert found.press_up.effect.figures["gm_corrected"] == pytest.approx(
        gm({"MID": 410.0}) - before, rel=1e-9
    )
    assert found.empty.mass_change == -200.0
    assert found.empty.effect.figures["gm_corrected"] == pytest.approx(gm({}) - before, rel=1e-9)


def test_what_is_so_already_is_no_jump():
    her = ship()
    for fill, present in ((0.0, "empty"), (100.0, "press_up"), (99.0, "press_up")):
        given = condition(line(her, "MID", fill=fill))
        assert getattr(tank_sensitivity(her, given, assess(her, given), 0), present) is None


def test_a_tank_not_named_by_the_condition_is_empty():
    her = ship()
    named, unnamed = condition(line(her, "MID", mass=0.0)), condition()
    first, second = (tank_sensitivity(her, given, assess(her, given), 0) for given in (named, unnamed))
    assert first.effect == second.effect
    assert first.press_up == second.press_up


def test_the_pieces_of_a_range_are_those_of_its_states():
    """Limit 95 %, counted as slack up to 98 % where the IS Code binds (2008 IS Code Part B 3.1.2)."""
    her = vessel(box_tank("A", normal_limit=95.0))
    plain, code = (filling_of(her, condition(), 0, by_the_code) for by_the_code in (False, True))
    assert [piece.state for piece in plain.pieces] == [EMPTY, SLACK, AT_LIMIT, PRESSED_UP]
    assert [piece.counted_as for piece in code.pieces] == [EMPTY, SLACK, SLACK, SLACK, PRESSED_UP]
    assert code.pieces[3].high == pytest.approx(0.9795 * 400.0 * SALT, rel=1e-5)
    assert plain.pieces[-1].high == plain.full == 400.0 * SALT


@pytest.mark.parametrize(("unpumpable", "from_"), [(0.0, 40.0), (25.0, 40.0), (60.0, 60.0)])
def test_it_is_slack_from_the_first_row_of_its_table_or_from_what_pumps_leave(unpumpable, from_):
    """A table that begins at 40 m3 says nothing of less. Source: definition."""
    table = box_tank("A").table
    rows = {name: values[1:] for name, values in vars(table).items()}
    her = vessel(box_tank("A", table=TankTable(**rows), unpumpable=unpumpable))
    filling = filling_of(her, condition(), 0, False)
    assert filling.emptied == unpumpable * SALT
    assert filling.slack.low == pytest.approx(from_ * SALT, rel=1e-4)


def test_a_mass_of_100_percent_is_given_by_percent_and_one_beyond_it_by_mass():
    filling = filling_of(vessel(box_tank("A")), condition(), 0, False)
    lines = [filling.line(part * filling.full) for part in (0.99, 1.0, 1.05)]
    assert [each.quantity for each in lines] == ["mass", "fill", "mass"]
    assert [lines[0].value, lines[2].value] == pytest.approx([0.99 * filling.full, 1.05 * filling.full])


def test_a_printed_tank_jumps_at_its_printed_limit_mass():
    her = vessel(printed_tank("F", PrintedColumn("fuel_oil", 0.95, 92.5, 150.0, 40.0, 0.05)))
    filling = filling_of(her, condition(), 0, False)
    assert [piece.state for piece in filling.pieces] == [EMPTY, SLACK, AT_LIMIT, PRESSED_UP]
    assert filling.pieces[2].low == pytest.approx(92.45, abs=1e-3)
    assert filling.pieces[2].high == pytest.approx(92.55, abs=1e-3)


def test_an_empty_tank_takes_the_density_of_its_liquid_aboard():
    her = vessel(box_tank("A", "fuel_oil"), box_tank("B", "fuel_oil"))
    assert filling_of(her, condition(), 1, False, {"fuel_oil": (0.961,)}).density == 0.961
    assert filling_of(her, condition(), 1, False, {"fuel_oil": (0.961, 0.97)}).density == 0.95


def test_weights_by_mass_and_height():
    """GM = KM - M / W: per t (M / W - z) / W, per m of height -w / W."""
    her = ship()
    given = condition(weights=[Weight(4000.0, 53.0, 5.6), Weight(100.0, 60.0, 12.0)])
    mass = 7700.0
    vcg = (3600.0 * 7.0 + 4000.0 * 5.6 + 100.0 * 12.0) / mass
    found = weight_sensitivity(her, given, assess(her, given), 1)
    assert found.per_mass.figures["gm_corrected"] == pytest.approx((vcg - 12.0) / mass, rel=1e-6)
    assert found.per_height.figures["gm_corrected"] == pytest.approx(-100.0 / mass, rel=1e-9)
    assert found.per_height.figures["draft_at_lcf"] == 0.0


def test_gains_name_the_tanks_that_help_most():
    her = ship()
    given = condition(line(her, "MID", mass=200.0), line(her, "WING", fill=100.0))
    base = assess(her, given)
    found = [tank_sensitivity(her, given, base, tank) for tank in range(len(her.tanks))]
    gains = gains_of(found, ["afloat-gm"])["afloat-gm"]
    assert [gain.per_mass for gain in gains] == sorted((gain.per_mass for gain in gains), reverse=True)
    assert len(gains) <= 3
    best = {gain.tank: gain for gain in gains}[her.index["MID"]]
    assert best.move in ("empty", "press_up")
    jumped = assess(her, refilled(given, [found[0].filling.line(200.0 + best.mass_change)]))
    assert best.change == pytest.approx(
        jumped.situation.gm_corrected - base.situation.gm_corrected, rel=1e-12
    )
    assert best.per_mass == pytest.approx(best.change / abs(best.mass_change))


def test_what_gains_nothing_is_not_named():
    """A tank on the surface of which a tonne changes a margin by nothing helps nobody. Source: definition."""
    her = ship()
    given = condition(line(her, "MID", mass=200.0))
    found = tank_sensitivity(her, given, assess(her, given), her.index["MID"])
    effect = found.effect._replace(margins={"afloat-gm": 0.0})
    alone = replace(found, effect=effect, press_up=None, empty=None)
    assert gains_of([alone], ["afloat-gm"]) == {"afloat-gm": []}


def test_a_mirrored_tank_has_the_mirrored_effect():
    her = vessel(box_tank("P", y=4.0), box_tank("S", y=-4.0))
    given = condition(line(her, "P", mass=100.0), line(her, "S", mass=100.0))
    base = assess(her, given)
    port, starboard = (tank_sensitivity(her, given, base, tank).effect.figures for tank in (0, 1))
    assert port["list"] == pytest.approx(-starboard["list"], rel=1e-9)
    assert port["gm_corrected"] == pytest.approx(starboard["gm_corrected"], rel=1e-9)


def test_lines_that_are_the_same_are_not_looked_up_again_and_give_the_same():
    """With one line changed, one added, and all as they were."""
    her = ship()
    given = condition(line(her, "MID", mass=200.0), line(her, "PEAK", fill=40.0))
    base = assess(her, given)
    for changed in (
        given,
        refilled(given, [line(her, "MID", mass=210.0)]),
        refilled(given, [line(her, "WING", fill=30.0)]),
    ):
        quick, plain = assess(her, changed, like=base), assess(her, changed)
        assert quick.liquids == plain.liquids
        assert quick.displacement == plain.displacement
        assert quick.criteria == plain.criteria
