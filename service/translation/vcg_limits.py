"""Greatest VCG and least GM over drafts and trims: the question into the core, its answer as a document."""

from typing import Any

from service.core.condition import Condition
from service.core.conventions import CALCULATION_VERSION
from service.core.errors import OutsideTable
from service.core.rules.catalogue import CATALOGUE, NAMES
from service.core.rules.limit import RuleSet
from service.core.vcg_limit import FAILS, UNKNOWN, CriterionLimit, VcgLimit, vcg_limit
from service.translation.condition import reason_of
from service.translation.contradictions import Contradictions
from service.translation.prepared_vessel import PreparedVessel, validated
from service.translation.rule_sets import editions
from service.translation.units import SCALES, Scale
from service.wire.assessment import CAUTION
from service.wire.problem import ProblemError, error
from service.wire.refusal import Refusal
from service.wire.vcg_limit import VcgLimitsQuestion

Row = dict[str, Any]
NAMES_OF_VESSEL = ("vessel", "vessel_id", "vessel_revision")
NOT_ASKED = (
    "load-lines",
    "afloat",
    "grain-code",
    "vessel-strength",
    "own-limits",
    "marpol-annex-1-reg-18",
    "solas-v-22",
)
"""Sets that read what is aboard, or drafts alone."""


def vcg_limits(members: Row, prepared: PreparedVessel) -> Row:
    """The answer to a parsed request about a vessel; raises Refusal."""
    rest = {name: value for name, value in members.items() if name not in NAMES_OF_VESSEL}
    question = validated(VcgLimitsQuestion, rest, ())
    scale = SCALES[question.units]
    sets = _sets(question, prepared)
    condition = _condition(question, scale)
    limits, errors = _limits(question, prepared, condition, sets, scale)
    if errors:
        raise Refusal(errors[0]["code"], errors[0]["detail"], errors)
    return {
        "units": scale.names,
        "rows": [_row(limit, scale) for limit in limits],
        "envelope": [_envelope(draft, limits, scale) for draft in _drafts(limits)],
        "provenance": {
            "calculation_version": CALCULATION_VERSION,
            "vessel": prepared.reference,
            "rule_sets": editions(sets),
        },
        "caution": CAUTION,
    }


def _sets(question: VcgLimitsQuestion, prepared: PreparedVessel) -> list[RuleSet]:
    contradictions = Contradictions(())
    for i, name in enumerate(question.rule_sets or ()):
        if name not in NAMES:
            contradictions.add(("rule_sets", i), "unknown_rule_set", "this rule set is not in /v1/rule-sets.")
        elif NAMES[name] in NOT_ASKED:
            contradictions.add(
                ("rule_sets", i), "not_here", "this rule set sets no limit of VCG by draft and trim."
            )
    contradictions.refuse("invalid_request", "A rule set cannot be asked for here.")
    names = {NAMES[name] for name in question.rule_sets or prepared.vessel.rule_sets}
    sets = [found for found in CATALOGUE.values() if found.name in names and found.name not in NOT_ASKED]
    if not sets:
        wrong = [error(("rule_sets",), "missing", "the vessel lists no rule set that limits VCG: name one.")]
        raise Refusal("invalid_request", "No rule set is asked for.", wrong)
    return sets


def _condition(question: VcgLimitsQuestion, scale: Scale) -> Condition:
    """Water and wind; nothing aboard is read."""
    additions = question.wind_additions or ()
    return Condition(
        tanks=(),
        weights=(),
        water_density=question.water_density,
        basis="as_filled",
        rule_sets=(),
        wind_area=sum(a.area for a in additions) * scale.area,
        wind_moment=sum(a.area * a.centroid_height for a in additions) * scale.volume,
        load_line_mark=question.load_line_mark,
    )


def _limits(
    question: VcgLimitsQuestion,
    prepared: PreparedVessel,
    condition: Condition,
    sets: list[RuleSet],
    scale: Scale,
) -> tuple[list[VcgLimit], list[ProblemError]]:
    limits, errors = list[VcgLimit](), list[ProblemError]()
    for i, draft in enumerate(question.drafts):
        for j, trim in enumerate(question.trims):
            try:
                limits.append(
                    vcg_limit(prepared.vessel, condition, sets, draft * scale.length, trim * scale.length)
                )
            except OutsideTable as off:
                place = ("trims", j) if off.quantity == "trim" else ("drafts", i)
                found = error(place, "outside_table", reason_of(off, scale))
                if found["pointer"] not in {e["pointer"] for e in errors}:
                    errors.append(found)
    return limits, errors


def _row(limit: VcgLimit, s: Scale) -> Row:
    governing, highest = limit.governing, limit.highest
    return {
        "draft": limit.draft / s.length,
        "trim": limit.trim / s.length,
        "displacement": limit.displacement / s.mass,
        "km": limit.km / s.length,
        "max_vcg": None if highest is None else highest / s.length,
        "min_gm": None if highest is None else (limit.km - highest) / s.length,
        "governing": None if governing is None else governing.criterion.row.id,
        "criteria": [_criterion(found, limit.km, s) for found in limit.criteria],
    }


def _criterion(found: CriterionLimit, km: float, s: Scale) -> Row:
    highest, row = found.highest, found.criterion.row
    return {
        "id": row.id,
        "rule_set": found.rule_set.name,
        "title": row.title,
        "max_vcg": None if highest is None else highest / s.length,
        "min_gm": None if highest is None else (km - highest) / s.length,
        "lowest_vcg": found.lowest / s.length,
        "status": found.status,
        "reason": found.reason,
    }


def _drafts(limits: list[VcgLimit]) -> list[float]:
    return list(dict.fromkeys(limit.draft for limit in limits))


def _envelope(draft: float, limits: list[VcgLimit], s: Scale) -> Row:
    rows = [limit for limit in limits if limit.draft == draft]
    worst = next((row for row in rows if row.highest is None and _is_open(row)), None)
    if worst is None:
        known = [row for row in rows if row.highest is not None]
        worst = min(known, key=lambda row: row.highest or 0.0, default=None)
    governing = None if worst is None else worst.governing
    highest = None if worst is None else worst.highest
    return {
        "draft": draft / s.length,
        "max_vcg": None if highest is None else highest / s.length,
        "trim": None if worst is None else worst.trim / s.length,
        "governing": None if governing is None else governing.criterion.row.id,
    }


def _is_open(limit: VcgLimit) -> bool:
    """Whether no VCG is known to do, as against one that nothing limits."""
    return limit.governing is not None or any(row.status in (UNKNOWN, FAILS) for row in limit.criteria)
