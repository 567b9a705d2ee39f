"""The righting lever curve: KN at the tabulated heels, the spline through them, levers, areas and roots."""

from bisect import bisect_right
from functools import cached_property
from math import cos, radians, sin

import numpy as np

from service.core.righting_lever import RightingLever
from service.core.spline import OddSpline
from service.core.tank import SLACK
from service.translation.working.given import Input, Inputs
from service.translation.working.sources import Sources
from service.translation.working.tabulated_kn import TabulatedKn

SPLINE = "de Boor, A Practical Guide to Splines, chapter IV: odd cubic spline, slope KM at the origin"
GZ = "definition of GZ; 2008 IS Code B/3.5"


def heeling_arm(a: Sources) -> str:
    """The arm of her weight to port."""
    s, ship = a.sheet, a.assessed.situation
    tcb = s.here(0.0 if ship.flotation is None else ship.flotation.tcb, "length")
    return s.add(
        "heeling_arm", "expression", "TCG - TCB", {"TCG": "tcg", "TCB": s.constant("TCB", tcb, s.unit("length"))},
        name="arm of her weight to port", unit=s.unit("length"), value=s.here(ship.heeling_arm, "length"),
    )  # fmt: skip


class Levers:
    """The nodes of one curve of KN, and of the levers to either side made of it."""

    def __init__(self, a: Sources, curve: RightingLever) -> None:
        """curve: the one shown."""
        self.a, self.sheet, self.curve = a, a.sheet, curve
        self._pieces: dict[int, Inputs] = {}
        self.knots: list[float] = curve.kn.knots
        self.heels = [0.0, *curve.kn.curves.heels]
        self.side = a.assessed.heeled.side
        self._tables = TabulatedKn(a, curve, self.heels)
        heeling_arm(a)
        self._km_and_vcg()

    def _km_and_vcg(self) -> None:
        """KM and VCG of the curve: without what tanks with heeled moments take part with themselves."""
        s = self.sheet
        if not self.a.assessed.actual_moments:
            s.copy("curve/vcg", "vcg_corrected", name="VCG of the curve")
            s.copy("curve/km", "km", name="KM of the curve")
            return
        parts = [f"tank/{id}/free_surface_moment" for id in self._actual_tanks]
        moment = s.total(
            "curve/actual_moment", parts, name="moments of the tanks that take part with their actual moment",
            unit=s.unit("moment"), value=sum(s.value(part) for part in parts),
        )  # fmt: skip
        for id, of, symbol, core in (
            ("vcg", "vcg_corrected", "KG_f", self.curve.vcg),
            ("km", "km", "KM", self.curve.kn.km),
        ):
            s.add(
                f"curve/{id}", "expression", f"{symbol} - M / W", {symbol: of, "M": moment, "W": "displacement"},
                name=f"{id.upper()} of the curve", unit=s.unit("length"), value=s.here(core, "length"),
                source="2008 IS Code B/3.1.9",
            )  # fmt: skip

    @cached_property
    def _actual_tanks(self) -> dict[str, int]:
        """Tanks that take part with their actual moment, by id, each with its line."""
        a, found = self.a.assessed, {}
        vessel = a.situation.vessel
        for i, (line, liquid) in enumerate(zip(a.condition.tanks, a.liquids)):
            heeled = vessel.heeled.get(line.tank)
            if (
                heeled
                and a.surfaces.judged.at_filling[i]
                and liquid.state == SLACK
                and heeled.covers(liquid.fill)
            ):
                found[vessel.tanks[line.tank].id] = i
        return found

    # --- KN at the tabulated heels, and the spline ---------------------------------------------------------------

    def kn(self, knot: int) -> str:
        """KN at a knot: 0 upright, else at a tabulated heel."""
        s = self.sheet
        if knot == 0:
            return s.copy("kn/0", s.constant("KN upright", 0.0, s.unit("length")), name="KN at 0°")
        heel = self.heels[knot]
        id = f"kn/{heel:g}"
        if s.has(id):
            return id
        if not self.a.assessed.actual_moments:
            return self._tables.kn(knot, id)
        tables, at_end = self._tables.kn(knot, f"{id}/table"), self._value_at(knot)
        shifts = [
            s.constant(
                f"shift lever of {name} at {heel:g}°, from its heeled moments",
                s.here(shift, "length"),
                s.unit("length"),
            )
            for name, shift in self._shifts(knot)
        ]
        inputs: Inputs = {
            "KN": tables,
            **{f"s{n}": each for n, each in enumerate(shifts, 1)},
        }
        text = "KN" + "".join(f" - s{n}" for n in range(1, len(shifts) + 1))
        return s.add(
            id, "expression", text, inputs, name=f"KN at {heel:g}°, less the shift of liquids", unit=s.unit("length"),
            value=s.here(at_end, "length"), source="2008 IS Code B/3.1.9",
        )  # fmt: skip

    def _value_at(self, knot: int) -> float:
        """KN of the curve at a knot, m."""
        c0, c1, c2, c3, c4 = self.curve.kn.pieces[min(knot, len(self.curve.kn.pieces) - 1)]
        t = 0.0 if knot < len(self.curve.kn.pieces) else self.knots[-1] - self.knots[-2]
        return c0 + t * (c1 + t * (c2 + t * (c3 + t * c4)))

    def _shifts(self, knot: int) -> list[tuple[str, float]]:
        a = self.a.assessed
        found = []
        for name, i in self._actual_tanks.items():
            line, liquid = a.condition.tanks[i], a.liquids[i]
            heeled = a.situation.vessel.heeled[line.tank]
            shift = line.density / a.displacement.mass * float(heeled.at(liquid.fill)[knot - 1])
            found.append((name, shift))
        return found

    @cached_property
    def _spline(self) -> OddSpline:
        return OddSpline.through(np.radians(self.heels[1:]))

    def slope(self, knot: int) -> str:
        """Slope of KN at a knot, a radian: the sum of weights times KN at every heel, and KM."""
        s, id = self.sheet, f"slope/{self.heels[knot]:g}"
        if knot == 0:
            return "curve/km"
        if s.has(id):
            return id
        weights = [float(w) for w in self._spline.from_values[knot][1:]]
        pairs: list[tuple[Input, Input]] = [
            (s.constant(f"spline weight of {self.heels[k]:g}°", weight, "1/rad"), self.kn(k))
            for k, weight in enumerate(weights, 1)
        ]
        pairs.append((s.constant("spline weight of KM", float(self._spline.from_slope[knot])), "curve/km"))
        piece = min(knot, len(self.knots) - 2)
        c1 = self.curve.kn.pieces[piece]
        t = self.knots[knot] - self.knots[piece]
        value = c1[1] + t * (2.0 * c1[2] + t * 3.0 * c1[3])
        return s.products(
            id, pairs, name=f"slope of KN at {self.heels[knot]:g}°",
            unit=f"{s.unit('length')}/rad", value=s.here(value, "length"), source=SPLINE,
            formula="weights that depend on the heels alone",
        )  # fmt: skip

    def piece(self, k: int) -> Inputs:
        """The four coefficients of KN from knot k to the next, lowest power first."""
        s = self.sheet
        if k in self._pieces:
            return self._pieces[k]
        h = s.constant("radians between the heels", self.knots[k + 1] - self.knots[k], "rad")
        ends: Inputs = {
            "y0": self.kn(k), "y1": self.kn(k + 1), "m0": self.slope(k), "m1": self.slope(k + 1), "h": h,
        }  # fmt: skip
        for power, text in (
            (2, "(3 * (y1 - y0) / h - 2 * m0 - m1) / h"),
            (3, "(m0 + m1 - 2 * (y1 - y0) / h) / h^2"),
        ):
            s.add(
                f"piece/{self.heels[k]:g}/c{power}", "expression", text, ends,
                name=f"coefficient {power} of KN from {self.heels[k]:g}°", unit=f"{s.unit('length')}/rad^{power}",
                value=s.here(self.curve.kn.pieces[k][power], "length"), source="cubic Hermite form, definition",
            )  # fmt: skip
        self._pieces[k] = {
            "c0": ends["y0"], "c1": ends["m0"],
            "c2": f"piece/{self.heels[k]:g}/c2", "c3": f"piece/{self.heels[k]:g}/c3",
        }  # fmt: skip
        return self._pieces[k]

    # --- at an angle ---------------------------------------------------------------------------------------------

    def angle(self, degree: float) -> str:
        """A fixed angle as a node."""
        given = self.sheet.constant(f"{degree:g}°", degree, "degree")
        return self.sheet.copy(f"angle/{degree:g}", given, name=f"{degree:g}°")

    def interval(self, degree: float) -> int:
        """The piece an angle lies in."""
        return bisect_right(self.knots, radians(abs(degree)), 1, len(self.knots) - 1) - 1

    def u(self, angle: str) -> tuple[int, str]:
        """The piece an angle (a node, degrees) lies in, and how far from its left knot, radians."""
        s, id = self.sheet, f"u/{angle}"
        k = self.interval(s.value(angle))
        if s.has(id):
            return k, id
        s.add(
            id, "expression", "(abs(phi) - x) * rad",
            {
                "phi": angle, "x": s.constant(f"knot at {self.heels[k]:g}°", self.heels[k], "degree"),
                "rad": s.constant("radians a degree", radians(1.0), "rad"),
            },
            name=f"radians from {self.heels[k]:g}°", unit="rad",
            value=radians(abs(s.value(angle))) - self.knots[k], symbol="u",
        )  # fmt: skip
        return k, id

    def kn_at(self, angle: str) -> str:
        """KN at an angle (a node, degrees)."""
        s = self.sheet
        k, u = self.u(angle)
        size = radians(abs(s.value(angle)))
        c0, c1, c2, c3, _ = self.curve.kn.pieces[k]
        t = size - self.knots[k]
        return s.add(
            f"kn_at/{angle}", "piece", "c0 + c1 * u + c2 * u^2 + c3 * u^3", {"u": u, **self.piece(k)},
            name=f"KN at {s.value(angle):.4g}°", unit=s.unit("length"),
            value=s.here(c0 + t * (c1 + t * (c2 + t * c3)), "length"), source=SPLINE, symbol="KN",
        )  # fmt: skip

    def arm(self, side: float) -> str:
        """The arm of her weight to the side she heels to."""
        s = self.sheet
        if side > 0.0:
            return "heeling_arm"
        return s.add(
            "heeling_arm/starboard", "expression", "-arm", {"arm": "heeling_arm"},
            name="arm of her weight to starboard", unit=s.unit("length"), value=-s.value("heeling_arm"),
        )  # fmt: skip

    def lever(self, angle: str, side: float) -> str:
        """GZ at an angle (a node, degrees), heeling to a side."""
        s, id = self.sheet, f"lever{self.words(side)}/{angle}"
        if s.has(id):
            return id
        degree = s.value(angle)
        sign = "" if degree >= 0.0 else "-"
        value = self.curve_of(side).lever(degree)
        return s.add(
            id, "expression",
            f"{sign}(KN - KG * sin(abs(phi))) - TCG * cos(phi)",
            {"KN": self.kn_at(angle), "KG": "curve/vcg", "TCG": self.arm(side), "phi": angle},
            name=f"GZ at {degree:.4g}°", unit=s.unit("length"), value=s.here(value, "length"), source=GZ, symbol="GZ",
        )  # fmt: skip

    def words(self, side: float) -> str:
        """What the ids of the other side carry."""
        return "" if side == self.side else "/port" if side > 0.0 else "/starboard"

    def curve_of(self, side: float) -> RightingLever:
        """The curve of one side."""
        return self.curve if side == self.side else self.curve.other_side()

    def printed_levers(self) -> None:
        """GZ at the tabulated heels."""
        for knot in range(1, len(self.heels)):
            heel = self.heels[knot]
            s = self.sheet
            s.add(
                f"lever/{heel:g}", "expression", "KN - KG * sin(phi) - TCG * cos(phi)",
                {
                    "KN": self.kn(knot), "KG": "curve/vcg", "TCG": self.arm(self.side),
                    "phi": s.constant(f"{heel:g}°", heel, "degree"),
                },
                name=f"GZ at {heel:g}°", unit=s.unit("length"), value=s.here(self.curve.lever(heel), "length"),
                source=GZ, symbol="GZ",
            )  # fmt: skip

    # --- areas ---------------------------------------------------------------------------------------------------

    def kn_area(self, angle: str) -> str:
        """Area under KN from upright to an angle (a node, degrees), m.rad; even in the angle."""
        s = self.sheet
        if s.has(f"kn_area/{angle}"):
            return f"kn_area/{angle}"
        k, u = self.u(angle)
        parts: list[Input] = [self._whole_piece(j) for j in range(k)]
        size = radians(abs(s.value(angle)))
        c0, c1, c2, c3, c4 = self.curve.kn.area_pieces[k]
        t = size - self.knots[k]
        rest = t * (c1 + t * (c2 + t * (c3 + t * c4)))
        unit = s.unit("lever_area")
        parts.append(
            s.add(
                f"kn_area/{angle}/last",
                "integral",
                "c0 * u + c1 * u^2 / 2 + c2 * u^3 / 3 + c3 * u^4 / 4",
                {**self.piece(k), "u": u},
                name=f"area under KN from {self.heels[k]:g}° to {s.value(angle):.4g}°",
                unit=unit,
                value=s.here(rest, "lever_area"),
                source="integral of the polynomial",
            )
        )
        return s.total(
            f"kn_area/{angle}", parts, name=f"area under KN to {s.value(angle):.4g}°", unit=unit,
            value=s.here(c0 + rest, "lever_area"), source="integral of the polynomials",
        )  # fmt: skip

    def _whole_piece(self, k: int) -> str:
        s, pieces = self.sheet, self.curve.kn.area_pieces
        id = f"kn_area/{self.heels[k]:g}-{self.heels[k + 1]:g}"
        if s.has(id):
            return id
        h = s.constant("radians between the heels", self.knots[k + 1] - self.knots[k], "rad")
        return s.add(
            id, "integral",
            "c0 * u + c1 * u^2 / 2 + c2 * u^3 / 3 + c3 * u^4 / 4", {**self.piece(k), "u": h},
            name=f"area under KN from {self.heels[k]:g}° to {self.heels[k + 1]:g}°", unit=s.unit("lever_area"),
            value=s.here(pieces[k + 1][0] - pieces[k][0], "lever_area"), source="integral of the polynomial",
        )  # fmt: skip

    def area(self, angle: str, side: float) -> str:
        """Area under GZ from upright to an angle (a node, degrees), heeling to a side."""
        s, id = self.sheet, f"area{self.words(side)}/0-{angle}"
        if s.has(id):
            return id
        value = self.curve_of(side).area_from_upright(s.value(angle))
        return s.add(
            id, "expression", "A_KN - KG * (1 - cos(phi)) - TCG * sin(phi)",
            {"A_KN": self.kn_area(angle), "KG": "curve/vcg", "TCG": self.arm(side), "phi": angle},
            name=f"area under GZ to {s.value(angle):.4g}°", unit=s.unit("lever_area"),
            value=s.here(value, "lever_area"), source="integral of GZ", symbol="A",
        )  # fmt: skip

    def area_between(self, first: str, last: str, side: float) -> str:
        """Area under GZ between two angles (nodes, degrees)."""
        s = self.sheet
        if s.value(first) == 0.0:
            return self.area(last, side)
        high, low = self.area(last, side), self.area(first, side)
        return s.add(
            f"area{self.words(side)}/{first}-{last}", "expression", "A_2 - A_1", {"A_2": high, "A_1": low},
            name=f"area under GZ from {s.value(first):.4g}° to {s.value(last):.4g}°", unit=s.unit("lever_area"),
            value=s.value(high) - s.value(low), symbol="A",
        )  # fmt: skip

    # --- roots ---------------------------------------------------------------------------------------------------

    def at_root(self, degree: float) -> Inputs:
        """Inputs of an expression that is nothing at an angle found: the angle, the coefficients of KN there, VCG."""
        s, k = self.sheet, self.interval(degree)
        return {
            "phi": s.constant("angle found", degree, "degree"),
            "x": s.constant(f"knot at {self.heels[k]:g}°", self.heels[k], "degree"),
            "rad": s.constant("radians a degree", radians(1.0), "rad"),
            **self.piece(k), "KG": "curve/vcg",
        }  # fmt: skip

    def crossing(self, id: str, degree: float, level: Input | None, side: float, name: str) -> str:
        """An angle at which GZ meets a level (none: zero) as a root; negative to windward."""
        s = self.sheet
        if s.has(id):
            return id
        height = 0.0 if level is None else s.value_of(level)
        if abs(s.here(self.curve_of(side).lever(degree), "length") - height) > 1e-9:
            given = s.constant("the lever is above the level already when she is upright", degree, "degree")
            return s.copy(id, given, name=name)
        sign, extra = ("" if degree >= 0.0 else "-"), "" if level is None else " - level"
        inputs = {**self.at_root(degree), "TCG": self.arm(side)}
        if level is not None:
            inputs["level"] = level
        u = "((abs(phi) - x) * rad)"
        kn = f"c0 + c1 * {u} + c2 * {u}^2 + c3 * {u}^3"
        text = f"{sign}({kn} - KG * sin(abs(phi))) - TCG * cos(phi){extra}"
        return s.add(
            id, "root", text, inputs, name=name, unit="degree", value=degree, source="root of the righting lever curve",
            formula="the angle phi at which the expression is nothing",
        )  # fmt: skip

    def greatest(self, id: str, degree: float, side: float, name: str) -> str:
        """The angle of the greatest lever: where the slope is nothing, or an end of the range."""
        s = self.sheet
        if s.has(id):
            return id
        curve = self.curve_of(side)
        size, k = radians(degree), self.interval(degree)
        c1, c2, c3, _, _ = self.curve.kn.slope_pieces[k]
        t = size - self.knots[k]
        slope = c1 + t * (c2 + t * c3) - curve.vcg * cos(size) + curve.tcg * sin(size)
        if abs(slope) > 1e-9 or degree == 0.0:
            given = s.constant(
                "end of the range measured, or the printed heel that is greatest", degree, "degree"
            )
            return s.copy(id, given, name=name)
        u = "((phi - x) * rad)"
        inputs = {**self.at_root(degree), "TCG": self.arm(side)}
        del inputs["c0"]
        text = f"c1 + 2 * c2 * {u} + 3 * c3 * {u}^2 - KG * cos(phi) + TCG * sin(phi)"
        return s.add(
            id, "root", text, inputs, name=name, unit="degree", value=degree,
            formula="the angle phi at which the slope of GZ is nothing", source="maximum of the curve",
        )  # fmt: skip
