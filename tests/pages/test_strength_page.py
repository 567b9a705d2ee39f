"""The strength page: what it says at the read-out points and between them, and where the figures of its plot stand."""

import copy
from typing import Any

import pytest

from service.pages.drawings.label_places import LabelPlaces, box_of
from service.pages.drawings.strength_limits import strength_limits
from service.pages.drawings.strength_plot import force_plot
from service.pages.strength import between_points
from tests.api.office import vessel_document
from tests.pages.conftest import assessment


@pytest.fixture(scope="module")
def answer() -> dict[str, Any]:
    return assessment("loading-sequence")


def test_more_between_the_points_is_said_with_its_place(answer: dict[str, Any]) -> None:
    """Nothing is said where the percents as shown are the same; a greater one is said once, of its quantity."""
    strength = copy.deepcopy(answer["strength"])
    which = strength["set"]
    most = max(station[which]["percent_shear"] for station in strength["stations"])
    for name, end in strength["extremes"].items():
        end["percent"] = most if name.startswith("shear") else 0.0
    assert between_points(strength, "metric") == []
    strength["extremes"]["shear_least"].update(percent=most + 4.0, x=12.34)
    assert between_points(strength, "metric") == [f"shear force {most + 4.0:.0f} % at 12.3 m"]


@pytest.mark.parametrize("share", [0.06, 0.5, 0.94])
def test_the_figure_of_a_peak_keeps_clear_of_the_limits(answer: dict[str, Any], share: float) -> None:
    """Also near her ends, where the limits of the bending moment come close to zero."""
    moved = copy.deepcopy(answer)
    strength = moved["strength"]
    xs = [station["x"] for station in strength["stations"]]
    end = strength["extremes"]["bending_greatest"]
    end["x"] = xs[0] + share * (xs[-1] - xs[0])
    limits = strength_limits(vessel_document("halvenmoor"), "metric")
    seen: list[bool] = []

    class Watched(LabelPlaces):
        """Room that remembers whether a bold label stands on a line."""

        def place(self, words: str, wanted: Any, *, bold: bool = False) -> Any:
            found = super().place(words, wanted, bold=bold)
            if bold and found is not None:
                box = box_of(found[0], words, found[1], bold=True)
                seen.append(any(box.is_crossed(*line) for line in self._lines))
            return found

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("service.pages.drawings.strength_plot.LabelPlaces", Watched)
        patch.setattr("service.pages.drawings.label_places.LabelPlaces", Watched)
        force_plot(moved, "bending", limits)  # type: ignore[arg-type]
    assert seen
    assert not any(seen)
