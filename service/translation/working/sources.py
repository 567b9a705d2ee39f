"""What the nodes of one answer are written from."""

from dataclasses import dataclass, field
from functools import cached_property

from service.core.assessment import Assessment as Assessed
from service.core.situation import Situation
from service.translation.working.given import Given, Path
from service.translation.working.sheet import Sheet
from service.translation.working.typed import Typed


@dataclass
class Sources:
    """What the nodes of one answer are written from."""

    sheet: Sheet
    assessed: Assessed
    vessel: Typed
    condition: Typed
    row_drafts: dict[tuple[int, float], list[float]] = field(default_factory=dict)
    """Drafts amidships of the rows of a hydrostatic table by its place and a trim, m."""

    @cached_property
    def mass_of_volume(self) -> dict[str, Given]:
        """The factor from volume times density to mass; none in metres and tonnes."""
        s = self.sheet.scale
        if self.sheet.is_metric:
            return {}
        return {"k": self.sheet.constant("LT of a cubic foot at 1 t/m3", s.volume / s.mass, "LT/ft3")}

    @property
    def hydrostatic_rows(self) -> list[list[int]]:
        """Which row of the vessel's document each row of each hydrostatic table is; tables by increasing trim."""
        figures = self.vessel.figures
        if not figures.hydrostatic_rows:
            by_trim: dict[float, list[int]] = {}
            length = self.vessel.frame.scale.length
            for index, row in enumerate(self.vessel.document["hydrostatics"]["rows"]):
                by_trim.setdefault(float(row.get("trim") or 0.0) * length, []).append(index)
            figures.hydrostatic_rows = [by_trim[trim] for trim in sorted(by_trim)]
        return figures.hydrostatic_rows

    @cached_property
    def stations(self) -> list[int]:
        """Her read-out points as typed, from aft to forward."""
        given, frame = self.vessel.document["strength"]["stations"], self.vessel.frame
        return sorted(range(len(given)), key=lambda k: frame.x(given[k]["x"]))


@dataclass(frozen=True)
class State:
    """Her afloat as the answer shows her, or in another state: that has a prefix before the ids of its nodes and words
    behind their names, and its figures stand nowhere in the answer."""

    ship: Situation
    prefix: str = ""
    words: str = ""

    def id(self, of: str) -> str:
        """The id of the node that is `of` as the answer shows her."""
        return f"{self.prefix}{of}"

    def name(self, of: str) -> str:
        """What a figure is called in this state."""
        return f"{of}{self.words}"

    def path(self, *path: str | int) -> Path | None:
        """Where the answer shows a figure; nowhere in another state."""
        return None if self.prefix else path


def as_she_is(a: Sources) -> State:
    """The state that the answer shows."""
    return State(a.assessed.situation)


def before_ice(a: Sources) -> State | None:
    """Her without the ice that the condition counts; None where it counts none."""
    ship = a.assessed.before_ice
    return None if ship is None else State(ship, "before_ice/", ", before ice")


def times_density(a: Sources, what: str) -> str:
    """The expression of a volume or an inertia times the density aboard."""
    return f"{what} * rho" if a.sheet.is_metric else f"{what} * rho * k"
