"""What would help: the question into the core, and fillings back into a condition document with its assessment."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.core.assessment import Assessment
from service.core.conventions import CALCULATION_VERSION
from service.core.errors import CoreError
from service.core.filling import FULL, Filling, filling_of
from service.core.least_change import Passed, Single, least_change, on_the_way
from service.core.remedy import (
    AT_LEAST,
    AT_MOST,
    EQUAL,
    MARGIN,
    Question,
    TankEffect,
    Target,
    lacking,
    tank_effect,
)
from service.core.search import counts_by_the_code
from service.core.tank import CONTENTS
from service.core.vessel import Vessel
from service.translation.answer import full_answer
from service.translation.answer_criteria import unit_in
from service.translation.assess_documents import assessed_documents
from service.translation.contradictions import Contradictions
from service.translation.prepared_vessel import PreparedVessel, validated
from service.translation.sensitivities import question_of
from service.translation.units import SCALES, Scale
from service.wire import remedy as wire
from service.wire.assessment import CAUTION
from service.wire.problem import error
from service.wire.refusal import Refusal
from service.wire.sensitivity import MAX_TANKS_ASKED

__all__ = ["Question", "RemedyQuestion", "TankEffect", "remedy_question", "single_answer", "tank_effect"]

Row = dict[str, Any]
BALLAST = "ballast"
IMMERSION = "propeller_immersion"
TOLERANCES = {"list": 0.05, "displacement": 1.0, IMMERSION: 0.1, MARGIN: 1e-3}
TOLERANCE_OF_LENGTH = 0.005
"""Degrees, t, percent, unit of the criterion, m: within which `equal` holds. Common practice, no source."""
PLAY = 0.9
"""Part of a tolerance asked for that the least mass moved makes use of; the rest is for the rounding of masses.
Common practice, no source."""
DIGITS = (1, 2, 3, 6)
"""Decimals that a proposed mass is rounded to: the first with which everything holds."""
SINGLE_METHOD = (
    "each tank over its whole range on the full calculation, by bisection between jumps of its free surface"
)
QUANTITIES_OF_A_LINE = ("mass", "volume", "fill", "sounding", "ullage")


@dataclass(frozen=True)
class RemedyQuestion:
    """A question ready for the core, and what its answer is written with. `typed`: the condition as it was posted;
    `before`: its assessment; `units`: factor and name of the unit of each row's pointer in the answer."""

    question: Question
    prepared: PreparedVessel
    typed: Mapping[str, Any]
    title: str
    scale: Scale
    before: Assessment
    mode: str
    count: int
    not_checked: tuple[str, ...]
    ignored: bool
    units: Mapping[str, tuple[float, str]]

    def head(self) -> Row:
        """What every answer begins with."""
        return {
            "criteria_ignored": self.ignored,
            "mode": self.mode,
            "units": self.scale.names,
            "not_checked": list(self.not_checked),
        }

    def tail(self, method: str) -> Row:
        """What every answer ends with."""
        return {
            "method": method,
            "vessel": self.prepared.reference,
            "calculation_version": CALCULATION_VERSION,
            "caution": CAUTION,
        }

    def name(self, place: int) -> tuple[str, str]:
        """Id and name of a tank by its place among the fillings."""
        tank = self.prepared.vessel.tanks[self.question.fillings[place].tank]
        return tank.id, tank.name

    def document(self, masses: Mapping[int, float]) -> Row:
        """The condition as the mate would have typed it, with these masses (t) in tanks by place."""
        lines = [dict(line) for line in self.typed["tanks"]]
        by_tank = {line["tank"]: line for line in lines}
        for place, mass in masses.items():
            filling = self.question.fillings[place]
            tank = self.prepared.vessel.tanks[filling.tank]
            line = by_tank.get(tank.id)
            if line is None:
                line = {"tank": tank.id}
                if filling.density != tank.default_density(filling.contents):
                    line["density"] = filling.density
                lines.append(line)
            for name in QUANTITIES_OF_A_LINE:
                line.pop(name, None)
            if FULL * filling.full <= mass <= filling.full / FULL:
                line["fill"] = 100.0
            else:
                line["mass"] = mass / self.scale.mass
        return {**self.typed, "tanks": lines}

    def rounded(self, mass: float, digits: int, filling: Filling, away_from: float | None = None) -> float:
        """A mass (t) with so many decimals in the units of the document, an end of the tank's range as it is.

        away_from: in t, where it may only be rounded away from this mass."""
        if mass in (filling.emptied, filling.mass) or mass >= FULL * filling.full:
            return mass
        unit, step = self.scale.mass, 10.0**-digits
        typed = round(mass / unit, digits)
        if away_from is not None and abs(typed * unit - away_from) < abs(mass - away_from):
            typed = round(typed + (step if mass > away_from else -step), digits)
        return max(0.0, typed * unit)

    def assessed(self, masses: Mapping[int, float]) -> tuple[Row, Assessment] | None:
        """The document with these masses and its assessment by the full chain; None where it is refused."""
        document = self.document(masses)
        try:
            return document, assessed_documents(self.prepared, document)[1]
        except Refusal:
            return None

    def answer(self, assessed: Assessment) -> Row:
        """The full answer to a proposed condition."""
        return full_answer(assessed, self.scale, self.prepared.reference, self.title)

    def passed(self, passed: Passed) -> Row:
        """The state of least GM on the way."""
        gm = passed.gm_corrected
        return {
            "gm_corrected": None if gm is None else gm / self.scale.length,
            "list": passed.list_angle,
            "at_mass": passed.at_mass / self.scale.mass,
        }

    def worst(self, assessed: Assessment) -> Row | None:
        """The row nearest to its limit."""
        values = self.question.values(assessed)
        place, _ = self.question.least_value(values)
        if place < 0:
            return None
        row, value = self.question.rows[place], values[place]
        factor, unit = self.units[row.pointer]
        if value is not None:
            value = row.tolerance - abs(value) if row.equal else value
        return {
            "pointer": row.pointer,
            "margin": None if value is None else value * factor,
            "unit": unit,
        }

    def way(self, masses: Mapping[int, float], moved: float | None = None) -> Row:
        """The state of least GM that is passed on the way to these masses."""
        return self.passed(on_the_way(self.question, masses, moved))


def remedy_question(members: Row, prepared: PreparedVessel) -> RemedyQuestion:
    """A parsed request about a vessel; raises Refusal."""
    asked = validated(wire.RemediesQuestion, question_of(members), ())
    document, before = assessed_documents(prepared, members["condition"])
    scale, vessel = SCALES[document.units], prepared.vessel
    criteria = {row.row.id: row for _, row in before.criteria}
    judged = {id: row.row.unit for id, row in criteria.items() if row.is_judged}
    targets = _targets(asked.targets or (), criteria, vessel, scale)
    conserved = frozenset(set(CONTENTS) - {BALLAST} if asked.conserve is None else asked.conserve)
    fillings = _fillings(asked, vessel, before)
    if asked.mode == "single":
        fillings = [filling for filling in fillings if filling.contents not in conserved]
    if not fillings:
        words = "no tank may change: name tanks whose contents may be taken on or pumped out."
        raise Refusal("no_tank_may_change", words, [error(("tanks",), "no_tank_may_change", words)])
    least, most, limited = _fill_limits(asked.fill_limits or (), fillings, vessel)
    question = Question(
        vessel=vessel,
        condition=before.condition,
        targets=targets,
        criteria={} if asked.ignore_criteria else judged,
        fillings=fillings,
        least=least,
        most=most,
        conserved=conserved,
        limited=limited,
        most_slack=asked.most_slack_tanks,
    )
    units = {f"criteria/{id}": unit_in(unit, scale) for id, unit in judged.items()}
    units |= {target.pointer: _unit(target, units, scale) for target in targets}
    return RemedyQuestion(
        question=question,
        prepared=prepared,
        typed=members["condition"],
        title=document.title,
        scale=scale,
        before=before,
        mode=asked.mode,
        count=asked.count,
        not_checked=tuple(
            id for id, row in criteria.items() if not row.is_judged and row.verdict != "not_applicable"
        ),
        ignored=asked.ignore_criteria,
        units=units,
    )


def _unit(target: Target, units: Mapping[str, tuple[float, str]], s: Scale) -> tuple[float, str]:
    if target.quantity == MARGIN:
        return units[f"criteria/{target.criterion}"]
    if target.quantity == "list":
        return 1.0, "degree"
    if target.quantity == IMMERSION:
        return 1.0, "%"
    return (
        (1.0 / s.mass, "t" if s.mass == 1.0 else "LT")
        if target.quantity == "displacement"
        else unit_in("m", s)
    )


def _targets(
    given: Sequence[wire.Target], criteria: Mapping[str, Any], vessel: Vessel, s: Scale
) -> list[Target]:
    contradictions, unknown, lacks = Contradictions(()), Contradictions(()), Contradictions(())
    targets = []
    for i, target in enumerate(given):
        sides = [(name, getattr(target, name)) for name in (EQUAL, AT_LEAST, AT_MOST)]
        chosen = [(name, value) for name, value in sides if value is not None]
        if len(chosen) != 1:
            contradictions.add(("targets", i), "one_side", "give exactly one of equal, at_least, at_most.")
            continue
        if (target.quantity == MARGIN) != (target.criterion is not None):
            contradictions.add(("targets", i), "criterion", "criterion goes with margin, and margin with it.")
            continue
        missing = lacking(vessel, target.quantity)
        if missing is not None:
            lacks.add(("targets", i, "quantity"), "not_computable", f"{missing}.")
            continue
        factor = 1.0
        if target.criterion is not None:
            row = criteria.get(target.criterion)
            if row is None or not row.is_judged:
                words = "this criterion is not judged in this condition."
                unknown.add(("targets", i, "criterion"), "target_unknown", words)
                continue
            factor = 1.0 / unit_in(row.row.unit, s)[0]
        elif target.quantity not in ("list", IMMERSION):
            factor = s.mass if target.quantity == "displacement" else s.length
        sense, value = chosen[0]
        tolerance = 0.0 if sense != EQUAL else TOLERANCES.get(target.quantity, TOLERANCE_OF_LENGTH)
        play = 0.0
        if target.tolerance is not None:
            tolerance = target.tolerance * factor
            play = PLAY * tolerance
        targets.append(
            Target(f"targets/{i}", target.quantity, sense, value * factor, tolerance, target.criterion, play)
        )
    contradictions.refuse("invalid_request", "A target contradicts itself.")
    unknown.refuse("target_unknown", "A target names a criterion that is not judged in this condition.")
    lacks.refuse("not_computable", "A target is a figure that her booklet does not give.")
    return targets


def _fillings(asked: wire.RemediesQuestion, vessel: Vessel, before: Assessment) -> list[Filling]:
    """Of the tanks that may change, in the order of the booklet."""
    aboard: dict[str, set[float]] = {}
    for line, liquid in zip(before.condition.tanks, before.liquids):
        if liquid.mass > 0.0:
            aboard.setdefault(line.contents, set()).add(line.density)
    code = counts_by_the_code(before)
    contradictions = Contradictions(())
    for i, name in enumerate(asked.tanks or ()):
        if name not in vessel.index:
            contradictions.add(("tanks", i), "unknown_tank", "the booklet has no tank with this id.")
    contradictions.refuse("unknown_tank", "A tank is named that the vessel does not have.")
    wanted = (
        range(len(vessel.tanks))
        if asked.tanks is None
        else sorted({vessel.index[name] for name in asked.tanks})
    )
    fillings = []
    for tank in wanted:
        try:
            filling = filling_of(vessel, before.condition, tank, code, aboard)
        except CoreError:
            continue
        if asked.tanks is not None or filling.contents == BALLAST:
            fillings.append(filling)
    if len(fillings) > MAX_TANKS_ASKED:
        words = f"more than {MAX_TANKS_ASKED} tanks may change: name those to look at."
        raise Refusal("invalid_request", words, [error(("tanks",), "missing", words)])
    return fillings


def _fill_limits(
    given: Sequence[wire.FillLimit], fillings: Sequence[Filling], vessel: Vessel
) -> tuple[list[float], list[float], frozenset[int]]:
    """Least and most mass of each filling, t, and the places that a limit is given for. A filling that is over-full may
    stay so, unless one is given."""
    contradictions = Contradictions(())
    for i, limit in enumerate(given):
        if limit.tank not in vessel.index:
            contradictions.add(("fill_limits", i, "tank"), "unknown_tank", "the booklet has no such tank.")
        if limit.least > limit.most:
            contradictions.add(("fill_limits", i, "least"), "not_increasing", "least is more than most.")
    contradictions.repeated([limit.tank for limit in given], "tank", ("fill_limits",))
    contradictions.refuse("invalid_request", "A limit of a filling contradicts itself.")
    limits = {vessel.index[limit.tank]: limit for limit in given}
    least, most = [], []
    for filling in fillings:
        asked = limits.get(filling.tank)
        least.append(0.0 if asked is None else 0.01 * asked.least * filling.full)
        most.append(max(filling.full, filling.mass) if asked is None else 0.01 * asked.most * filling.full)
    limited = frozenset(place for place, filling in enumerate(fillings) if filling.tank in limits)
    return least, most, limited


# --- one tank ----------------------------------------------------------------------------------------------------


def single_answer(asked: RemedyQuestion) -> Row:
    """For each tank the least change at which everything holds, by mass moved."""
    question = asked.question
    found, near = [], []
    for place in range(len(question.fillings)):
        remedy, closest = least_change(question, place)
        if remedy is not None:
            found.append(remedy)
        if closest is not None:
            near.append(closest)
    found.sort(key=lambda each: abs(each.mass - question.fillings[each.place].mass))
    remedies = [_remedy(asked, each) for each in found[: asked.count]]
    best = None if remedies else max(near, key=lambda each: each.least, default=None)
    return {
        **asked.head(),
        "remedies": remedies,
        "closest": None if best is None else _remedy(asked, best),
        **asked.tail(SINGLE_METHOD),
    }


def _remedy(asked: RemedyQuestion, found: Single) -> Row:
    """As a document, its mass rounded away from the present one as far as everything still holds."""
    filling = asked.question.fillings[found.place]
    mass, assessed, document = found.mass, found.assessment, None
    for digits in DIGITS:
        typed = asked.rounded(found.mass, digits, filling, filling.mass)
        tried = asked.assessed({found.place: typed})
        if tried is not None and (not found.holds or asked.question.holds(tried[1])):
            mass, (document, assessed) = typed, tried
            break
    id, name = asked.name(found.place)
    unit = asked.scale.mass
    return {
        "tank": id,
        "name": name,
        "mass_from": filling.mass / unit,
        "mass_to": mass / unit,
        "moved": abs(mass - filling.mass) / unit,
        "verdict": assessed.verdict,
        "on_the_way": asked.way({found.place: mass}),
        "worst": asked.worst(assessed),
        "condition": document or asked.document({found.place: mass}),
        "assessment": asked.answer(assessed),
    }
