"""Whatever is aboard and whatever the booklet lacks: an answer whose holes have reasons, or a refusal that names the
place; never "not a number", never another error.

Property-based (hypothesis); the properties are the promises of the assessment, not figures.
"""

from dataclasses import replace
from math import isfinite, isnan

from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.assessment import Assessment, assess
from service.core.condition import Condition, TankLine
from service.core.cross_curves import CrossCurves
from service.core.errors import CoreError
from service.core.free_surface import BASES
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY, PASS
from service.core.tank import CONTENTS, QUANTITIES
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    HEELS,
    RULE_SETS,
    cross_curve_table,
    cross_curves,
    full_vessel,
    hydrostatics,
    particulars,
    said,
)

WHOLE = full_vessel()
GAPS = (
    {"cross_curves": None},
    {"openings": None},
    {"openings": ()},
    {"wind_profile": None},
    {"deck_edge": None},
    {"gm_limits": ()},
    {"load_line_drafts": None},
    {
        "particulars": particulars(
            length_waterline=None, block_coefficient=None, bilge=None, bilge_keel_area=None
        )
    },
    {"propeller": None, "bridge": None, "draft_marks": ()},
    # one trim: any moment has its trim, so that drafts may be anything, negative ones included
    {"hydrostatics": hydrostatics(vcb=False), "cross_curves": cross_curves()},
    # tables that begin or end elsewhere
    {"hydrostatics": hydrostatics((-1.0, 1.0)), "rule_sets": ("is-code-2008-a-2.2",)},
    {
        "cross_curves": CrossCurves(1.0, HEELS[:2], (cross_curve_table(drafts=(4.0, 5.0), heels=HEELS[:2]),)),
    },
)
SHIPS = [WHOLE, *(replace(WHOLE, **gap) for gap in GAPS)]
FIGURES = ("flotation", "stability", "righting_lever", "list")

TANK_LINES = st.tuples(
    st.sampled_from(QUANTITIES),
    st.one_of(st.floats(0.0, 110.0), st.floats(0.0, 1e7)),
    st.floats(0.5, 2.0),
    st.sampled_from(CONTENTS),
)
WEIGHTS = st.builds(
    Weight,
    st.one_of(st.floats(0.0, 5000.0), st.floats(-1e7, 1e7)),
    st.one_of(st.floats(0.0, 100.0), st.floats(-5000.0, 5000.0)),
    st.one_of(st.floats(0.0, 15.0), st.floats(-5000.0, 5000.0)),
    st.one_of(st.just(0.0), st.floats(-8.0, 8.0), st.floats(-5000.0, 5000.0)),
)


@st.composite
def conditions(draw: st.DrawFn) -> Condition:
    chosen = draw(st.lists(st.integers(0, len(WHOLE.tanks) - 1), unique=True, max_size=len(WHOLE.tanks)))
    lines = [TankLine(tank, *draw(TANK_LINES)) for tank in chosen]
    weights = draw(st.lists(WEIGHTS, max_size=3))
    deck_cargo = draw(st.sets(st.integers(0, 2)))
    return Condition(
        tanks=lines,
        weights=weights,
        water_density=draw(st.one_of(st.just(1.025), st.floats(0.5, 2.0))),
        basis=draw(st.sampled_from(BASES)),
        rule_sets=RULE_SETS,
        wind_area=draw(st.floats(0.0, 5000.0)),
        wind_moment=draw(st.floats(-1e5, 1e5)),
        deck_cargo_without_area=tuple(i for i in sorted(deck_cargo) if i < len(weights)),
        load_line_mark=draw(st.sampled_from([None, "S", "F", "TF", "WNA", "LS"])),
        deflection=draw(st.one_of(st.just(0.0), st.floats(-10.0, 10.0))),
        observed_drafts=draw(st.dictionaries(st.sampled_from(["aft", "forward"]), st.floats(0.0, 20.0))),
        observed_list=draw(st.one_of(st.none(), st.floats(-180.0, 180.0))),
        observed_roll_period=draw(st.one_of(st.none(), st.floats(0.01, 1000.0))),
    )


@st.composite
def afloat(draw: st.DrawFn) -> Condition:
    """Ones that are mostly computable: plausible cargo and fillings."""
    lines = [
        TankLine(
            tank,
            "fill",
            draw(st.floats(0.0, 105.0)),
            draw(st.floats(0.8, 1.1)),
            draw(st.sampled_from(CONTENTS)),
        )
        for tank in draw(st.lists(st.integers(0, len(WHOLE.tanks) - 1), unique=True))
    ]
    cargo = Weight(draw(st.floats(500.0, 7000.0)), draw(st.floats(47.0, 57.0)), draw(st.floats(3.0, 12.0)))
    stores = Weight(draw(st.floats(0.0, 300.0)), 60.0, 9.0, draw(st.floats(-7.0, 7.0)))
    water, basis = draw(st.floats(0.99, 1.03)), draw(st.sampled_from(BASES))
    return Condition(lines, [cargo, stores], water, basis, RULE_SETS)


AFLOAT = (
    "draft_at_lcf",
    "draft_forward",
    "draft_midship",
    "draft_aft",
    "trim",
    "km",
    "tpc",
    "mctc",
    "lcb",
    "lcf",
)


def figures(result: Assessment) -> dict[str, dict[str, float | None]]:
    """Figures that are there unless their gap says why not, by the name of the gap; under "" those that always are."""
    ship, load, curve = result.situation, result.displacement, result.heeled.curve
    always: dict[str, float | None] = dict(load._asdict())
    for i, liquid in enumerate(result.liquids):
        always |= {f"tank {i} {name}": value for name, value in zip(liquid._fields, liquid[:-1])}
    for i, surface in enumerate(result.surfaces.surfaces):
        always |= {f"surface {i}": surface.as_filled, f"greatest {i}": surface.greatest}
    for counted in (result.surfaces.judged, result.surfaces.by_rule):
        if counted is not None:
            moments = [*counted.moments, *(a.moment for a in counted.assumed), *counted.exempt, counted.total]
            always |= {f"{counted.basis} {i}": moment for i, moment in enumerate(moments)}
    afloat_so = ship.flotation
    drafts = {name: None if afloat_so is None else getattr(afloat_so, name) for name in (*AFLOAT, "tcb")}
    levers = {"maximum": None if curve is None else curve.maximum}
    if curve is not None:
        levers |= {"angle of maximum": curve.angle_of_maximum}
        levers |= {f"lever at {heel}": lever for heel, lever in zip(curve.heels, curve.levers)}
    return {
        "": always,
        "flotation": drafts,
        "stability": {"km": ship.km, "gm_solid": ship.gm_solid, "gm_corrected": ship.gm_corrected},
        "righting_lever": levers if ship.vessel.cross_curves is not None else {},
        "list": {"list": ship.rest.list_angle},
    }


def holes(result: Assessment) -> list[str]:
    """Figures that are missing without a reason, there in spite of one, or no finite numbers."""
    gaps, found = result.situation.gaps, []
    assert set(gaps) <= set(FIGURES)
    for gap, values in figures(result).items():
        for name, value in values.items():
            if value is None and gap not in gaps:
                found.append(f"{name} is missing")
            if value is not None and (gap in gaps or not isfinite(value)):
                found.append(f"{name} is {value} with {gaps.get(gap)}")
    return found


def nan_in(result: Assessment) -> list[str]:
    """Where a figure that may be absent is "not a number" instead."""
    ship, heeled = result.situation, result.heeled
    optional = {
        "loll": ship.rest.loll,
        "vanishing": None if heeled.curve is None else heeled.curve.vanishing_angle,
        "roll period": result.roll_period,
        "flooding": heeled.flooding.angle,
        "flooding automatic": heeled.flooding_automatic.angle,
        "deck edge": ship.deck_edge,
        "half freeboard": ship.half_freeboard,
        **{f"wind {i}": value for i, value in enumerate(ship.wind or ())},
    }
    for rule_set, criterion in result.criteria:
        key = f"{rule_set.name} {criterion.row.id}"
        optional |= {
            f"{key} {detail.key}": detail.value
            for detail in criterion.details
            if not isinstance(detail.value, str)
        }
        optional[f"{key} attained"] = criterion.attained
        optional[f"{key} required"] = criterion.required
        optional[f"{key} effect"] = criterion.vcg_effect
    return [name for name, value in optional.items() if value is not None and isnan(value)]


def check(ship: Vessel, given: Condition) -> Assessment | None:
    """An answer that keeps its promises, or None where the condition is refused with words."""
    result, refused = None, ""
    try:
        result = assess(ship, given)
    except CoreError as error:
        refused = str(error)
    if result is None:
        assert refused
        return None
    assert holes(result) == []
    assert nan_in(result) == []
    surfaces = result.surfaces
    assert min([0.0, *surfaces.judged.moments, *surfaces.judged.exempt]) == 0.0
    assert all(assumed.moment > 0.0 for assumed in surfaces.judged.assumed)
    assert surfaces.judged.total >= (0.0 if surfaces.by_rule is None else surfaces.by_rule.total)
    for gap in result.situation.gaps.values():
        assert gap.cause
        assert str(gap)
    rows_keep_their_promises(result)
    return result


def rows_keep_their_promises(result: Assessment) -> None:
    """Every row has its reason; a pass has what it asks; the whole follows from the rows."""
    for rule_set, criterion in result.criteria:
        assert criterion.reason, (rule_set.name, criterion.row.id)
        assert (criterion.because is not None) is (criterion.verdict == NOT_APPLICABLE), criterion.row.id
        if criterion.verdict == PASS and criterion.margin is not None:
            assert isfinite(criterion.attained), criterion.row.id
            assert isfinite(criterion.required), criterion.row.id
            assert criterion.margin > -1e-8 * max(1.0, abs(criterion.required))
    verdicts = {criterion.verdict for _, criterion in result.criteria}
    ids = [criterion.row.id for _, criterion in result.criteria]
    assert len(ids) == len(set(ids))
    if result.verdict == "pass":
        assert verdicts <= {PASS, NOT_APPLICABLE}
        assert not result.unjudged
        assert result.situation.rest.found
        assert result.situation.gm_corrected > 0.0
        assert not result.situation.gaps
    if FAIL in verdicts:
        assert result.verdict == "fail"
    elif verdicts & {NOT_COMPUTABLE, OUTSIDE_VALIDITY} or result.unjudged:
        assert result.verdict == "incomplete"


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.sampled_from(SHIPS), conditions())
def test_any_condition_is_answered_without_holes_or_refused(ship: Vessel, given_condition: Condition):
    check(ship, given_condition)


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.sampled_from(SHIPS), afloat())
def test_plausible_conditions(ship: Vessel, given_condition: Condition):
    check(ship, given_condition)


@settings(max_examples=80, deadline=None, derandomize=True)
@given(st.lists(afloat(), min_size=2, max_size=3))
def test_what_was_assessed_before_never_matters(given_conditions: list[Condition]):
    """Twice in a row, in both orders, and on a ship nobody assessed before: the same bits."""
    first = [check(WHOLE, each) for each in given_conditions]
    again = [check(WHOLE, each) for each in reversed(given_conditions)]
    fresh = [check(replace(WHOLE), each) for each in given_conditions]
    for one, two, three in zip(first, reversed(again), fresh, strict=True):
        assert (one is None) is (two is None) is (three is None)
        for other in (two, three):
            if one is None or other is None:
                continue
            assert other.displacement == one.displacement
            assert other.situation.flotation == one.situation.flotation
            assert other.situation.rest == one.situation.rest
            assert said(other.criteria) == said(one.criteria)
            assert [*map(str, other.situation.gaps.values())] == [*map(str, one.situation.gaps.values())]
            assert [finding.code for finding in other.findings] == [f.code for f in one.findings]


def test_plausible_conditions_are_mostly_computed():
    """The properties above are about something: of two hundred plausible conditions a third have every figure."""
    answered: list[bool] = []

    @settings(max_examples=200, deadline=None, derandomize=True, database=None)
    @given(afloat())
    def collect(each: Condition) -> None:
        result = check(WHOLE, each)
        answered.append(result is not None and not result.situation.gaps)

    collect()
    assert answered.count(True) > len(answered) / 3
