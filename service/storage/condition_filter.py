"""What a list of conditions is narrowed to."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, Table, func, or_, select

from .sorting import any_of
from .vessel import VESSELS

_WITHDRAWN = select(VESSELS.c.id).where(VESSELS.c.state == "withdrawn")


Choice = str | Collection[str] | None
"""A value, or several of which any does; None leaves the field open."""


@dataclass(frozen=True, slots=True)
class Filter:
    """What a list is narrowed to; None leaves a field open.

    `vessels`: the scope of the caller. `vessel`, `verdict`, `review_state`, `phase`, `reference`, `voyage`: exact
    values, any of several. `states`: of the condition, any of them. `of_active`: only conditions of active vessels.
    `imo_number`: of the vessel. `title`: a part of it (capitals of the Latin alphabet do not matter), `words`: a part
    of title, voyage, reference or a port. `author`: key id or name of whoever wrote the head. `updated_after`,
    `updated_before`, `created_after` and `created_before`: times of the head and of the condition as text, all
    exclusive.
    """

    vessels: Collection[str] | None = None
    vessel: Choice = None
    verdict: Choice = None
    review_state: Choice = None
    phase: Choice = None
    reference: Choice = None
    voyage: Choice = None
    imo_number: Choice = None
    title: str | None = None
    words: str | None = None
    author: str | None = None
    updated_after: str | None = None
    updated_before: str | None = None
    created_after: str | None = None
    created_before: str | None = None
    states: Collection[str] | None = None
    of_active: bool = False

    def apply(self, statement: Select[Any], conditions: Table) -> Select[Any]:
        """A statement about the table of conditions, narrowed."""
        c = conditions.c
        if self.vessels is not None:
            statement = statement.where(c.vessel.in_(self.vessels))
        for name in ("vessel", "verdict", "review_state", "phase", "reference", "voyage"):
            if (value := getattr(self, name)) is not None:
                statement = statement.where(any_of(c[name], value))
        if self.imo_number is not None:
            numbered = select(VESSELS.c.id).where(any_of(VESSELS.c.imo_number, self.imo_number))
            statement = statement.where(c.vessel.in_(numbered))
        if self.title is not None:
            statement = statement.where(func.lower(c.title).contains(self.title.lower(), autoescape=True))
        if self.words is not None:
            said = (c.title, c.voyage, c.reference, c.port_from, c.port_to)
            sought = self.words.lower()
            statement = statement.where(
                or_(*(func.lower(column).contains(sought, autoescape=True) for column in said))
            )
        if self.author is not None:
            statement = statement.where(or_(c.author_key == self.author, c.author_name == self.author))
        if self.states is not None:
            statement = statement.where(c.state.in_(self.states))
        if self.of_active:
            statement = statement.where(c.vessel.not_in(_WITHDRAWN))
        for name in ("updated", "created"):
            if (after := getattr(self, f"{name}_after")) is not None:
                statement = statement.where(c[name] > after)
            if (before := getattr(self, f"{name}_before")) is not None:
                statement = statement.where(c[name] < before)
        return statement


EVERY = Filter()
"""Narrowed to nothing."""
