"""Heeling moments of grain in the demonstration holds: closed forms, and brute force on polygons.

Sources: definitions; International Grain Code (MSC.23(59)), Part B, for the angles 25 and 15 degrees.
"""

import json
from math import radians, tan

import numpy as np
import pytest

from service.demo import halvenmoor_form, read_condition, read_vessel
from service.demo.grain import filled, partly_filled, settled_void
from service.demo.halvenmoor_tanks import HOLDS
from service.demo.tank_shape import solid

FORM = halvenmoor_form.FORM
BLOCKS = {id: blocks for id, _, blocks in HOLDS}
PRINTED = {hold["id"]: hold for hold in json.loads(read_vessel("halvenmoor"))["holds"]}


@pytest.mark.parametrize("hold", sorted(BLOCKS))
def test_half_full_it_is_the_moment_of_a_rectangular_surface(hold: str) -> None:
    """A box away from its bottom and top: L b^3 tan 25 / 12, L 27.95 or 28.6 m, b 11.1 m. The hull takes a little
    off hold 1 forward."""
    below = BLOCKS[hold][0]
    moment, vcg = partly_filled(solid(FORM, BLOCKS[hold], "centre"), 0.5 * PRINTED[hold]["capacity"])
    box = (below.x_to - below.x_from) * 11.1**3 * tan(radians(25.0)) / 12.0
    assert moment == pytest.approx(box, rel=0.005)
    assert moment <= box * (1.0 + 1e-9)
    assert vcg == pytest.approx(
        1.2 + 0.5 * 0.5 * PRINTED[hold]["capacity"] / 11.1 / (below.x_to - below.x_from), rel=0.01
    )


@pytest.mark.parametrize(
    ("depth", "breadth"), [(0.15, 11.1), (0.48, 11.1), (1.0, 8.0), (1.2, 8.0), (3.0, 8.0)]
)
def test_a_settled_void_by_brute_force(depth: float, breadth: float) -> None:
    """The surface at 15 degrees that leaves the same void under the overhead, found by bisection; moment of what
    moved, summed over strips."""
    y = (np.arange(200_000) + 0.5) / 200_000 * breadth - 0.5 * breadth
    slope = tan(radians(15.0))
    low, high = -10.0, 10.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        void = np.maximum(middle + slope * y, 0.0)
        low, high = (middle, high) if void.mean() < depth else (low, middle)
    moment = float((void * y).mean() * breadth)
    assert float(settled_void(np.array(depth), np.array(breadth))) == pytest.approx(moment, rel=1e-6)


def test_the_hatch_alone() -> None:
    """Without ends before and abaft the hatch only the 150 mm under the covers settle: by hand, a triangle of
    1.665 m2, 3.525 m broad, its centre 4.375 m off: 7.284 m3 a metre, 24.7 m long."""
    hold, hatch = BLOCKS["hold-1"]
    short = type(hold)(hatch.x_from, hatch.x_to, hold.bottom, hold.top, hold.inner, hold.outer)
    assert filled(FORM, short, hatch, trimmed=True) == pytest.approx(24.7 * 7.284, rel=5e-4)


@pytest.mark.parametrize("hold", sorted(BLOCKS))
def test_what_is_printed(hold: str) -> None:
    """Untrimmed worse than trimmed, slack far worse than either, and least near empty and full."""
    grain = PRINTED[hold]["grain"]
    moments = [row["heeling_moment"] for row in grain["partly_filled"]]
    assert 0.0 < grain["filled_trimmed"] < grain["filled_untrimmed"] < min(moments)
    assert max(moments) > max(moments[0], moments[-1])
    assert grain["filled_trimmed"] == pytest.approx(filled(FORM, *BLOCKS[hold], True), abs=0.06)
    assert grain["filled_untrimmed"] == pytest.approx(filled(FORM, *BLOCKS[hold], False), abs=0.06)
    volumes = [row["volume"] for row in grain["partly_filled"]]
    assert volumes[-1] < PRINTED[hold]["capacity"]
    for row in grain["partly_filled"][::4]:
        moment, vcg = partly_filled(solid(FORM, BLOCKS[hold], "centre"), row["volume"])
        assert row["heeling_moment"] == pytest.approx(moment, abs=0.06)
        assert row["vcg"] == pytest.approx(vcg, abs=0.0006)


@pytest.mark.parametrize("name", ["grain-departure", "grain-slack-hold-fails"])
def test_the_weights_of_the_conditions_are_what_fills_the_holds(name: str) -> None:
    """Mass times stowage factor is the volume of the grain: the whole hold but for its voids, or the volume given."""
    document = json.loads(read_condition("halvenmoor", name))
    weights = [w for w in document["weights"] if w["category"] == "cargo"]
    for line, weight in zip(document["grain"], weights, strict=True):
        volume = line.get("volume", PRINTED[line["hold"]]["capacity"])
        assert weight["mass"] * line["stowage_factor"] == pytest.approx(volume, rel=0.025)
