"""What the fleet shows of a condition besides its figures: the ports of its voyage and the drafts she lies at."""

from typing import Any

import pydantic_core
from sqlalchemy import bindparam, select, update

from .condition import CONDITION_REVISIONS, CONDITIONS, SHOWN
from .condition_figures import FleetFigures
from .statements import Statements

METRES = {"metric": 1.0, "us": 0.3048}
"""A length of an answer in metres; the international foot is exact."""
_c = CONDITIONS.c
_BEHIND = (
    select(
        _c.id, CONDITION_REVISIONS.c.number, CONDITION_REVISIONS.c.document, CONDITION_REVISIONS.c.assessment
    )
    .join_from(
        CONDITIONS,
        CONDITION_REVISIONS,
        (CONDITION_REVISIONS.c.condition == _c.id) & (CONDITION_REVISIONS.c.number == _c.head_number),
    )
    .where(_c.shown_number.is_(None) | (_c.shown_number != _c.head_number))
    .order_by(_c.id)
    .limit(bindparam("most"))
)
_WRITE = (
    update(CONDITIONS)
    .where(_c.id == bindparam("the_id"), _c.head_number == bindparam("the_number"))
    .values({name: bindparam(f"new_{name}") for name in (*SHOWN, "shown_number")})
)


def fleet_figures(document: dict[str, Any], answer: dict[str, Any]) -> FleetFigures:
    """Ports of a condition document and drafts of its answer, None where they have none."""
    voyage, flotation = document.get("voyage") or {}, answer.get("flotation") or {}
    metres = METRES[answer["units"]["system"]] if flotation else 1.0

    def draft(name: str) -> float | None:
        value = flotation.get(name)
        return None if value is None else float(value) * metres

    return FleetFigures(
        port_from=voyage.get("from"),
        port_to=voyage.get("to"),
        draft_aft=draft("draft_aft"),
        draft_forward=draft("draft_forward"),
    )


def fleet_figures_of(document: str, answer: str) -> FleetFigures:
    """The same of their texts."""
    return fleet_figures(pydantic_core.from_json(document), pydantic_core.from_json(answer))


class FleetFiguresRepository:
    """For heads that were kept without these columns: by the release before, or with a history that was imported."""

    def __init__(self, statements: Statements) -> None:
        self._statements = statements

    def behind(self, most: int) -> list[tuple[str, int, str, str]]:
        """Id, number, document and answer of heads whose columns are missing or belong to an earlier revision."""
        return [(*row,) for row in self._statements.execute(_BEHIND, {"most": most})]

    def write(self, id: str, number: int, figures: FleetFigures) -> None:
        """Give revision `number` of a condition its columns, while it is still the head."""
        values = {f"new_{name}": value for name, value in figures.values().items()}
        self._statements.execute(
            _WRITE, {"the_id": id, "the_number": number, "new_shown_number": number, **values}
        )
