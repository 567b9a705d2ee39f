"""KN at the heels of the cross curves: between displacements and trims of the booklet."""

from functools import cached_property
from math import radians, sin

from service.core.cross_curves import CrossCurveTable
from service.core.interpolation import interval as rows_around
from service.core.righting_lever import RightingLever
from service.translation.working.given import Given, Input, Inputs
from service.translation.working.sources import Sources

TABLES = "the vessel's booklet: cross curves of stability"


class TabulatedKn:
    """The nodes of KN in the tables of one curve."""

    def __init__(self, a: Sources, curve: RightingLever, heels: list[float]) -> None:
        """heels: those of the curve, upright first, degrees."""
        self.a, self.sheet, self.curve, self.heels = a, a.sheet, curve, heels

    def kn(self, knot: int, id: str) -> str:
        """KN at a heel from the cross curves, between displacements and trims."""
        s, ship = self.sheet, self.a.assessed.situation
        curves = self.curve.kn.curves
        density = ship.condition.water_density
        mass = ship.displacement.mass * (curves.density / density)
        if not s.has("curve_displacement"):
            given = self.a.vessel.number(
                (self._name, "density"), "density", "density of the cross curves", absent=curves.density
            )
            s.add(
                "curve_displacement", "expression", "W * rho_c / rho",
                {"W": "displacement", "rho_c": given, "rho": "water_density"},
                name="displacement in the water of the cross curves", unit=s.unit("mass"), value=s.here(mass, "mass"),
            )  # fmt: skip
        heel, unit = self.heels[knot], s.unit("length")
        if len(curves.tables) == 1:
            return self._row_kn(0, curves.tables[0], knot, mass, id)
        assert ship.flotation is not None
        i, part = rows_around(curves.trims, ship.flotation.trim)
        if part == 0.0:
            return self._row_kn(i, curves.tables[i], knot, mass, id)
        if part == 1.0:
            return self._row_kn(i + 1, curves.tables[i + 1], knot, mass, id)
        ends = {
            f"y{n}": self._row_kn(i + n, curves.tables[i + n], knot, mass, f"{id}/trim_{n}") for n in (0, 1)
        }
        between = s.value(ends["y0"]) + part * (s.value(ends["y1"]) - s.value(ends["y0"]))
        trims = {f"x{n}": self._trim_cell(i + n) for n in (0, 1)}
        return s.linear(
            id, {"x": "trim", **trims, **ends}, name=f"KN at {heel:g}° in the tables", unit=unit,
            value=between, source=TABLES,
        )  # fmt: skip

    @cached_property
    def _name(self) -> str:
        """Which cross curves of the document are hers: those with timber on deck where its buoyancy counts."""
        on_timber = self.a.assessed.situation.vessel.cross_curves_timber is None
        return (
            "cross_curves_timber"
            if on_timber and "cross_curves_timber" in self.a.vessel.document
            else "cross_curves"
        )

    @cached_property
    def _places(self) -> list[tuple[str | int, ...]]:
        """Where each table stands in the document, by increasing trim."""
        document = self.a.vessel.document[self._name]
        places = [(document.get("trim") or 0.0, (self._name,))]
        others = document.get("at_other_trims") or ()
        places += [(each["trim"], (self._name, "at_other_trims", k)) for k, each in enumerate(others)]  # type: ignore[misc]
        return [place for _, place in sorted(places, key=lambda found: found[0])]

    def _trim_cell(self, table: int) -> Given:
        return self.a.vessel.number((*self._places[table], "trim"), "length", "trim of the cross curves")

    def _row_kn(self, k: int, table: CrossCurveTable, knot: int, mass: float, id: str) -> str:
        """KN at a heel and displacement in one table."""
        s, a = self.sheet, self.a
        d, part = rows_around(table.displacements, mass)
        document = a.vessel.document[self._name]
        column = knot - 1 + len(document["heels"]) - len(self.heels) + 1
        heel, name = self.heels[knot], f"KN at {self.heels[knot]:g}° in the tables"

        def cell(row: int) -> Input:
            place = (*self._places[k], "levers", row, column)
            lever = a.vessel.number(place, "length", f"lever of row {row + 1} at {heel:g}°")
            if document["basis"] != "gz_at_vcg":
                return lever
            up = a.vessel.number((self._name, "vcg"), "length", "assumed VCG")
            return s.add(
                f"{id}/row_{row + 1}", "expression", f"GZ + KG_a * sin({heel!r})", {"GZ": lever, "KG_a": up},
                name=f"KN of row {row + 1} at {heel:g}°", unit=s.unit("length"),
                value=lever.value + up.value * sin(radians(heel)),
            )  # fmt: skip

        if part in (0.0, 1.0):
            return s.copy(id, cell(d + int(part)), name=name)
        x = {
            f"x{n}": a.vessel.number(
                (*self._places[k], "displacements", d + n), "mass", f"displacement of row {d + n + 1}"
            )
            for n in (0, 1)
        }
        low, high = float(table.levers[d, knot - 1]), float(table.levers[d + 1, knot - 1])
        rows: Inputs = {"x": "curve_displacement", **x, "y0": cell(d), "y1": cell(d + 1)}
        return s.linear(
            id,
            rows,
            name=name,
            unit=s.unit("length"),
            value=s.here(low + part * (high - low), "length"),
            source=TABLES,
        )
