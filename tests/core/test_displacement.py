"""Displacement, its centres and the loss of GM: first moments (definition); GG1 = moment / displacement (2008 IS Code
Part B 3.1.7). Truth: exact rational sums (fractions.Fraction)."""

from fractions import Fraction
from random import Random

import pytest

from service.core.displacement import Displacement, displacement_of
from service.core.errors import CoreError
from service.core.tank import SLACK, Liquid
from service.core.weight import Weight

LIGHTSHIP = Weight(3600.1, 47.3, 7.7, 0.013, "lightship")


def liquid(mass: float, lcg: float, vcg: float, tcg: float) -> Liquid:
    return Liquid(mass, mass, 50.0, lcg, vcg, tcg, 1.0, SLACK)


def loads(seed: int) -> tuple[list[Liquid], list[Weight]]:
    """Seven liquids and nine weights, some taken off, that leave no round sums."""
    random = Random(seed)
    lines = [
        (
            random.uniform(-30.0, 900.0),
            random.uniform(0.0, 100.0),
            random.uniform(0.0, 12.0),
            random.uniform(-8, 8),
        )
        for _ in range(16)
    ]
    return [liquid(*line) for line in lines[:7]], [Weight(*line) for line in lines[7:]]


@pytest.mark.parametrize("seed", range(5))
def test_mass_and_centres_are_the_exact_first_moments(seed):
    """To the last digit: each sum is rounded once, whatever the order of the lines."""
    liquids, weights = loads(seed)
    found = displacement_of(LIGHTSHIP, liquids, weights, 1234.5)
    masses = [(m.mass, m.lcg, m.vcg, m.tcg) for m in (LIGHTSHIP, *liquids, *weights)]
    total = float(sum(Fraction(mass) for mass, *_ in masses))
    lcg, vcg, tcg = (
        float(sum(Fraction(mass * centre[axis]) for mass, *centre in masses)) / total for axis in range(3)
    )
    loss = 1234.5 / total
    assert found == Displacement(total, lcg, tcg, vcg, vcg + loss, 1234.5, loss)
    for turn in range(10):
        Random(turn).shuffle(liquids)
        Random(turn).shuffle(weights)
        assert displacement_of(LIGHTSHIP, liquids, weights, 1234.5) == found


@pytest.mark.parametrize("removed", [3600.1, 3601.0])
def test_masses_that_come_to_nothing_are_refused(removed):
    with pytest.raises(CoreError, match="masses removed"):
        displacement_of(LIGHTSHIP, [], [Weight(-removed, 50.0, 5.0)], 0.0)


def test_a_lightship_alone():
    assert displacement_of(LIGHTSHIP, [], [], 0.0) == pytest.approx((3600.1, 47.3, 0.013, 7.7, 7.7, 0.0, 0.0))
