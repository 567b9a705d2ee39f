"""Stored conditions named by a line of a batch, made requests of. What finds them is given."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pydantic_core

from service.translation.prepared_vessel import validated
from service.wire.problem import error
from service.wire.refusal import Refusal
from service.wire.request import StoredConditionRequest

NAME = "condition_id"
"""The member that tells such a line from a request with a condition in it."""


@dataclass(frozen=True, slots=True)
class StoredCondition:
    """One kept revision of a condition: its ship, the revision of her data it was judged by, and its text as posted."""

    vessel: str
    vessel_revision: int
    number: int
    document: str


FindCondition = Callable[[str, int | None], StoredCondition]
"""Gives a revision of a stored condition (None: the latest). Raises Refusal (unknown_condition)."""


@dataclass(frozen=True, slots=True)
class NamedCondition:
    """A line that names a stored condition, as the request it stands for. named: what its answer says of that."""

    request: dict[str, Any]
    units: str | None
    named: dict[str, Any]


def unknown_condition() -> Refusal:
    """The refusal of a line that names a condition not stored here, or one its sender may not see."""
    wrong = [error((NAME,), "unknown_condition", "no condition with this id and revision is stored.")]
    return Refusal("unknown_condition", "No condition with this id and revision is stored here.", wrong)


def no_records() -> Refusal:
    """The refusal of every such line where nothing is stored."""
    wrong = [error((NAME,), "no_records", "nothing is stored here; send the condition itself.")]
    return Refusal("no_records", "No conditions are stored here, so none can be named.", wrong)


def named_condition(members: dict[str, Any], find: FindCondition) -> NamedCondition:
    """The request that a line stands for which names a stored condition. Raises Refusal."""
    line = validated(StoredConditionRequest, members, ())
    if line.vessel_revision is not None and line.vessel_data == "latest":
        wrong = [error(("vessel_data",), "not_here", "Not latest beside vessel_revision.")]
        raise Refusal("invalid_request", "Members of the line do not go together.", wrong)
    kept = find(line.condition_id, line.revision)
    request: dict[str, Any] = {
        "vessel_id": kept.vessel,
        "condition": pydantic_core.from_json(kept.document),
    }
    if line.vessel_data != "latest":
        request["vessel_revision"] = line.vessel_revision or kept.vessel_revision
    if line.reference is not None:
        request["reference"] = line.reference
    return NamedCondition(request, line.units, {NAME: line.condition_id, "revision": kept.number})
