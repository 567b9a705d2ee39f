"""Samples worked out together against the full chain, one by one: the same figures to 1e-9, the same verdicts.

The full chain is `assess`, which has its own published truth in tests/published and tests/core. Ships of every free
surface rule, with printed columns, tables, heeled moments, several trims, and each kind of deviation.
"""

import json
from dataclasses import replace
from math import nan
from pathlib import Path

import numpy as np
import pytest

from service.actions.assess import prepare_vessel
from service.core.assessment import assess
from service.core.normal_numbers import normal_quantile, uniforms
from service.core.sampling import FIGURES, Together, assessed_alone, varied
from service.demo import __file__ as demo
from service.translation.uncertainty import sampling_of

SAMPLES = 12
DEMO = Path(demo).parent
NEAR = {"rel": 1e-9, "abs": 1e-9}
MASSES = {"mass_percent": 1.0, "lcg": 0.1, "vcg": 0.1, "tcg": 0.05}
EVERYTHING = {
    "lightship": MASSES,
    "tanks": {"mass_percent": 2.0, "density": 0.02},
    "every_weight": MASSES,
    "water_density": 0.005,
}


def sampling(ship, name, deviations=EVERYTHING, change=None):
    document = json.loads((DEMO / "vessels" / f"{ship}.json").read_text())
    condition = json.loads((DEMO / "conditions" / ship / f"{name}.json").read_text())
    if change is not None:
        change(document, condition)
    members = {
        "condition": condition,
        "samples": 1000,
        "seed": 5,
        "standard_deviations": deviations,
    }
    return sampling_of(members, prepare_vessel(document))


def agrees(found, least_together=SAMPLES - 3):
    """Compares all samples that are worked out together; at least so many are."""
    normal = normal_quantile(uniforms(5, SAMPLES, len(found.deviations)))
    vessel, nominal = found.prepared.vessel, found.nominal
    together = Together.of(vessel, nominal, found.deviations, normal)
    assert together is not None
    assert together.ordinary.sum() >= least_together
    for n in range(SAMPLES):
        alone = assessed_alone(vessel, nominal, found.deviations, normal[n].tolist())
        if not together.ordinary[n]:
            continue
        sample = together.sample(n)
        assert alone is not None
        assert (sample.passes, sample.clipped) == (alone.passes, alone.clipped)
        assert numbers(sample.figures) == pytest.approx(numbers(alone.figures), nan_ok=True, **NEAR)
        for (_, one), (_, other) in zip(sample.criteria, alone.criteria, strict=True):
            assert (one.row.id, one.verdict, one.reason) == (other.row.id, other.verdict, other.reason)
            figures = numbers((one.attained, one.required)), numbers((other.attained, other.required))
            assert figures[0] == pytest.approx(figures[1], nan_ok=True, **NEAR)


def numbers(figures):
    return [nan if figure is None else figure for figure in figures]


def test_a_ship_by_the_is_code():
    agrees(sampling("halvenmoor", "arrival-homogeneous"))


def test_every_tank_slack():
    """Also those counted at their greatest, by rule, and left out as too small."""

    def small(document, condition):
        document["particulars"]["minimum_service_displacement"] = 30_000.0

    agrees(sampling("halvenmoor", "everything-slack", change=small))


@pytest.mark.parametrize("basis", ["as_filled", "maximum_when_slack", "by_rule"])
def test_every_basis_of_free_surface(basis):
    def counted(document, condition):
        condition["free_surface"] = {"basis": basis}

    agrees(sampling("halvenmoor", "ballast-departure", change=counted))


def test_a_tank_with_heeled_moments_by_the_code():
    """Half full: at its filling by the Code, with its actual moments (2008 IS Code Part B 3.1.3 and 3.1.9)."""

    def half(document, condition):
        assert next(t for t in document["tanks"] if t["id"] == "wb-db-3-c")["heeled_moments"]
        condition["free_surface"] = {"basis": "by_rule"}
        next(line for line in condition["tanks"] if line["tank"] == "wb-db-3-c")["fill"] = 50.0

    found = sampling("halvenmoor", "departure-homogeneous", change=half)
    assert found.nominal.actual_moments
    agrees(found)


def test_a_trim_off_her_cross_curves_is_left_to_the_full_chain():
    """Cross curves end at a trim of 1 m, hydrostatics at 3 m; she lies at 0.94 m."""

    def short(document, condition):
        others = document["cross_curves"]["at_other_trims"]
        document["cross_curves"]["at_other_trims"] = [each for each in others if each["trim"] <= 1.0]

    given = {"every_weight": {"lcg": 0.4}}
    agrees(sampling("halvenmoor", "departure-homogeneous", given, change=short), least_together=3)


def test_a_ship_in_feet_on_several_trims_by_cfr():
    agrees(sampling("ostrel", "on-location-slack"))


def test_soundings():
    agrees(sampling("halvenmoor", "ballast-arrival", {"tanks": {"sounding": 0.2}}))


def test_a_ship_that_lies_over():
    agrees(sampling("halvenmoor", "timber-loll", {"every_weight": MASSES}))


def test_clauses_that_read_single_masses():
    """Strength and masses in holds; the centre of all cargo (46 CFR 172.090)."""

    def listed(document, condition):
        assert "vessel-strength" in document["rule_sets"]
        document["rule_sets"].append("46-cfr-172.090")

    agrees(sampling("halvenmoor", "departure-homogeneous", change=listed))


def test_forces_of_all_samples_at_once():
    """Against the forces of each sample assessed alone: extremes with their places, and the stations that use most."""
    found = sampling("halvenmoor", "departure-homogeneous")
    normal = normal_quantile(uniforms(5, SAMPLES, len(found.deviations)))
    vessel, nominal = found.prepared.vessel, found.nominal
    together = Together.of(vessel, nominal, found.deviations, normal)
    for n in range(SAMPLES):
        assert together.ordinary[n]
        ship, condition, _ = varied(vessel, nominal.condition, nominal, found.deviations, normal[n].tolist())
        alone = assess(ship, condition, nominal.liquids).situation.strength
        forces = together.strength.forces_at(n)
        assert forces is not None
        for one, other in (
            *zip_values(forces.extremes, alone.extremes),
            *zip_values(forces.between, alone.between),
        ):
            assert (one.x, one.value, *one.use) == pytest.approx((other.x, other.value, *other.use), **NEAR)
        by_place = {station.station.x: station for station in alone.stations}
        for station in forces.stations:
            assert station.cut == pytest.approx(by_place[station.station.x].cut, **NEAR)
        for use in (lambda each: each.sea.shear.percent, lambda each: each.sea.bending.percent):
            assert max(map(use, forces.stations)) == pytest.approx(max(map(use, alone.stations)), **NEAR)


def zip_values(one, other):
    assert one.keys() == other.keys()
    return [(one[key], other[key]) for key in one]


def test_sections_that_end_below_her_waterline():
    """Strength is not computable in a sample, and everything else is."""

    def short(document, condition):
        sections = document["strength"]["sections"]
        sections["drafts"] = sections["drafts"][:9]
        sections["areas"] = [row[:9] for row in sections["areas"]]

    agrees(sampling("halvenmoor", "departure-homogeneous", change=short))


def test_masses_in_holds():
    def limited(document, condition):
        for hold, weight in zip(document["holds"], condition["weights"][3:], strict=True):
            hold["mass_limits"] = [{"draft": draft, "most": 1900.0, "least": 0.0} for draft in (1.0, 9.0)]
            weight["hold"] = hold["id"]

    found = sampling("halvenmoor", "departure-homogeneous", change=limited)
    assert found.nominal.situation.hold_masses
    agrees(found)


def test_an_over_full_tank_loses_and_never_gains():
    """More than its 100 % volume is typed, and no sample has more than that: displacement D + m min(s z, 0) (closed
    form), for the normal number z of each sample; no free surface in any."""
    given = {"tank": [{"tank": "fo-db-5-p", "mass_percent": 2.0}]}
    found = sampling("halvenmoor", "over-full-tank", given)
    liquid, tank = found.nominal.liquids[0], found.prepared.vessel.index["fo-db-5-p"]
    assert liquid.state == "overfull"
    assert liquid.volume > found.prepared.vessel.tanks[tank].capacity
    agrees(found, least_together=SAMPLES)
    normal = normal_quantile(uniforms(5, 200, 1))
    together = Together.of(found.prepared.vessel, found.nominal, found.deviations, normal)
    part = found.part(0, 200)
    assert together.ordinary.all()
    lost = liquid.mass * np.minimum(0.02 * normal[:, 0], 0.0)
    displacement = found.nominal.displacement.mass + lost
    assert part.figures[:, FIGURES.index("displacement")] == pytest.approx(displacement, rel=1e-12)
    assert part.clipped == (normal > 0.0).sum()
    free = [together.afloat.load.free_surface_moment, found.nominal.displacement.free_surface_moment]
    assert free[0] == pytest.approx(free[1], rel=1e-12)


def test_timber_is_left_to_the_full_chain():
    found = sampling("halvenmoor", "arrival-homogeneous")
    nominal = replace(found.nominal, condition=replace(found.nominal.condition, timber=(object(),)))
    assert Together.of(found.prepared.vessel, nominal, (), uniforms(1, 2, 1)) is None


def test_a_sample_off_her_tables_is_left_to_the_full_chain():
    """Masses so uncertain that many float deeper than her tables go."""
    found = sampling("halvenmoor", "arrival-homogeneous", {"every_weight": {"mass_percent": 60.0}})
    agrees(found, least_together=3)
    assert len(found.part(0, 50).numbers) < 50
