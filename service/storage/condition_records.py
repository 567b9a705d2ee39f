"""Conditions and their revisions as they are handed over and given out."""

from typing import NamedTuple, Self

from .condition_figures import ConditionFigures
from .digest import sha256
from .reference import reference_of
from .table import moment, number, text, whole


class _ConditionFacts(ConditionFigures):
    """What a caller says about a revision beside the two texts; all of it comes back in lists.

    `vessel_revision`: number of the vessel's revision it was judged by. `phase` and `voyage` as in the
    document. `verdict`: pass, fail or incomplete. `smallest_margin`: the least favourable margin of all
    criteria, signed so that positive is good, as the caller defines it, and the criterion it belongs to.
    `displacement` in tonnes and `gm_corrected` in metres whatever the document's units. `rule_sets`: the
    editions, canonical JSON text.
    """

    title: str = text()
    phase: str | None = text(default=None)
    voyage: str | None = text(default=None)
    verdict: str = text()
    smallest_margin: float | None = number(default=None)
    smallest_margin_criterion: str | None = text(default=None)
    displacement: float | None = number(default=None)
    gm_corrected: float | None = number(default=None)
    vessel_revision: int = whole()
    rule_sets: str = text()
    calculation_version: str = text()
    author_key: str = text()
    author_name: str = text()
    reason: str | None = text(default=None)
    request_id: str | None = text(default=None)


class ConditionEntry(_ConditionFacts):
    """What a caller hands over: `document` as posted, canonical JSON text; `assessment` the exact text of
    the answer.
    """

    document: str = text()
    assessment: str = text()


class TextFacts(NamedTuple):
    """What is worked out of the texts of a revision: their digests, and the document's reference.

    Made where the texts are written, so that the writer, of whom there is one, does not read them again."""

    document: str
    assessment: str
    reference: str | None

    @classmethod
    def of(cls, document: str, assessment: str) -> Self:
        """Of two texts."""
        return cls(sha256(document), sha256(assessment), reference_of(document))


class ConditionRevisionLine(_ConditionFacts):
    """A kept revision without its two texts. `vessel_digest`: digest of the vessel's revision it was judged
    by.
    """

    condition: str = text(primary_key=True, foreign_key="conditions.id")
    number: int = whole(primary_key=True)
    vessel: str = text()
    vessel_digest: str = text()
    created: str = moment()
    form: int = whole()
    previous: str | None = text()
    digest: str = text()


class ConditionRevision(ConditionRevisionLine):
    """A kept revision."""

    document: str = text()
    assessment: str = text()


class ConditionHistoryLine(ConditionRevisionLine):
    """A kept revision in a list: with its `review_state` unreviewed, accepted or returned (its last review
    decides).
    """

    review_state: str


class Condition(ConditionFigures):
    """A condition and the head of its revisions; the rest as in that revision.

    `updated`: when the head was made. `review_state`: of the head alone; a new revision is unreviewed.
    `reviews` and `review_digest`: number and digest of the last review of any revision. `state`, and `states` and
    `state_digest`, number and digest of the last event that set it: see `state`.

    `figures_number`: number of the revision that dangers, margins and reference belong to. A server of the release
    before may have moved the head without them: then it is not the head's, and they are given out as None.
    `shown_number`: the same of ports and drafts.
    """

    id: str = text(primary_key=True)
    vessel: str = text(foreign_key="vessels.id")
    created: str = moment()
    updated: str = moment()
    head_number: int = whole()
    head_digest: str = text()
    review_state: str = text()
    reviews: int = whole()
    review_digest: str | None = text()
    title: str = text()
    phase: str | None = text()
    voyage: str | None = text()
    verdict: str = text()
    smallest_margin: float | None = number()
    smallest_margin_criterion: str | None = text()
    displacement: float | None = number()
    gm_corrected: float | None = number()
    vessel_revision: int = whole()
    calculation_version: str = text()
    author_key: str = text()
    author_name: str = text()
    figures_number: int | None = whole()
    reference: str | None = text()
    state: str = text(sa_column_kwargs={"server_default": "worked_on"})
    states: int = whole(sa_column_kwargs={"server_default": "0"})
    state_digest: str | None = text()
    port_from: str | None = text()
    port_to: str | None = text()
    draft_aft: float | None = number()
    draft_forward: float | None = number()
    shown_number: int | None = whole()
