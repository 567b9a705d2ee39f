"""What a list of conditions is narrowed to."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, Table, select

from .vessel import VESSELS

_WITHDRAWN = select(VESSELS.c.id).where(VESSELS.c.state == "withdrawn")


@dataclass(frozen=True, slots=True)
class Filter:
    """What a list is narrowed to; None leaves a field open.

    `vessels`: the scope of the caller. `vessel`, `verdict`, `review_state`, `phase`, `reference`: exact values.
    `states`: of the condition, any of them. `of_active`: only conditions of active vessels.
    `updated_after` and `updated_before`: times of the head as text, both exclusive.
    """

    vessels: Collection[str] | None = None
    vessel: str | None = None
    verdict: str | None = None
    review_state: str | None = None
    phase: str | None = None
    reference: str | None = None
    updated_after: str | None = None
    updated_before: str | None = None
    states: Collection[str] | None = None
    of_active: bool = False

    def apply(self, statement: Select[Any], conditions: Table) -> Select[Any]:
        """A statement about the table of conditions, narrowed."""
        c = conditions.c
        if self.vessels is not None:
            statement = statement.where(c.vessel.in_(self.vessels))
        for name in ("vessel", "verdict", "review_state", "phase", "reference"):
            if (value := getattr(self, name)) is not None:
                statement = statement.where(c[name] == value)
        if self.states is not None:
            statement = statement.where(c.state.in_(self.states))
        if self.of_active:
            statement = statement.where(c.vessel.not_in(_WITHDRAWN))
        if self.updated_after is not None:
            statement = statement.where(c.updated > self.updated_after)
        if self.updated_before is not None:
            statement = statement.where(c.updated < self.updated_before)
        return statement


EVERY = Filter()
"""Narrowed to nothing."""
