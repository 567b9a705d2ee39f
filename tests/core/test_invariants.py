"""What does not change the answer, or changes it in a way that is known beforehand.

Truth: invariants. The order of lines, a weight split or a tank named empty changes nothing; a mirror exchanges the
sides; masses and densities in proportion change no draft; a ship of the same shape has every length in proportion.
"""

from dataclasses import replace

import pytest

from service.core.assessment import Assessment, assess
from service.core.condition import Condition
from service.core.cross_curves import CrossCurves, CrossCurveTable
from service.core.free_surface import BASES
from service.core.hydrostatics import Floating, Hydrostatics, HydrostaticTable
from service.core.opening import DeckEdge, ImmersionTable
from service.core.tank import Tank
from service.core.vessel import GmLimit, Vessel
from service.core.weight import Weight
from tests.core.figures import aboard, figures, same
from tests.core.ship import (
    CARGO_WEIGHT,
    DRAFTS,
    HEELS,
    LIGHTSHIP,
    RULE_SETS,
    SALT,
    box_tank,
    condition,
    cross_curve_table,
    full_vessel,
    hydrostatics,
    line,
    opening,
    row,
    vessel,
)

SHIP = full_vessel()


@pytest.mark.parametrize("basis", BASES)
def test_the_order_of_weights_and_tanks(basis):
    """Sums are exactly rounded: not a digit moves, and what is said of each line stays with it."""
    there = aboard(basis=basis)
    back = replace(there, tanks=list(reversed(there.tanks)), weights=list(reversed(there.weights)))
    a, b = assess(SHIP, there), assess(SHIP, back)
    same(figures(a), figures(b), 1e-12)
    assert a.displacement == b.displacement
    assert a.liquids == list(reversed(b.liquids))
    assert a.surfaces.surfaces == list(reversed(b.surfaces.surfaces))
    assert a.surfaces.judged.exempt == list(reversed(b.surfaces.judged.exempt))
    assert a.surfaces.judged.assumed == b.surfaces.judged.assumed


def test_splitting_a_weight():
    whole = aboard()
    first, *rest = whole.weights
    parts = [first._replace(mass=first.mass * part) for part in (0.5, 0.25, 0.25)]
    split = replace(whole, weights=[*parts, *rest])
    same(figures(assess(SHIP, whole)), figures(assess(SHIP, split)), 1e-12)


@pytest.mark.parametrize("basis", BASES)
def test_a_tank_emptied_is_a_tank_absent(basis):
    """In every figure; that they are not mentioned is said."""
    emptied = aboard(basis=basis, BP=0.0, F1=0.0, FW=0.0, FS=0.0)
    absent = replace(emptied, tanks=[t for t in emptied.tanks if t.value > 0.0])
    assert len(absent.tanks) == 4
    one, two = figures(assess(SHIP, emptied)), figures(assess(SHIP, absent))
    assert set(two.pop("findings")) - set(one.pop("findings")) == {"partner_tank_not_mentioned"}
    same(one, two, 1e-14)


# --- port and starboard ----------------------------------------------------------------------------------------

OTHER_SIDE = {"port": "starboard", "starboard": "port", "centre": "centre"}


def mirrored_tank(tank: Tank) -> Tank:
    table = None if tank.table is None else replace(tank.table, tcg=[-y for y in tank.table.tcg])
    return replace(tank, side=OTHER_SIDE[tank.side], tcg=-tank.tcg, table=table)


def mirrored(ship: Vessel) -> Vessel:
    """The ship as a mirror shows her."""
    tables = tuple(
        replace(t, rows=[r._replace(tcb=None if r.tcb is None else -r.tcb) for r in t.rows])
        for t in ship.hydrostatics.tables
    )
    openings = ship.openings and tuple(replace(o, y=-o.y) for o in ship.openings)
    return replace(
        ship,
        lightship=ship.lightship._replace(tcg=-ship.lightship.tcg),
        hydrostatics=replace(ship.hydrostatics, tables=tables),
        tanks=tuple(map(mirrored_tank, ship.tanks)),
        openings=openings,
    )


def mirrored_condition(given: Condition) -> Condition:
    observed = None if given.observed_list is None else -given.observed_list
    return replace(given, weights=[w._replace(tcg=-w.tcg) for w in given.weights], observed_list=observed)


def seen_in_a_mirror(ship: Vessel, given: Condition) -> Assessment:
    """The answer: every figure is the same in the mirror, but that list, TCG, TCB and side change their sign."""
    result = assess(ship, given)
    one, two = figures(result), figures(assess(mirrored(ship), mirrored_condition(given)))
    for name in ("list", "tcg", "tcb", "side"):
        if two.get(name) is not None:
            two[name] = -two[name]
    for name, value in two.items():
        if name.endswith(" side"):
            two[name] = OTHER_SIDE[value]
    same(one, two, 1e-12)
    return result


@pytest.mark.parametrize("basis", BASES)
@pytest.mark.parametrize("heights", [(11.0, 10.5), (9.0, 9.0), (8.6, 11.0)])
def test_port_and_starboard_exchanged(basis, heights):
    openings = (opening("P", 6.0, heights[0]), opening("S", -6.0, heights[1]))
    ship = full_vessel(openings=openings)
    assert seen_in_a_mirror(ship, aboard(ship, basis)).situation.rest.list_angle != 0.0


PRINTED = (
    ImmersionTable((2.0, 8.0), (55.0, 20.0)),
    ImmersionTable((2.0, 8.0), (52.0, 17.0), trim=2.0),
)
ASYMMETRIC = full_vessel(
    lightship=LIGHTSHIP._replace(tcg=0.03),
    openings=(
        opening("P", 6.0, 9.5, immersion=PRINTED),
        opening("S", -5.5, 9.2, "weathertight", closes_automatically=True),
        opening("C", 0.0, 12.0, x=20.0),
        opening("S2", -7.0, 10.0, x=80.0),
    ),
    load_line_drafts={"S": 5.3},
)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"load_line_mark": "S", "deflection": 0.1, "observed_list": 2.0},
        {"weights": [CARGO_WEIGHT, Weight(200.0, 50.0, 6.0, -5.0)]},  # a large list
        {"weights": [CARGO_WEIGHT._replace(lcg=50.5), Weight(40.0, 50.0, 6.0, 5.0)]},  # by the stern
        {"weights": [CARGO_WEIGHT._replace(vcg=8.4), Weight(1.0, 50.0, 6.0, 2.0)]},  # GM negative
        {"weights": [CARGO_WEIGHT, Weight(3000.0, 50.0, 6.0, 8.0)]},  # no angle of rest
        {"weights": [Weight(60_000.0, 50.0, 6.0, 1.0)]},  # off her tables
        {"weights": [CARGO_WEIGHT._replace(lcg=80.0), Weight(10.0, 50.0, 6.0, 1.0)]},  # trim off her tables
    ],
)
@pytest.mark.parametrize("curves", [True, False])
def test_whatever_she_floats_like_the_mirror_shows_the_same(changes, curves):
    """Printed angles for two trims, an opening that only one rule counts, list, loll, capsize, off the tables."""
    ship = ASYMMETRIC if curves else replace(ASYMMETRIC, cross_curves=None)
    given = replace(aboard(ship), **changes)
    result = seen_in_a_mirror(ship, given)
    assert result.situation.heeling_arm != 0.0


def test_the_centre_of_buoyancy_off_the_centreline_in_the_mirror():
    rows = [{**row(d, t), "tcb": 0.02 + 0.001 * t} for t in (-3.0, 0.0, 3.0) for d in DRAFTS]
    ship = full_vessel(hydrostatics=Hydrostatics.from_rows(SALT, True, rows))
    assert seen_in_a_mirror(ship, aboard(ship)).situation.flotation.tcb != 0.0


@pytest.mark.parametrize("openings", [(), None, (opening("P", 5.0, 9.0), opening("S", -5.0, 9.0))])
def test_a_ship_that_is_her_own_mirror_image(openings):
    """Exactly upright both sides are one: no row names a side, and every figure is the same bit for bit."""
    ship = vessel(openings=openings)
    result = assess(ship, condition(rule_sets=RULE_SETS))
    assert figures(result) == figures(assess(mirrored(ship), condition(rule_sets=RULE_SETS)))
    assert not [name for name in figures(result) if name.endswith(" side")]


# --- sizes -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("factor", [0.9, 1.1])
def test_everything_heavier_in_proportion_floats_the_same(factor):
    """All masses, moments of mass and the density of the water scaled: drafts, GM and levers stay."""
    ship = vessel(box_tank("A"), wind_profile=SHIP.wind_profile)
    heavier = replace(ship, lightship=ship.lightship._replace(mass=ship.lightship.mass * factor))
    given = condition(line(ship, "A", density=1.0, volume=150.0), rule_sets=("is-code-2008-a-2.2",))
    scaled = replace(
        given,
        tanks=[t._replace(density=t.density * factor) for t in given.tanks],
        weights=[w._replace(mass=w.mass * factor) for w in given.weights],
        water_density=given.water_density * factor,
    )
    one, two = figures(assess(ship, given)), figures(assess(heavier, scaled))
    totals = (
        "as_filled",
        "maximum_when_slack",
        "by_rule total",
        "judged total",
        "by_rule exempt",
        "judged exempt",
    )
    for name in ("mass", "free_surface_moment", "tpc", "mctc", *totals):
        two[name] /= factor
    del one["findings"], two["findings"]  # the scaled densities are unusual, and that is said
    same(one, two, 1e-12)


METRES = ("m", "m·rad", "m·degree")
"""Units of rows that grow with the ship."""


def enlarged(ship: Vessel, by: float) -> Vessel:
    """A ship of the same shape, all lengths multiplied: areas, volumes and moments by their powers; densities stay.

    Of `vessel()` with box tanks and openings; what is printed in degrees stays."""

    def grown(values, power: int = 1):
        return None if values is None else [value * by**power for value in values]

    def tank(t: Tank) -> Tank:
        x = t.table
        table = replace(x, volume=grown(x.volume, 3), lcg=grown(x.lcg), vcg=grown(x.vcg), tcg=grown(x.tcg),
                        sounding=grown(x.sounding), ullage=grown(x.ullage), inertia=grown(x.inertia, 4))  # fmt: skip
        size = {"capacity": t.capacity * by**3, "unpumpable": t.unpumpable * by**3}
        return replace(t, table=table, lcg=t.lcg * by, vcg=t.vcg * by, tcg=t.tcg * by, **size)

    def floating(row: Floating) -> Floating:
        powers = {"draft": 1, "lcb": 1, "lcf": 1, "km": 1, "tpc": 2, "mctc": 3, "vcb": 1}
        return row._replace(**{n: v * by**p for n, p in powers.items() if (v := getattr(row, n)) is not None})

    hydrostatic = replace(
        ship.hydrostatics,
        tables=tuple(
            HydrostaticTable(t.trim * by, grown(t.displacement, 3), [floating(r) for r in t.rows])
            for t in ship.hydrostatics.tables
        ),
    )
    curves = ship.cross_curves
    tables = tuple(
        CrossCurveTable(t.trim * by, grown(t.displacements, 3), t.levers * by) for t in curves.tables
    )
    p, light = ship.particulars, ship.lightship
    return replace(
        ship,
        particulars=replace(p, length_bp=p.length_bp * by, breadth=p.breadth * by),
        lightship=Weight(light.mass * by**3, light.lcg * by, light.vcg * by, light.tcg * by),
        hydrostatics=hydrostatic,
        cross_curves=CrossCurves(curves.density, curves.heels, tables),
        tanks=tuple(map(tank, ship.tanks)),
        openings=tuple(replace(o, x=o.x * by, y=o.y * by, z=o.z * by, immersion=tuple(
            replace(t, draft=grown(t.draft), trim=t.trim * by) for t in o.immersion)) for o in ship.openings),
        deck_edge=DeckEdge(tuple(tuple(v * by for v in point) for point in ship.deck_edge.points)),
        load_line_drafts={mark: draft * by for mark, draft in ship.load_line_drafts.items()},
        gm_limits=tuple(replace(c, draft=grown(c.draft), value=grown(c.value)) for c in ship.gm_limits),
    )  # fmt: skip


LENGTHS = (
    "km", "gm_solid", "gm_corrected", "lcg", "tcg", "vcg_solid", "vcg_corrected", "free_surface_correction",
    "draft_at_lcf", "draft_forward", "draft_midship", "draft_aft", "trim", "lcb", "lcf", "vcb", "tcb", "maximum",
)  # fmt: skip
SAME = (
    "list",
    "loll",
    "flooding",
    "flooding_automatic",
    "deck_edge",
    "half_freeboard",
    "angle_of_maximum",
    "vanishing",
)
OF_FOURTH_POWER = ("as_filled", "maximum_when_slack", "by_rule total", "judged total", "free_surface_moment")


@pytest.mark.parametrize("by", [1.0 / 0.3048, 0.5])
@pytest.mark.parametrize("trims", [(0.0,), (-3.0, 0.0, 3.0)])
@pytest.mark.parametrize("arm", [2.0, -40.0])
def test_a_ship_of_the_same_shape_in_another_size(by, trims, arm):
    """Every length grows with her, every mass with the cube, every moment of mass with the fourth power; angles stay.
    So do the units of length: what is feet to one ship is metres to the other."""
    tables = tuple(cross_curve_table(t, more=-0.005 * t) for t in trims)
    ship = vessel(
        box_tank("A", y=3.0, breadth=6.0),
        box_tank("F", "fuel_oil", x=30.0, breadth=4.0),
        hydrostatics=hydrostatics(trims),
        cross_curves=CrossCurves(SALT, HEELS, tables),
        openings=(opening("P", 6.0, 9.5, immersion=PRINTED), opening("S", -7.0, 9.0, x=20.0)),
        load_line_drafts={"S": 6.2, "T": 6.3, "W": 6.1, "WNA": 6.0},
        gm_limits=(GmLimit("Own", "min_gm", (2.0, 8.0), (0.4, 0.2)),),
    )
    rules = ("is-code-2008-a-2.2", "is-code-2008-a-2.2.3-alternative", "46-cfr-170.173", "vessel-gm-limits")
    given = condition(
        line(ship, "A", density=1.0, volume=100.0),
        line(ship, "F", density=0.9, fill=99.0),
        weights=[CARGO_WEIGHT._replace(lcg=52.0), Weight(40.0, 50.0, 6.0, arm)],
        rule_sets=rules,
    )
    larger = enlarged(ship, by)
    tanks = [given.tanks[0]._replace(value=100.0 * by**3), given.tanks[1]]
    weights = [Weight(w.mass * by**3, w.lcg * by, w.vcg * by, w.tcg * by) for w in given.weights]
    first, second = assess(ship, given), assess(larger, replace(given, tanks=tanks, weights=weights))
    one, two = figures(first), figures(second)
    assert one["gaps"] == two["gaps"] == {}
    for names, power in ((LENGTHS, 1), (SAME, 0), (OF_FOURTH_POWER, 4), (("mass",), 3)):
        for name in names:
            expected = one[name] and one[name] * by**power
            assert two[name] == (None if expected is None else pytest.approx(expected, rel=1e-9, abs=1e-9)), (
                name
            )
    for (_, small), (_, large) in zip(first.criteria, second.criteria, strict=True):
        power = 1 if small.row.unit in METRES else 0
        for attained, grown_so in ((small.attained, large.attained), (small.vcg_effect, large.vcg_effect)):
            grows = power if attained is small.attained else 0
            expected = attained and attained * by**grows
            assert grown_so == (None if expected is None else pytest.approx(expected, rel=1e-9)), small.row.id
