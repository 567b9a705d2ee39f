"""What the nodes of one answer are written from."""

from typing import NamedTuple

from service.core.assessment import Assessment as Assessed
from service.translation.working.sheet import Sheet, Typed
from service.wire.working import WorkingInput


class Sources(NamedTuple):
    """What the nodes of one answer are written from."""

    sheet: Sheet
    assessed: Assessed
    vessel: Typed
    condition: Typed

    @property
    def mass_of_volume(self) -> dict[str, "str | WorkingInput"]:
        """The factor from volume times density to mass; none in metres and tonnes."""
        s = self.sheet.scale
        if self.sheet.is_metric:
            return {}
        return {"k": self.sheet.constant("LT of a cubic foot at 1 t/m3", s.volume / s.mass, "LT/ft3")}


def times_density(a: Sources, what: str) -> str:
    """The expression of a volume or an inertia times the density aboard."""
    return f"{what} * rho" if a.sheet.is_metric else f"{what} * rho * k"
