"""Shear forces and bending moments from section to section: weight less buoyancy, as one adds them up by hand.

Her length is cut at the read-out points and at the extremes. From one cut to the next the shear force grows by the
weight less the buoyancy between them, the bending moment by the shear force times the distance and by the moments of
both. Buoyancy a metre is that of each section at the draft there, linear in between."""

from itertools import pairwise

from service.core.strength.load_curve import AT_A_KNOT, Cut
from service.core.strength.still_water import StillWater
from service.translation.working.given import Given, Input, Inputs, Path
from service.translation.working.sources import Sources
from service.translation.working.strength_loads import LoadNodes, loads_of, part_of

SOURCE = "IACS UR S11.2.1: downward positive, integrated forward from aft"
BONJEAN = "definition: Bonjean curves; buoyancy a metre linear between sections"
AREA = "A0 + (A1 - A0) * (T_a + (T_f - T_a) * x / L - d0) / (d1 - d0)"
WHOLE = {
    "weight": "all weight along her length",
    "weight_moment": "moment of all weight along her length",
    "buoyancy": "all buoyancy of the sections",
    "buoyancy_moment": "moment of all buoyancy of the sections",
}
Pairs = list[tuple[Input, Input]]


class Forces:
    """Nodes of the forces of one condition, written once: those of a cut by its place."""

    def __init__(self, a: Sources, found: StillWater) -> None:
        """found: the forces of the core."""
        self.a, self.found = a, found
        self.is_written = False
        self.roots: set[float] = set()
        self._names: dict[str, str] = {}
        strength = a.assessed.situation.vessel.strength
        assert strength is not None
        assert strength.sections is not None
        self.sections = strength.sections
        self.section_at = {x: i for i, x in reversed(list(enumerate(strength.sections.x)))}
        loads = loads_of(a)
        self.loads = loads or []
        self.ends = [(each.load.aft, each.load.forward) for each in self.loads]
        self.points: dict[float, list[LoadNodes]] = {}
        for each, (aft, forward) in zip(self.loads, self.ends, strict=True):
            if aft == forward:
                self.points.setdefault(aft, []).append(each)
        self.segments = len(strength.segments)
        self.cuts = self._cuts()
        # at a read-out point so near to a knot the core gives both sides of that knot
        near = [s.station.x for s in found.stations if self._knot_beside(s.station.x) is not None]
        total = sum(each.load.mass for each in self.loads)
        if loads is not None and not near and abs(total - found.distributed.mass) <= 1e-9 * abs(total):
            self._write()

    def _cuts(self) -> dict[float, str]:
        """Places where she is cut, from aft to forward, and the stem of their nodes."""
        found = self.found
        cuts = {station.station.x: f"strength/{i}" for i, station in enumerate(found.stations)}
        extremes = [*found.extremes.values(), *found.between.values()]
        last = found.curve.knots[-1]
        for n, x in enumerate(sorted({each.x for each in extremes} | {last})):
            cuts.setdefault(x, f"strength/cut/{n}")
        return dict(sorted(cuts.items()))

    def _knot_beside(self, x: float) -> float | None:
        """A knot that the core takes a place for, and that it is not: so near that only rounding parts them."""
        knots = self.found.curve.knots
        return None if x in knots else next((k for k in knots if abs(x - k) <= AT_A_KNOT), None)

    def _at_cut(self, x: float) -> Cut:
        """What acts at a cut. An extreme beside a knot lies before, or beyond, the loads at a point there."""
        at, knot = self.found.curve.at(x), self._knot_beside(x)
        if knot is None:
            return at
        extremes = (*self.found.extremes.items(), *self.found.between.items())
        there = {name.partition("_")[0]: each.value for name, each in extremes if each.x == x}
        shear = there.get("shear", at.shear_aft if x < knot else at.shear_forward)
        return Cut(shear, shear, there.get("bending", at.bending))

    def is_root(self, x: float) -> bool:
        """Whether a place is none that was typed."""
        return x in self.roots

    # --- buoyancy ---------------------------------------------------------------------------------------------

    def _waterline(self) -> Inputs:
        """Drafts at the perpendiculars as they were found, and the length between them."""
        s, line = self.a.sheet, self.found.waterline
        unit = s.unit("length")
        length = self.a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars")
        return {
            "T_a": s.constant("draft aft found on the sections", s.here(line.draft_aft, "length"), unit),
            "T_f": s.constant(
                "draft forward found on the sections", s.here(line.draft_forward, "length"), unit
            ),
            "L": length,
        }

    def _sections(self) -> list[tuple[float, str, float]]:
        """Buoyancy a metre (node, and t/m) of every section at its place (m)."""
        a, s, sections = self.a, self.a.sheet, self.sections
        waterline, place = self._waterline(), ("strength", "sections")
        density = a.assessed.situation.condition.water_density
        drafts = sections.along(*self.found.waterline)
        areas, _ = sections.at(drafts)
        grid, per = sections.grid, s.factor("mass") / s.factor("length")
        unit, more = f"{s.unit('mass')}/{s.unit('length')}", dict[str, Input](rho="water_density")
        start, end = "rho * ", "" if s.is_metric else " * k"
        if a.vessel.has((*place, "factor")):
            more["f"], start = a.vessel.number((*place, "factor"), "", "shell and appendages"), "rho * f * "
        more |= a.mass_of_volume
        rows = grid.searchsorted(drafts, side="right").tolist()
        found = []
        for i, (x, area, draft, row) in enumerate(
            zip(sections.x, areas.tolist(), drafts.tolist(), rows, strict=True)
        ):
            j = min(max(row - 1, 0), len(grid) - 2)
            low = a.vessel.number((*place, "areas", i, j), "area", "area of the section")
            inputs: Inputs = {"A0": low, **more}
            text = "A0"
            if draft >= grid[0]:
                inputs = {
                    "A0": low,
                    "A1": a.vessel.number((*place, "areas", i, j + 1), "area", "area of the section"),
                    "d0": a.vessel.number((*place, "drafts", j), "length", "draft of the sections"),
                    "d1": a.vessel.number((*place, "drafts", j + 1), "length", "draft of the sections"),
                    **waterline, "x": self._section_x(i), **more,
                }  # fmt: skip
                text = f"({AREA})"
            node = s.add(
                f"strength/section/{i}", "expression", f"{start}{text}{end}", inputs,
                name=f"buoyancy a unit of length, section {i + 1}", unit=unit, value=density * area / per,
                source=BONJEAN,
            )  # fmt: skip
            found.append((x, node, density * area))
        return found

    def _section_x(self, i: int) -> Given:
        return self.a.vessel.number(("strength", "sections", "x", i), "x", "place of the section")

    def _at(self, x: float, cut: str) -> tuple[float, Input, float]:
        """Buoyancy a metre at a place between two sections."""
        s, rows, per = self.a.sheet, self.rows, self.a.sheet.factor("mass") / self.a.sheet.factor("length")
        if x in self.row_at:
            return self.row_at[x]
        i = max(k for k, row in enumerate(rows[:-1]) if row[0] < x)
        (x0, node0, low), (x1, node1, high) = rows[i], rows[i + 1]
        value = low + (high - low) * (x - x0) / (x1 - x0)
        between: Inputs = {
            "x": f"{cut}/x", "x0": self._section_x(i), "x1": self._section_x(i + 1), "y0": node0, "y1": node1,
        }  # fmt: skip
        node = s.linear(
            f"{cut}/buoyancy_there", between,
            name="buoyancy a unit of length at *", of=self._words(cut),
            unit=f"{s.unit('mass')}/{s.unit('length')}", value=value / per,
            source=BONJEAN,
        )  # fmt: skip
        return x, node, value

    def _buoyancy(self, cut: str, low: float, high: float) -> tuple[str, str, float, float]:
        """Buoyancy between two places and its moment about the aft perpendicular: trapezium by trapezium."""
        s, rows = self.a.sheet, self.rows
        first, last = max(low, rows[0][0]), min(high, rows[-1][0])
        points: list[tuple[float, Input, float]] = []
        if first < last:
            points = [row for row in rows if first < row[0] < last]
            before = self._at(first, self._name_of(first)) if first == low else rows[0]
            after = self._at(last, cut) if last == high else rows[-1]
            points = [before, *points, after]
        volume, moment, pairs = 0.0, 0.0, dict[int, list[float]]()
        for j, ((x0, _, b0), (x1, _, b1)) in enumerate(pairwise(points)):
            h = x1 - x0
            volume += 0.5 * h * (b0 + b1)
            moment += h / 6.0 * ((2.0 * x0 + x1) * b0 + (x0 + 2.0 * x1) * b1)
            for k, (half, arm) in (
                (j, (h / 2.0, h / 6.0 * (2.0 * x0 + x1))),
                (j + 1, (h / 2.0, h / 6.0 * (x0 + 2.0 * x1))),
            ):
                both = pairs.setdefault(k, [0.0, 0.0])
                both[0] += half
                both[1] += arm
        length, area = s.factor("length"), s.factor("length") ** 2
        halves: Pairs = [
            (
                points[k][1],
                s.constant("half the distance of its neighbours", both[0] / length, s.unit("length")),
            )
            for k, both in pairs.items()
        ]
        arms_of: Pairs = [
            (
                points[k][1],
                s.constant("first moment of a trapezium a unit of its side", both[1] / area, s.unit("area")),
            )
            for k, both in pairs.items()
        ]
        b = s.products(
            f"{cut}/buoyancy", halves, name="buoyancy between the cut before and that at *", of=self._words(cut),
            unit=s.unit("mass"),
            value=s.here(volume, "mass"), source=BONJEAN,
        )  # fmt: skip
        m = s.products(
            f"{cut}/buoyancy_moment", arms_of, name="moment of that buoyancy", unit=s.unit("moment"),
            value=s.here(moment, "moment"), source=BONJEAN,
        )  # fmt: skip
        return b, m, volume, moment

    def _name_of(self, x: float) -> str:
        return self.cuts[x]

    # --- weight -----------------------------------------------------------------------------------------------

    def _weight(self, cut: str, low: float, high: float) -> tuple[str, str, float, float]:
        """Weight between two places and its moment about the aft perpendicular; one at a point at the end is not yet
        in it."""
        s, masses, pairs, moments = self.a.sheet, list[Input](), list[tuple[Input, Input]](), list[str]()
        mass, moment = 0.0, 0.0
        for k, (each, (aft, forward)) in enumerate(zip(self.loads, self.ends, strict=True)):
            if aft >= high or forward <= low:
                continue
            load = each.load
            if aft == forward or (low <= aft and forward <= high):
                masses.append(each.mass)
                pairs.append((each.mass, each.lcg))
            else:
                load, of_mass, of_moment = part_of(self.a, k, each, cut, low, high, self.cuts)
                masses.append(of_mass)
                moments.append(of_moment)
            mass, moment = mass + load.mass, moment + load.moment
        w = s.total(
            f"{cut}/weight", masses, name="weight between the cut before and that at *", of=self._words(cut),
            unit=s.unit("mass"),
            value=s.here(mass, "mass"), source=SOURCE,
        )  # fmt: skip
        one = s.constant("whole", 1.0)
        m = s.products(
            f"{cut}/weight_moment", [*pairs, *((each, one) for each in moments)], name="moment of that weight",
            unit=s.unit("moment"), value=s.here(moment, "moment"), source=SOURCE,
        )  # fmt: skip
        return w, m, mass, moment

    def _jump(self, x: float) -> list[LoadNodes]:
        return self.points.get(x, [])

    # --- forces -----------------------------------------------------------------------------------------------

    def _write(self) -> None:
        s = self.a.sheet
        self.rows = self._sections()
        self.row_at = {row[0]: row for row in self.rows}
        start = min(self.found.curve.knots[0], *self.cuts)
        if start not in self.cuts:
            self.cuts = {start: "strength/start", **self.cuts}
        totals = dict.fromkeys(WHOLE, 0.0)
        nodes: dict[str, list[Input]] = {name: [] for name in totals}
        self._begin(start)
        for low, high in pairwise(self.cuts):
            cut = self.cuts[high]
            self._place(high, cut)
            w, mw, *weight = self._weight(cut, low, high)
            b, mb, *buoyancy = self._buoyancy(cut, low, high)
            for name, node, value in zip(totals, (w, mw, b, mb), (*weight, *buoyancy), strict=True):
                nodes[name].append(node)
                totals[name] += value
            self._forces(self.cuts[low], cut, self._at_cut(high), (w, mw, b, mb), high)
        at_points = [each for x in self.cuts for each in self._jump(x)]
        nodes["weight"] += [each.mass for each in at_points]
        nodes["weight_moment"] += [self._moment_at_point(each) for each in at_points]
        totals["weight"] += sum(each.load.mass for each in at_points)
        totals["weight_moment"] += sum(each.load.moment for each in at_points)
        for name, words in WHOLE.items():
            dimension = "moment" if name.endswith("moment") else "mass"
            s.total(
                f"strength/{name}", nodes[name], name=words, unit=s.unit(dimension),
                value=s.here(totals[name], dimension), source=SOURCE,
            )  # fmt: skip
        self._balance()
        self.is_written = True

    def _moment_at_point(self, each: LoadNodes) -> str:
        s, k = self.a.sheet, self.loads.index(each)
        return s.add(
            f"strength/point/{k}/moment", "expression", "m * g", {"m": each.mass, "g": each.lcg},
            name="moment of *", of=each.name, unit=s.unit("moment"), value=s.here(each.load.moment, "moment"),
        )  # fmt: skip

    def _balance(self) -> None:
        """Drafts by the sections: buoyancy and its moment are those of the weight."""
        s = self.a.sheet
        for name, text, inputs in (
            ("draft_aft", "(B - W) / W", {"B": "strength/buoyancy", "W": "strength/weight"}),
            (
                "draft_forward", "(M_B - M_W) / (W * L)",
                {"M_B": "strength/buoyancy_moment", "M_W": "strength/weight_moment", "W": "strength/weight",
                 "L": self._waterline()["L"]},
            ),
        ):  # fmt: skip
            s.add(
                f"strength/{name}", "root", text, inputs, name=f"{name.replace('_', ' ')} by the sections",
                unit=s.unit("length"), path=("strength", name), source="definition of equilibrium",
                formula="both drafts are those at which the expression is nothing",
            )  # fmt: skip

    def _begin(self, start: float) -> None:
        s, cut = self.a.sheet, self.cuts[start]
        self._place(start, cut)
        words = "nothing aft of her after end"
        nothing, none = (s.constant(words, 0.0, s.unit(dimension)) for dimension in ("mass", "moment"))
        s.copy(
            f"{cut}/shear_aft",
            nothing,
            name="shear force at her after end",
            path=self._path(cut, "shear_aft"),
        )
        s.copy(
            f"{cut}/bending", none, name="bending moment at her after end", path=self._path(cut, "bending")
        )
        self._forward(cut, start, self.found.curve.at(start))

    def _path(self, cut: str, name: str) -> Path | None:
        """Where the answer shows a force of a read-out point."""
        number = cut.removeprefix("strength/")
        member = {
            "shear_aft": "shear_force_aft",
            "shear_forward": "shear_force_forward",
            "bending": "bending_moment",
        }
        return ("strength", "stations", int(number), member[name]) if number.isdigit() else None

    def _words(self, cut: str) -> str:
        """What a cut is called: the name of a read-out point, or its place."""
        if cut not in self._names:
            self._names[cut] = self._name(cut)
        return self._names[cut]

    def _name(self, cut: str) -> str:
        number = cut.removeprefix("strength/")
        if number.isdigit():
            return self.found.stations[int(number)].station.name or f"read-out point {int(number) + 1}"
        s = self.a.sheet
        return f"x = {s.value(f'{cut}/x'):.2f} {s.unit('length')}"

    def _place(self, x: float, cut: str) -> None:
        """The node of a place that is no read-out point: one that was typed, or as it was found."""
        s = self.a.sheet
        if s.has(f"{cut}/x"):
            return
        given: Input | None = self._section_x(self.section_at[x]) if x in self.section_at else None
        for each in self.loads if given is None else ():
            for end, place in zip(each.ends, (each.load.aft, each.load.forward), strict=True):
                if place == x:
                    given = end
        if given is None:
            self.roots.add(x)
            given = s.constant("place found, a root", s.here(x, "length"), s.unit("length"))
        s.add(
            f"{cut}/x", "copy", "x", {"x": given}, name="place along her length", unit=s.unit("length"),
            value=s.here(x, "length"),
        )  # fmt: skip

    def _forces(self, before: str, cut: str, at: Cut, sums: tuple[str, str, str, str], x: float) -> None:
        s = self.a.sheet
        w, mw, b, mb = sums
        shear: Inputs = {"SF": f"{before}/shear_forward", "w": w, "b": b}
        s.add(
            f"{cut}/shear_aft", "expression", "SF + w - b", shear, name="shear force just aft of *",
            of=self._words(cut),
            unit=s.unit("mass"), value=s.here(at.shear_aft, "mass"), path=self._path(cut, "shear_aft"), source=SOURCE,
        )  # fmt: skip
        bending: Inputs = {
            "BM": f"{before}/bending", "SF": f"{before}/shear_forward", "x": f"{cut}/x", "x_0": f"{before}/x",
            "w": w, "M_w": mw, "b": b, "M_b": mb,
        }  # fmt: skip
        s.add(
            f"{cut}/bending", "expression", "BM + SF * (x - x_0) + (w * x - M_w) - (b * x - M_b)", bending,
            name="bending moment at *", of=self._words(cut), unit=s.unit("moment"), value=s.here(at.bending, "moment"),
            path=self._path(cut, "bending"), source=SOURCE,
        )  # fmt: skip
        self._forward(cut, x, at)

    def _forward(self, cut: str, x: float, at: Cut) -> None:
        """The shear force beyond the loads at a point there."""
        s, points = self.a.sheet, self._jump(x)
        path, of = self._path(cut, "shear_forward"), self._words(cut)
        name = "shear force just forward of *"
        if not points:
            s.copy(f"{cut}/shear_forward", f"{cut}/shear_aft", name=name, of=of, path=path)
            return
        inputs: Inputs = {
            "SF": f"{cut}/shear_aft",
            **{f"m{n}": each.mass for n, each in enumerate(points, 1)},
        }
        s.add(
            f"{cut}/shear_forward", "expression", " + ".join(inputs), inputs, name=name, of=of, unit=s.unit("mass"),
            value=s.here(at.shear_forward, "mass"), path=path, source=SOURCE,
        )  # fmt: skip
