"""Whatever is aboard and whatever the booklet lacks: an answer without holes, or a refusal that names the place.

Property-based (hypothesis); the properties are the promises of the assessment, not figures.
"""

from dataclasses import replace
from math import isfinite, isnan

from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.assessment import Assessment, assess
from service.core.condition import Condition, TankLine
from service.core.errors import CoreError
from service.core.free_surface import BASES
from service.core.rules.limit import NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY, PASS
from service.core.tank import CONTENTS, QUANTITIES
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import RULE_SETS, full_vessel, particulars

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
)
SHIPS = [WHOLE, *(replace(WHOLE, **gap) for gap in GAPS)]

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
    return Condition(
        tanks=lines,
        weights=draw(st.lists(WEIGHTS, max_size=3)),
        water_density=draw(st.one_of(st.just(1.025), st.floats(0.5, 2.0))),
        basis=draw(st.sampled_from(BASES)),
        rule_sets=RULE_SETS,
        wind_area=draw(st.floats(0.0, 5000.0)),
        wind_moment=draw(st.floats(-1e5, 1e5)),
        load_line_mark=draw(st.sampled_from([None, "S", "F", "TF", "WNA", "LS"])),
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


def holes(result: Assessment) -> list[str]:
    """Names of figures that are not finite numbers although the published answer has no null for them."""
    required: dict[str, float | None] = {
        **result.displacement._asdict(),
        **{name: getattr(result.flotation, name) for name in AFLOAT},
        "gm_solid": result.situation.gm_solid,
        "gm_corrected": result.situation.gm_corrected,
        "tcb": result.flotation.tcb,
    }
    curve = result.heeled.curve
    if curve is not None:
        required |= {"maximum": curve.maximum, "angle_of_maximum": curve.angle_of_maximum}
        required |= {f"lever at {heel}": lever for heel, lever in zip(curve.heels, curve.levers)}
        required["list"] = result.rest.list_angle
    for i, liquid in enumerate(result.liquids):
        required |= {f"tank {i} {name}": value for name, value in zip(liquid._fields, liquid[:-1])}
    for i, surface in enumerate((*result.surfaces, *result.assumed)):
        required[f"moment {i}"] = surface.moment
    return [name for name, value in required.items() if value is None or not isfinite(value)]


def nan_in(result: Assessment) -> list[str]:
    """Where a figure that may be absent is "not a number" instead."""
    optional = {
        "list": result.rest.list_angle,
        "loll": result.rest.loll,
        "vanishing": result.vanishing_angle,
        "roll period": result.roll_period,
        "flooding": result.heeled.flooding.angle,
        "deck edge": result.situation.deck_edge,
        **{f"wind {i}": value for i, value in enumerate(result.situation.wind or ())},
    }
    for name, criterion in result.criteria:
        optional |= {
            f"{name} {criterion.row.id} {detail.key}": detail.value
            for detail in criterion.details
            if not isinstance(detail.value, str)
        }
        optional[f"{name} {criterion.row.id} attained"] = criterion.attained
        optional[f"{name} {criterion.row.id} required"] = criterion.required
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
    assert all(surface.moment >= 0.0 for surface in (*result.surfaces, *result.assumed))
    for name, criterion in result.criteria:
        assert criterion.reason, (name, criterion.row.id)
        if criterion.verdict == PASS:
            assert isfinite(criterion.attained), criterion.row.id
            assert isfinite(criterion.required), criterion.row.id
            assert criterion.margin > -1e-8 * max(1.0, abs(criterion.required))
    verdicts = {criterion.verdict for _, criterion in result.criteria}
    if result.verdict == "pass":
        assert verdicts <= {PASS, NOT_APPLICABLE}
        assert PASS in verdicts
    if verdicts & {NOT_COMPUTABLE, OUTSIDE_VALIDITY}:
        assert result.verdict != "pass"
    return result


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
            assert other.flotation == one.flotation
            assert other.rest == one.rest
            assert other.criteria == one.criteria
            assert [finding.code for finding in other.findings] == [f.code for f in one.findings]


def test_plausible_conditions_are_mostly_computed():
    """The properties above are about something: of two hundred plausible conditions most have an answer."""
    answered: list[bool] = []

    @settings(max_examples=200, deadline=None, derandomize=True, database=None)
    @given(afloat())
    def collect(each: Condition) -> None:
        answered.append(check(WHOLE, each) is not None)

    collect()
    assert answered.count(True) > len(answered) / 3
