"""How sure the figures of a condition are: the request into the core, its answer as a document."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from service.core.assessment import Assessment
from service.core.condition import Condition
from service.core.conventions import CALCULATION_VERSION
from service.core.finding_kinds import finding
from service.core.samples.aboard import (
    DENSITY,
    LCG,
    LIGHTSHIP,
    MASS,
    QUANTITY,
    SOUNDING,
    TANK,
    TCG,
    VCG,
    WATER,
    WEIGHT,
    Deviation,
)
from service.core.sampling import Samples, sampled
from service.core.uncertainty import (
    Chance,
    Contribution,
    Figure,
    Uncertainty,
    uncertainty,
)
from service.core.vessel import Vessel
from service.translation.answer import finding_row
from service.translation.answer_criteria import unit_in
from service.translation.assess_documents import assessed_documents
from service.translation.contradictions import Contradictions
from service.translation.prepared_vessel import PreparedVessel, validated
from service.translation.sensitivities import question_of
from service.translation.units import SCALES, Scale
from service.wire.assessment import CAUTION
from service.wire.condition import Condition as ConditionDocument
from service.wire.pointer import pointer_of
from service.wire.problem import error
from service.wire.refusal import Refusal
from service.wire.uncertainty import MassDeviation, TankDeviation, UncertaintyQuestion

__all__ = ["Samples", "Sampling", "sampling_of"]

Row = dict[str, Any]
MOST_NUMBERS = 10_000_000
"""Samples times deviations, and samples times tank lines and weights: so many random numbers fit into 80 MB, and the
work is done in minutes."""
METHOD = (
    "normal, independent deviations; PCG64, upper 53 bits of each word, normal quantile by AS 241; fillings keep the "
    "state they have in the condition"
)
AS_GOOD = "As good as the deviations typed in."


@dataclass(frozen=True)
class Sampling:
    """A question ready to be sampled, in parts and in any process, and its answer."""

    prepared: PreparedVessel
    question: UncertaintyQuestion
    nominal: Assessment
    deviations: Sequence[Deviation]

    @property
    def samples(self) -> int:
        """How many are asked for."""
        return self.question.samples

    @property
    def lines(self) -> int:
        """Tank lines and weights of the condition."""
        return len(self.nominal.condition.tanks) + len(self.nominal.condition.weights)

    def part(self, first: int, count: int) -> Samples:
        """Some of the samples, from number `first` on."""
        return sampled(self.prepared.vessel, self.nominal, self.deviations, self.question.seed, first, count)

    def answer(self, parts: Sequence[Samples]) -> Row:
        """The answer from all parts in order."""
        nominal, seed, scale = self.nominal, self.question.seed, SCALES[self.question.condition.units]
        found = uncertainty(nominal, self.deviations, self.samples, seed, Samples.joined(parts))
        return {
            "units": scale.names,
            "samples": found.samples,
            "seed": seed,
            "outside": found.outside,
            "clipped": found.clipped,
            "method": METHOD,
            "figures": {name: _figure(figure, _unit(name, scale)) for name, figure in found.figures.items()},
            "criteria": [_criterion(chance, scale) for chance in found.chances],
            "verdict": nominal.verdict,
            "verdict_probability": found.verdict_probability,
            "contributions": [_contribution(each, self.question.condition) for each in found.contributions],
            "findings": list(_findings(found)),
            "vessel": self.prepared.reference,
            "calculation_version": CALCULATION_VERSION,
            "caution": f"{CAUTION} {AS_GOOD}",
        }


def sampling_of(members: Row, prepared: PreparedVessel) -> Sampling:
    """A parsed request about a vessel; raises Refusal."""
    question = validated(UncertaintyQuestion, question_of(members), ())
    document, nominal = assessed_documents(prepared, members["condition"])
    deviations = _deviations(question, nominal.condition, prepared.vessel, SCALES[document.units])
    sampling = Sampling(prepared, question, nominal, deviations)
    if question.samples * max(len(deviations), sampling.lines) > MOST_NUMBERS:
        words = (
            f"samples times deviations or lines come to more than {MOST_NUMBERS:,}: ask for fewer samples."
        )
        raise Refusal("invalid_request", words, [error(("samples",), "too_many", words)])
    return sampling


def _deviations(
    question: UncertaintyQuestion, condition: Condition, vessel: Vessel, scale: Scale
) -> list[Deviation]:
    """In the fixed order: lightship, tanks and weights of the condition, water; what is exact takes no number."""
    given, contradictions = question.standard_deviations, Contradictions(("standard_deviations",))
    document = question.condition
    found: list[Deviation] = []
    if given.lightship is not None:
        found += _of_mass(LIGHTSHIP, 0, given.lightship, scale)
    named = {each.tank: each for each in given.tank or ()}
    aboard = {line.tank for line in document.tanks}
    for i, each in enumerate(given.tank or ()):
        if each.tank not in aboard:
            contradictions.add(("tank", i, "tank"), "unknown_tank", "the condition has no line of this tank.")
    contradictions.repeated([each.tank for each in given.tank or ()], "tank", ("tank",))
    for i, line in enumerate(document.tanks):
        deviation = named.get(line.tank, given.tanks)
        if deviation is not None:
            found += _of_tank(i, deviation, scale)
            if deviation.sounding and "sounding" not in vessel.tanks[condition.tanks[i].tank].levels:
                words = f"tank {line.tank} has no soundings: give it a `mass_percent` of its own."
                contradictions.add(("tank",), "no_soundings", words)
    names = [weight.name for weight in document.weights]
    weights: dict[str, MassDeviation] = {}
    for i, weight in enumerate(given.weights or ()):
        if names.count(weight.name) != 1 or weight.name in weights:
            code = "ambiguous_weight" if weight.name in names else "unknown_weight"
            words = "several lines have this name." if weight.name in names else "no weight has this name."
            contradictions.add(("weights", i, "name"), code, words)
        weights[weight.name] = weight
    for i, name in enumerate(names):
        mass = weights.get(name, given.every_weight)
        found += [] if mass is None else _of_mass(WEIGHT, i, mass, scale)
    if given.water_density:
        found.append(Deviation(WATER, 0, DENSITY, given.water_density))
    for i, each in enumerate([*(given.tank or ()), *([given.tanks] if given.tanks else [])]):
        if each.mass_percent is not None and each.sounding is not None:
            place = ("tank", i) if i < len(given.tank or ()) else ("tanks",)
            contradictions.add(place, "one_quantity", "give one of mass_percent and sounding.")
    contradictions.refuse("invalid_request", "The deviations do not fit the condition.")
    return found


def _of_mass(source: str, index: int, given: MassDeviation, scale: Scale) -> Iterator[Deviation]:
    for quantity, deviation in (
        (MASS, given.mass_percent * 0.01),
        (LCG, given.lcg * scale.length),
        (VCG, given.vcg * scale.length),
        (TCG, given.tcg * scale.length),
    ):
        if deviation:
            yield Deviation(source, index, quantity, deviation)


def _of_tank(index: int, given: TankDeviation, scale: Scale) -> Iterator[Deviation]:
    if given.mass_percent:
        yield Deviation(TANK, index, QUANTITY, given.mass_percent * 0.01)
    if given.sounding:
        yield Deviation(TANK, index, SOUNDING, given.sounding * scale.length)
    if given.density:
        yield Deviation(TANK, index, DENSITY, given.density)


def _unit(name: str, s: Scale) -> float:
    return {"displacement": s.mass, "list": 1.0}.get(name, s.length)


def _figure(figure: Figure, unit: float) -> Row:
    value, mean, deviation, p05, p50, p95 = (None if each is None else each / unit for each in figure)
    return {
        "value": value,
        "mean": mean,
        "standard_deviation": deviation,
        "p05": p05,
        "p50": p50,
        "p95": p95,
    }


def _criterion(chance: Chance, s: Scale) -> Row:
    factor, unit = unit_in(chance.unit, s)
    margin = _figure(chance.margin, 1.0 / factor)
    return {
        "id": chance.id,
        "probability": chance.probability,
        "standard_error": chance.error,
        "margin": {
            "unit": unit,
            **{name: margin[name] for name in ("mean", "standard_deviation", "p05")},
        },
        "verdict": chance.verdict,
    }


def _contribution(each: Contribution, document: ConditionDocument) -> Row:
    names = {
        TANK: lambda: document.tanks[each.line].tank,
        WEIGHT: lambda: document.weights[each.line].name,
    }
    name = names[each.source]() if each.source in names else None
    return {"figure": each.figure, "source": each.source, "name": name, "share": each.share}


def _findings(found: Uncertainty) -> Iterator[Row]:
    if found.too_many_outside:
        found_one = finding("samples_outside_tables", ("standard_deviations",))
        yield {**finding_row(found_one), "path": pointer_of(found_one.place)}
