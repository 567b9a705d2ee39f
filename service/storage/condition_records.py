"""Revisions of conditions as they are handed over and given out."""

from .condition_figures import ConditionFigures
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
