"""The fleet: every vessel with the condition that was changed last."""

from collections.abc import Collection
from dataclasses import dataclass, fields

from sqlalchemy import select, tuple_

from .condition import CONDITIONS, HEAD_FIGURES
from .statements import Statements
from .vessel import ENTERED, VESSELS


@dataclass(frozen=True, slots=True)
class FleetLine:
    """One vessel and the head of her latest condition; everything after `vessel_reference` is None when she has
    none.

    Units as in `condition`: masses in tonnes, lengths in metres. Dangers and margins are None where the condition was
    kept before they were columns.
    """

    vessel: str
    name: str
    imo_number: str | None
    vessel_reference: str | None
    condition: str | None
    title: str | None
    phase: str | None
    voyage: str | None
    head_number: int | None
    head_digest: str | None
    verdict: str | None
    smallest_margin: float | None
    smallest_margin_criterion: str | None
    displacement: float | None
    gm_corrected: float | None
    review_state: str | None
    updated: str | None
    author_name: str | None
    vessel_revision: int | None
    calculation_version: str | None
    dangers: int | None
    least_margin: float | None
    least_margin_unit: str | None
    least_margin_criterion: str | None
    least_margin_gm: float | None
    least_margin_side: str | None
    load_line_draft: float | None
    load_line_mass: float | None
    reference: str | None


_other = CONDITIONS.alias("other")
_LATEST = (
    select(_other.c.id)
    .where(_other.c.vessel == VESSELS.c.id)
    .order_by(_other.c.updated.desc(), _other.c.id.desc())
    .limit(1)
    .correlate(VESSELS)
    .scalar_subquery()
)
_LINES = select(
    VESSELS.c.id,
    VESSELS.c.name,
    VESSELS.c.imo_number,
    VESSELS.c.reference,
    CONDITIONS.c.id,
    *(HEAD_FIGURES.get(field.name, CONDITIONS.c[field.name]) for field in fields(FleetLine)[5:]),
).join_from(VESSELS, CONDITIONS, CONDITIONS.c.id == _LATEST, isouter=True)


class FleetRepository:
    """One query, whose cost grows with the number of vessels asked for and not with their history."""

    def __init__(self, statements: Statements) -> None:
        self._statements = statements

    def list(
        self,
        *,
        vessels: Collection[str] | None = None,
        verdict: str | None = None,
        review_state: str | None = None,
        after: str | None = None,
        limit: int = 1000,
    ) -> list[FleetLine]:
        """Vessels in the order they were created; `after` is the last vessel id of the page before.

        `vessels` is the scope of the caller (None: all). With `verdict` or `review_state` only vessels
        whose latest condition has it.
        """
        statement = _LINES.order_by(VESSELS.c.created, VESSELS.c.id).limit(limit)
        if vessels is not None:
            statement = statement.where(VESSELS.c.id.in_(vessels))
        if verdict is not None:
            statement = statement.where(CONDITIONS.c.verdict == verdict)
        if review_state is not None:
            statement = statement.where(CONDITIONS.c.review_state == review_state)
        if after is not None:
            last = self._statements.execute(ENTERED, {"the_last": after}).one_or_none()
            if last is None:
                return []
            statement = statement.where(tuple_(VESSELS.c.created, VESSELS.c.id) > tuple_(*last))
        return [FleetLine(*row) for row in self._statements.execute(statement)]
