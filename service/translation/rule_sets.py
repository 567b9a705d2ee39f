"""The catalogue of rule sets as the wire shows it."""

from collections.abc import Sequence
from typing import Literal, cast

from service.core.rules.catalogue import CATALOGUE, NAMES
from service.core.rules.limit import Limit, RuleSet
from service.wire.assessment import RuleSetEdition
from service.wire.refusal import Refusal
from service.wire.rule_set import RuleSetDescription, RuleSetList, RuleSetRow

Phase = Literal["at_sea", "in_port", "always"]


def list_rule_sets() -> RuleSetList:
    """Every rule set with its clauses and limits."""
    return {"items": [_description(rule_set) for rule_set in CATALOGUE.values()]}


def get_rule_set(name: str) -> RuleSetDescription:
    """One rule set by its public name; refuses an unknown one."""
    if name not in NAMES:
        raise Refusal("no_such_rule_set", f"There is no rule set {name[:64]}.")
    return _description(CATALOGUE[NAMES[name]])


def present_name(name: str) -> str:
    """The name a rule set has today; a name that is not known stays."""
    return NAMES.get(name, name)


def rule_set_title(name: str) -> str:
    """What a rule set is called, by today's name or an earlier one: its title and its document. The name itself where
    it is not known."""
    known = CATALOGUE.get(present_name(name))
    return name if known is None else f"{known.title} ({known.document})"


def is_rule_set(name: str) -> bool:
    """Whether a rule set goes by this name, today's or an earlier one."""
    return name in NAMES


def editions(rule_sets: Sequence[RuleSet]) -> list[RuleSetEdition]:
    """Name, title, document and edition of rule sets."""
    return [
        {"name": r.name, "title": r.title, "document": r.document, "edition": r.edition} for r in rule_sets
    ]


def _description(rule_set: RuleSet) -> RuleSetDescription:
    return {
        "name": rule_set.name,
        "title": rule_set.title,
        "document": rule_set.document,
        "edition": rule_set.edition,
        "also_known_as": list(rule_set.also_known_as),
        "criteria": [_row(rule_set, limit) for limit in rule_set.limits],
    }


def _row(rule_set: RuleSet, limit: Limit) -> RuleSetRow:
    return {
        "id": limit.id,
        "clause": limit.clause,
        "title": limit.title,
        "key": limit.key,
        "quantity": limit.quantity,
        "comparison": ">=" if limit.comparison == ">=" else "<=",
        "limit": limit.limit,
        "unit": limit.unit,
        "source": limit.source,
        "from_memory": limit.from_memory,
        "judges": limit.judges,
        "applies": cast(Phase, limit.applies or rule_set.applies),
    }
