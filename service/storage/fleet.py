"""The fleet: every vessel with the condition she sails with."""

from collections.abc import Collection
from typing import NamedTuple

from sqlalchemy import ColumnElement, Select, bindparam, func, or_, select

from .condition import CONDITIONS, HEAD_FIGURES
from .condition_filter import Choice
from .last_review import COLUMNS, join_last_review
from .proof import PROOFS
from .review import REVIEWS
from .sorting import Sorting, any_of
from .statements import Statements
from .vessel import ENTERED, VESSELS


class FleetLine(NamedTuple):
    """One vessel and the head of the condition in force, or where none is, of the one being worked on that was changed
    last; everything after `vessel_state` is None when she has none.

    Units as in `condition`: masses in tonnes, lengths in metres. Dangers and margins are None where the condition was
    kept before they were columns. Reviewer, time and note: of the last review of the head. Proof: of her booklet,
    perhaps of an earlier revision than `vessel_head`; None where she was not proved yet.
    """

    vessel: str
    name: str
    imo_number: str | None
    vessel_reference: str | None
    vessel_state: str
    vessel_head: int
    proof_state: str | None
    proof_conditions: int | None
    proof_off: int | None
    proof_revision: int | None
    proof_digest: str | None
    proof_calculation: str | None
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
    author_key: str | None
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
    port_from: str | None
    port_to: str | None
    draft_aft: float | None
    draft_forward: float | None
    state: str | None
    reviewer_key: str | None
    reviewer_name: str | None
    reviewed: str | None
    review_note: str | None


class WorkedOn(NamedTuple):
    """How many conditions of a vessel are worked on with one verdict and review state."""

    vessel: str
    verdict: str
    review_state: str
    conditions: int


_other = CONDITIONS.alias("other")


def _of_vessel(state: str) -> Select[tuple[str]]:
    return select(_other.c.id).where(_other.c.vessel == VESSELS.c.id, _other.c.state == state)


_SHOWN = func.coalesce(
    _of_vessel("in_force").correlate(VESSELS).scalar_subquery(),
    _of_vessel("worked_on")
    .order_by(_other.c.updated.desc(), _other.c.id.desc())
    .limit(1)
    .correlate(VESSELS)
    .scalar_subquery(),
)
_OF_HEAD = FleetLine._fields[13 : -len(COLUMNS)]
_LINES = join_last_review(
    select(
        *(VESSELS.c[name] for name in ("id", "name", "imo_number", "reference", "state", "head_number")),
        *(
            PROOFS.c[name]
            for name in ("state", "conditions", "off", "revision", "digest", "calculation_version")
        ),
        CONDITIONS.c.id,
        *(HEAD_FIGURES.get(name, CONDITIONS.c[name]) for name in _OF_HEAD),
    )
    .join_from(VESSELS, CONDITIONS, CONDITIONS.c.id == _SHOWN, isouter=True)
    .join(PROOFS, PROOFS.c.vessel == VESSELS.c.id, isouter=True),
    CONDITIONS,
)
NO_VERDICT, NEVER = "without", ""
"""What a vessel without a condition is sorted by: behind every verdict, before every time."""
_SORTED_BY: dict[str, ColumnElement[str]] = {
    "name": VESSELS.c.name,
    "created": VESSELS.c.created,
    "verdict": func.coalesce(CONDITIONS.c.verdict, NO_VERDICT),
    "updated": func.coalesce(CONDITIONS.c.updated, NEVER),
}
BY_ENTRY = ("created", "-created")
"""Orders in which the id of the last item alone says where a page ends."""
_COUNTED = (CONDITIONS.c.vessel, CONDITIONS.c.verdict, CONDITIONS.c.review_state)
_WORKED_ON = (
    select(*_COUNTED, func.count())
    .where(
        CONDITIONS.c.vessel.in_(bindparam("the_vessels", expanding=True)), CONDITIONS.c.state == "worked_on"
    )
    .group_by(*_COUNTED)
)

_ANSWERED = (
    select(func.count())
    .select_from(CONDITIONS)
    .join(VESSELS, VESSELS.c.id == CONDITIONS.c.vessel)
    .join(REVIEWS, (REVIEWS.c.condition == CONDITIONS.c.id) & (REVIEWS.c.number == CONDITIONS.c.reviews))
    .where(
        VESSELS.c.state == "active",
        CONDITIONS.c.state.in_(("in_force", "worked_on")),
        CONDITIONS.c.review_state == "unreviewed",
        REVIEWS.c.decision == "returned",
        REVIEWS.c.revision < CONDITIONS.c.head_number,
    )
)


def _like(search: str) -> ColumnElement[bool]:
    """Whether a line has the text in the ship's name or a port of what she sails with, or it is her IMO number."""
    found = search.lower()
    named = (VESSELS.c.name, HEAD_FIGURES["port_from"].element, HEAD_FIGURES["port_to"].element)
    return or_(
        VESSELS.c.imo_number == search,
        *(func.lower(column).contains(found, autoescape=True) for column in named),
    )


class FleetRepository:
    """Queries whose cost grows with the vessels asked for and what they work on, and not with their history."""

    def __init__(self, statements: Statements) -> None:
        self._statements = statements

    def worked_on(self, vessels: Collection[str]) -> list[WorkedOn]:
        """What is worked on for these vessels, counted."""
        found = self._statements.execute(_WORKED_ON, {"the_vessels": list(vessels)})
        return [WorkedOn(*row) for row in found.all()]

    def count_answered(self, since: str, vessels: Collection[str] | None = None) -> int:
        """How many conditions of active vessels that were returned got a new revision after `since`, and no review."""
        statement = _ANSWERED.where(CONDITIONS.c.updated > since)
        if vessels is not None:
            statement = statement.where(CONDITIONS.c.vessel.in_(vessels))
        return int(self._statements.execute(statement).scalar_one())

    def list(
        self,
        *,
        vessels: Collection[str] | None = None,
        vessel: Choice = None,
        imo_number: Choice = None,
        reference: Choice = None,
        name: str | None = None,
        verdict: Choice = None,
        review_state: Choice = None,
        phase: Choice = None,
        voyage: Choice = None,
        state: Choice = None,
        search: str | None = None,
        proof: Choice = None,
        after: str | None = None,
        limit: int = 1000,
        sorting: Sorting | None = None,
    ) -> list[FleetLine]:
        """Vessels in the order they were created; `after` is the last vessel id of the page before. `sorting`: another
        order, by one of `_SORTED_BY`; `after` counts in those of `BY_ENTRY` alone.

        `vessels` is the scope of the caller (None: all). `vessel`, `imo_number`, `reference`, `name` (a part of it) and
        `state` are those of the vessel, `verdict`, `review_state`, `phase` and `voyage` of the condition shown; all but
        `name` and `search` may be several values, of which any does. `search`: a part of her name or of a port of the
        condition shown (capitals of the Latin alphabet do not matter), or her IMO number. `proof`: its state.
        """
        statement = _LINES.limit(limit)
        if vessels is not None:
            statement = statement.where(VESSELS.c.id.in_(vessels))
        of_vessel = {"id": vessel, "imo_number": imo_number, "reference": reference, "state": state}
        of_shown = {"verdict": verdict, "review_state": review_state, "phase": phase, "voyage": voyage}
        for columns, wanted in ((VESSELS.c, of_vessel), (CONDITIONS.c, of_shown)):
            for column, value in wanted.items():
                if value is not None:
                    statement = statement.where(any_of(columns[column], value))
        if name is not None:
            statement = statement.where(func.lower(VESSELS.c.name).contains(name.lower(), autoescape=True))
        if search is not None:
            statement = statement.where(_like(search))
        if proof is not None:
            statement = statement.where(any_of(PROOFS.c.state, proof))
        sorting = sorting or Sorting("created")
        if after is not None and sorting.column in BY_ENTRY:
            last = self._statements.execute(ENTERED, {"the_last": after}).one_or_none()
            if last is None:
                return []
            sorting = Sorting(sorting.column, (last[0], last[1]))
        statement = sorting.apply(statement, VESSELS, _SORTED_BY[sorting.name])
        return [FleetLine(*row) for row in self._statements.execute(statement).all()]
