"""The main figures of an assessment, one row each: where a figure stands, how it is rounded, what people call it.

Its dimension is in its type (`wire/quantity.py`). Comparisons, pages, report and command line read these rows.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from service.wire.assessment import Assessment
from service.wire.dimensions import dimension_at
from service.wire.figures import Quantity, figure, list_in_words, number, trim_in_words
from service.wire.quantity import DimensionName


@dataclass(frozen=True, slots=True)
class AnswerFigure:
    """One figure. path: members to follow into the assessment. quantity: how it is rounded. label: its name for people.
    compared: whether a comparison of two answers lists it."""

    path: tuple[str, ...]
    quantity: Quantity
    label: str
    name: str
    compared: bool

    @property
    def dimension(self) -> DimensionName:
        """What it measures, as its type says."""
        return dimension_at(Assessment, self.path)

    def value(self, answer: Mapping[str, Any]) -> float | None:
        """The figure in the units of `answer`; None where it or the part that holds it is null."""
        found: Any = answer
        for step in self.path:
            if found is None:
                return None
            found = found[step]
        return None if found is None else float(found)

    def text(self, answer: Assessment) -> str:
        """Rounded, with its unit; a list with its side, a trim with its end."""
        value, system = self.value(answer), answer["units"]["system"]
        if self.name == "list":
            return list_in_words(value)
        return trim_in_words(value, system) if self.name == "trim" else figure(value, self.quantity, system)

    @property
    def label_within(self) -> str:
        """Its name within a sentence: abbreviations keep their capitals."""
        return self.label if self.label[:2].isupper() else self.label[0].lower() + self.label[1:]

    def number(self, answer: Assessment) -> str:
        """Rounded, without its unit."""
        return number(self.value(answer), self.quantity, answer["units"]["system"])


def _row(path: str, quantity: Quantity, label: str, *, name: str = "", compared: bool = True) -> AnswerFigure:
    steps = tuple(path.split("/"))
    return AnswerFigure(steps, quantity, label, name or steps[-1], compared)


_ROWS: Final = (
    _row("displacement", "mass", "Displacement"),
    _row("deadweight", "mass", "Deadweight"),
    _row("stability/gm_solid", "lever", "GM solid"),
    _row("free_surface_correction", "lever", "Free surface correction"),
    _row("stability/gm_corrected", "lever", "GM corrected"),
    _row("free_surface_moment", "mass_moment", "Free surface moment"),
    _row("flotation/draft_forward", "draft", "Draft forward"),
    _row("flotation/draft_midship", "draft", "Draft amidships"),
    _row("flotation/draft_aft", "draft", "Draft aft"),
    _row("flotation/draft_at_lcf", "draft", "Draft at LCF"),
    _row("flotation/trim", "trim", "Trim"),
    _row("flotation/list/angle", "angle", "List", name="list"),
    _row("vcg_solid", "lever", "KG"),
    _row("vcg_corrected", "lever", "KG corrected"),
    _row("lcg", "position", "LCG"),
    _row("tcg", "position", "TCG"),
    _row("flotation/km", "lever", "KM"),
    _row("stability/roll_period_estimate", "period", "Roll period, estimated"),
    _row("stability/angle_of_loll", "angle", "Angle of loll"),
    _row("righting_lever/maximum", "lever", "Maximum lever", name="maximum_lever"),
    _row("righting_lever/angle_of_maximum", "angle", "Angle of maximum"),
    _row("righting_lever/vanishing_angle", "angle", "Vanishing angle"),
    _row("righting_lever/down_flooding/angle", "angle", "Down-flooding angle", name="down_flooding_angle"),
    _row("righting_lever/range_end/angle", "angle", "End of the range", name="range_end", compared=False),
    _row("righting_lever/deck_edge_angle", "angle", "Deck edge immersion", compared=False),
    _row("flotation/water_density", "density", "Water density", compared=False),
    _row("flotation/tpc", "immersion", "Tonnes per unit of immersion", compared=False),
    _row("flotation/mctc", "trim_moment", "Moment to change trim", compared=False),
    _row("flotation/lcb", "position", "LCB", compared=False),
    _row("flotation/lcf", "position", "LCF", compared=False),
    _row("flotation/residual", "lever", "Lever left unbalanced", compared=False),
)

ANSWER_FIGURES: Final[Mapping[str, AnswerFigure]] = {row.name: row for row in _ROWS}
"""By name, in the order in which comparisons list them."""
