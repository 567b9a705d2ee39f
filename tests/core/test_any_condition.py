"""Whatever is aboard and whatever the booklet lacks: an answer without holes, or a refusal that names the place.

Property-based (hypothesis); the properties are the promises of the assessment, not figures.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.assessment import Assessment, assess
from service.core.condition import Condition, TankLine
from service.core.errors import CoreError
from service.core.rules.limit import NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY, PASS
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

ANY = st.floats(allow_nan=False, allow_infinity=False, width=32)
TANK_LINES = st.tuples(
    st.integers(0, 4),
    st.one_of(st.floats(0.0, 110.0), st.floats(0.0, 1e7)),
    st.floats(0.5, 2.0),
    st.integers(0, 7),
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
        basis=draw(st.integers(0, 2)),
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
        TankLine(tank, 2, draw(st.floats(0.0, 105.0)), draw(st.floats(0.8, 1.1)), draw(st.integers(0, 7)))
        for tank in draw(st.lists(st.integers(0, len(WHOLE.tanks) - 1), unique=True))
    ]
    cargo = Weight(draw(st.floats(500.0, 7000.0)), draw(st.floats(47.0, 57.0)), draw(st.floats(3.0, 12.0)))
    stores = Weight(draw(st.floats(0.0, 300.0)), 60.0, 9.0, draw(st.floats(-7.0, 7.0)))
    return Condition(lines, [cargo, stores], draw(st.floats(0.99, 1.03)), draw(st.integers(0, 2)), RULE_SETS)


def holes(result: Assessment, n: int) -> list[str]:
    """Names of figures of condition n that are not finite although the published answer has no null for them."""
    load, f = result.displacement, result.flotation
    required = {
        **{name: getattr(load, name)[n] for name in load.__dataclass_fields__},
        "gm_solid": result.gm_solid[n],
        "gm_corrected": result.gm_corrected[n],
    }
    for name in (
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
    ):
        required[name] = getattr(f, name)[n]
    curve = result.situation.curve
    if curve is not None:
        required |= {"maximum": curve.maximum[n], "angle_of_maximum": curve.angle_of_maximum[n]}
        required["levers"] = curve.levers[n].sum()
        required["list"] = result.stability.list_angle[n]
    here = slice(int(result.batch.first_line[n]), int(result.batch.first_line[n + 1]))
    for name in ("mass", "volume", "fill", "lcg", "vcg", "tcg"):
        required[f"tank {name}"] = getattr(result.liquids, name)[here].sum()
    required["moments"] = result.surfaces.moment[here].sum()
    return [name for name, value in required.items() if not np.isfinite(value)]


def check(result: Assessment, n: int) -> None:
    error = result.refused[n]
    if error is not None:
        assert isinstance(error, CoreError)
        assert str(error)
        return
    assert holes(result, n) == []
    assert (result.surfaces.moment >= 0.0).all()
    for name, criterion in result.criteria_of(n):
        verdict = int(criterion.verdict[n])
        assert criterion.reason(n), (name, criterion.row.id)
        if verdict == PASS:
            assert np.isfinite(criterion.attained[n]), criterion.row.id
            assert np.isfinite(criterion.required[n]), criterion.row.id
            assert criterion.margin[n] > -1e-8 * max(1.0, abs(criterion.required[n]))
    verdicts = {int(c.verdict[n]) for _, c in result.criteria_of(n)}
    if result.verdict(n) == "pass":
        assert verdicts <= {PASS, NOT_APPLICABLE}
        assert PASS in verdicts
    if verdicts & {NOT_COMPUTABLE, OUTSIDE_VALIDITY}:
        assert result.verdict(n) != "pass"


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.sampled_from(SHIPS), st.lists(conditions(), min_size=1, max_size=3))
def test_any_condition_is_answered_without_holes_or_refused(ship: Vessel, given_conditions: list[Condition]):
    result = assess(ship, given_conditions)
    for n in range(len(given_conditions)):
        check(result, n)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.sampled_from(SHIPS), st.lists(afloat(), min_size=1, max_size=3))
def test_plausible_conditions(ship: Vessel, given_conditions: list[Condition]):
    result = assess(ship, given_conditions)
    for n in range(len(given_conditions)):
        check(result, n)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.lists(afloat(), min_size=2, max_size=4))
def test_neighbours_never_matter(given_conditions: list[Condition]):
    batch = assess(WHOLE, given_conditions)
    for n, alone in enumerate(given_conditions):
        single = assess(WHOLE, [alone])
        assert repr(single.refused[0]) == repr(batch.refused[n])
        if single.refused[0] is None:
            for one, many in (
                (single.gm_corrected, batch.gm_corrected),
                (single.flotation.trim, batch.flotation.trim),
                (single.stability.list_angle, batch.stability.list_angle),
            ):
                assert many[n] == pytest.approx(one[0], rel=1e-12, abs=1e-13)
