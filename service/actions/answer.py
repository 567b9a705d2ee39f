"""The core's assessment of a batch as wire documents, in the units asked for.

Columns are scaled as arrays and turned into lists once; a document is then a handful of dictionary displays.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from service.actions.answer_criteria import CriterionColumns, smallest_margin
from service.actions.answer_load import assumed_rows, liquid_totals, subtotals, tank_rows
from service.actions.columns import Row, listed
from service.actions.rule_sets import editions
from service.actions.units import Scale
from service.core.assessment import Assessment as Assessed
from service.core.frame import CALCULATION_VERSION
from service.core.free_surface import BASES
from service.wire.assessment import CAUTION, VesselReference
from service.wire.pointer import pointer_of


@dataclass(frozen=True)
class Answers:
    """Documents for the conditions of one assessed batch; `titles` are those of the conditions."""

    assessed: Assessed
    scale: Scale
    reference: VesselReference
    titles: Sequence[str]

    def full(self, wanted: Iterable[int]) -> dict[int, Row]:
        """The whole answer for each condition of `wanted`."""
        a, s = self.assessed, self.scale
        tanks = tank_rows(a, s)
        assumed = assumed_rows(a, s)
        scalars = self._scalars()
        flotation = self._flotation()
        criteria = CriterionColumns.of(a, s)
        levers = None if a.situation.curve is None else (a.situation.curve.levers / s.length).tolist()
        heels = None if a.situation.curve is None else a.situation.curve.heels.tolist()
        areas, totals = self._areas(), liquid_totals(a)
        first = a.batch.first_line.tolist()
        answers = {}
        for n in wanted:
            rows = criteria.rows(n)
            answers[n] = {
                "title": self.titles[n],
                "verdict": a.verdict(n),
                "smallest_margin": smallest_margin(rows),
                "units": s.names,
                "tanks": tanks[first[n] : first[n + 1]],
                "assumed_free_surfaces": assumed.get(n, []),
                "weights": subtotals(a, s, n, totals[n]),
                **scalars[n],
                "flotation": flotation[n],
                "stability": self._stability(n),
                "righting_lever": None if levers is None else self._lever(n, heels, levers[n], areas[n]),
                "criteria": rows,
                "findings": [
                    {
                        "code": f.code,
                        "severity": f.severity,
                        "path": pointer_of(("condition", *f.place)),
                        "message": f.message,
                    }
                    for f in a.findings[n]
                ],
                "provenance": {
                    "calculation_version": CALCULATION_VERSION,
                    "vessel": self.reference,
                    "rule_sets": editions(a.batch.conditions[n].rule_sets),
                    "free_surface_basis": BASES[a.batch.conditions[n].basis],
                },
                "caution": CAUTION,
            }
        return answers

    def summary(self, wanted: Iterable[int]) -> dict[int, Row]:
        """The figures a list needs, for each condition of `wanted`."""
        a, s = self.assessed, self.scale
        length = {
            "gm_solid": a.gm_solid,
            "gm_corrected": a.gm_corrected,
            "free_surface_correction": a.displacement.free_surface_correction,
            "draft_forward": a.flotation.draft_forward,
            "draft_midship": a.flotation.draft_midship,
            "draft_aft": a.flotation.draft_aft,
            "trim": a.flotation.trim,
        }
        columns = {name: listed(values / s.length) for name, values in length.items()}
        columns["displacement"] = listed(a.displacement.mass / s.mass)
        columns["list"] = listed(a.stability.list_angle)
        criteria = CriterionColumns.of(a, s)
        answers = {}
        for n in wanted:
            rows = criteria.rows(n)
            answers[n] = {
                "title": self.titles[n],
                "verdict": a.verdict(n),
                "smallest_margin": smallest_margin(rows),
                "units": s.names["system"],
                **{name: column[n] for name, column in columns.items()},
                "failed": [row["id"] for row in rows if row["verdict"] == "fail"],
                "not_checked": [
                    row["id"] for row in rows if row["verdict"] in ("not_computable", "outside_validity")
                ],
                "findings": len(a.findings[n]),
                "vessel": self.reference["name"],
                "caution": CAUTION,
            }
        return answers

    def _scalars(self) -> list[Row]:
        a, s = self.assessed, self.scale
        lightship = a.situation.vessel.lightship.mass
        total = a.displacement.mass
        names = (
            "displacement",
            "deadweight",
            "lcg",
            "tcg",
            "vcg_solid",
            "vcg_corrected",
            "free_surface_moment",
            "free_surface_correction",
        )
        columns = zip(
            (total / s.mass).tolist(),
            ((total - lightship) / s.mass).tolist(),
            (a.displacement.lcg / s.length).tolist(),
            (a.displacement.tcg / s.length).tolist(),
            (a.displacement.vcg_solid / s.length).tolist(),
            (a.displacement.vcg_corrected / s.length).tolist(),
            (a.displacement.free_surface_moment / s.moment).tolist(),
            (a.displacement.free_surface_correction / s.length).tolist(),
        )
        first = zip(
            (total * a.displacement.lcg / s.moment).tolist(),
            (total * a.displacement.vcg_solid / s.moment).tolist(),
            (total * a.displacement.tcg / s.moment).tolist(),
        )
        return [
            {**dict(zip(names, row)), "moments": {"longitudinal": x, "vertical": z, "transverse": y}}
            for row, (x, z, y) in zip(columns, first)
        ]

    def _flotation(self) -> list[Row]:
        a, s, f = self.assessed, self.scale, self.assessed.flotation
        names = ("draft_at_lcf", "draft_forward", "draft_midship", "draft_aft", "trim", "km", "lcb", "lcf")
        lengths = zip(*((getattr(f, name) / s.length).tolist() for name in names))
        density = a.batch.water_density.tolist()
        tpc = (f.tpc * s.per_immersion / s.mass).tolist()
        mctc = (f.mctc * s.per_immersion / s.moment).tolist()
        residual = listed(f.residual / s.length)
        marks = a.situation.vessel.draft_marks
        readings = list(zip(*(((f.draft_at(m.x) + m.keel_offset) / s.length).tolist() for m in marks)))
        positions = [(m.name, m.x / s.length) for m in marks]
        rows = []
        for n, row in enumerate(lengths):
            at_marks = readings[n] if readings else ()
            rows.append(
                {
                    "water_density": density[n],
                    **dict(zip(names, row)),
                    "drafts_at_marks": [
                        {"name": name, "x": x, "draft": draft}
                        for (name, x), draft in zip(positions, at_marks)
                    ],
                    "list": self._list(n),
                    "tpc": tpc[n],
                    "mctc": mctc[n],
                    "method": f.method,
                    "residual": residual[n],
                }
            )
        return rows

    def _list(self, n: int) -> Row:
        a = self.assessed
        angle, arm = float(a.stability.list_angle[n]), float(a.displacement.tcg[n] - a.flotation.tcb[n])
        if np.isnan(angle):
            towards = "starboard" if arm < 0.0 else "port"
            return {"angle": None, "side": towards if a.gm_corrected[n] > 0.0 else "either"}
        loll = not np.isnan(a.stability.loll[n]) and abs(arm) < 1e-9
        side = (
            "either" if loll else "upright" if abs(angle) < 1e-9 else "port" if angle > 0.0 else "starboard"
        )
        return {"angle": angle, "side": side}

    def _stability(self, n: int) -> Row:
        a, s = self.assessed, self.scale
        period, loll = float(a.roll_period[n]), float(a.stability.loll[n])
        return {
            "gm_solid": float(a.gm_solid[n]) / s.length,
            "gm_corrected": float(a.gm_corrected[n]) / s.length,
            "roll_period_estimate": None if np.isnan(period) else period,
            "angle_of_loll": None if np.isnan(loll) else loll,
        }

    def _areas(self) -> list[list[Row]]:
        """Areas to 30, to 40 and between (or to down-flooding where that comes first), of every condition."""
        a, s = self.assessed, self.scale
        if a.situation.curve is None:
            return []
        end = np.fmin(a.situation.flooding.angle, a.situation.curve.curves.last_heel)
        columns = []
        for low, high in ((0.0, 30.0), (0.0, 40.0), (30.0, 40.0)):
            last = np.maximum(low, np.minimum(end, high))
            start = np.full_like(last, low)
            reaches = (a.situation.curve.curves.last_heel >= high) | (
                end < a.situation.curve.curves.last_heel
            )
            area = np.where(reaches, a.situation.curve.area(start, last), np.nan) / s.length
            columns.append([{"start": low, "end": e, "area": x} for e, x in zip(last.tolist(), listed(area))])
        return [list(row) for row in zip(*columns)]

    def _lever(self, n: int, heels: list[float] | None, levers: list[float], areas: list[Row]) -> Row:
        a, s = self.assessed, self.scale
        assert a.situation.curve is not None
        vessel, situation = a.situation.vessel, a.situation
        angle, index = float(situation.flooding.angle[n]), int(situation.flooding.opening[n])
        opening = None if index < 0 or vessel.openings is None else vessel.openings[index]
        vanishing, deck = float(a.vanishing_angle[n]), float(situation.deck_edge[n])
        return {
            "side": "port" if a.situation.side[n] > 0.0 else "starboard",
            "heels": heels,
            "levers": levers,
            "maximum": float(a.situation.curve.maximum[n]) / s.length,
            "angle_of_maximum": float(a.situation.curve.angle_of_maximum[n]),
            "vanishing_angle": None if np.isnan(vanishing) else vanishing,
            "areas": areas,
            "down_flooding": {
                "known": not np.isnan(angle),
                "angle": angle if np.isfinite(angle) else None,
                "opening": None if opening is None else opening.id,
                "name": None if opening is None else opening.name,
            },
            "deck_edge_angle": None if np.isnan(deck) else deck,
            "free_surface_method": _ACTUAL if a.situation.actual_moments[n] else _FLUID_VCG,
        }


_FLUID_VCG = "fluid VCG: the free surface correction times the sine of the heel (2008 IS Code B/3.1.9.2)"
_ACTUAL = (
    "actual moment of the liquid at each heel where a tank has heeled moments, fluid VCG for the others "
    "(2008 IS Code B/3.1.9)"
)
