"""The condition page: verdict, why, what changed, detail, record."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from service.actions.access import Caller
from service.actions.condition_mark import mark_and_visit
from service.actions.last_visit import noted_visit
from service.actions.show_condition import list_condition_revisions, read_condition_revision
from service.pages import wording
from service.pages.conversation import said_about
from service.pages.doubts_here import doubts_that_touch
from service.pages.drawings.hull_shape import HullShape
from service.pages.entered_weights import weights_one_by_one
from service.pages.environment import figures_for
from service.pages.kept_booklet import check_of
from service.pages.kept_part import TitledPart
from service.pages.kept_revision import vessel_behind
from service.pages.page import Page, PageParts, PageRoute, Pages, WhoReads, page, page_parts_of
from service.pages.session import Reader
from service.pages.since_accepted import what_changed
from service.pages.since_last_visit import news_of_condition, told_of_condition
from service.pages.state_in_words import StateInWords, state_in_words
from service.pages.typed import once_of
from service.web.addresses import ConditionAddress, RevisionNumber, identifier, other_system, units_asked
from service.web.caller import in_thread
from service.wire.assessment import Assessment
from service.wire.condition_record import ConditionHistoryLine
from service.wire.fields import UnitSystem
from service.wire.refusal import Refusal
from service.wire.review import Review
from service.wire.vessel_check import Doubt

router = APIRouter(route_class=PageRoute, include_in_schema=False)
LONGEST_HISTORY = 200
MOST_IN_STRIP = 5


@router.get("/conditions/{condition}")
async def get_condition(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """The latest revision."""
    return await condition_page(request, reader, identifier(condition, "condition"), None)


@router.get("/conditions/{condition}/revisions/{number}")
async def get_revision(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """One revision."""
    return await condition_page(request, reader, identifier(condition, "condition"), number)


@dataclass(frozen=True)
class Typed:
    """Fields of a form of the page that was refused: which form, and why."""

    form: str
    fields: dict[str, str] = field(default_factory=dict)
    wrong: str = ""

    def but(self, wrong: str) -> "Typed":
        """The same, refused."""
        return replace(self, wrong=wrong)


async def condition_page(
    request: Request, reader: Reader, condition: str, number: int | None, typed: Typed | None = None
) -> Response:
    """The page of the latest revision (number None) or of one; `typed` in its forms, where they were refused."""
    return await in_thread(request, _page, request, reader, condition, number, typed)


def _page(
    request: Request, reader: Reader, condition: str, number: int | None, typed: Typed | None
) -> Response:
    """The page, finished; on a thread.

    What depends on the records alone is kept while the mark of the condition stays the same: the facts of a revision
    for everybody, title and content by units, order and what the reader may do. The rest is made each time: who reads,
    his forms, what is new to him.
    """
    parts, caller = page_parts_of(request), reader.caller
    path = f"/conditions/{condition}" + ("" if number is None else f"/revisions/{number}")
    units = units_asked(request.query_params.get("units"))
    order = "cost" if request.query_params.get("order") == "cost" else "ship"
    mark, visit = mark_and_visit(parts.records, caller, condition)
    facts = parts.pages.pieces.value(
        ("facts", mark, number), lambda: _facts(parts, caller, condition, number)
    )
    line = facts.line
    may = (
        reader.may("write_condition"),
        reader.may("review"),
        line["author"]["key"] == caller.key_id,
    )
    content = parts.pages.pieces.value(
        ("content", mark, number, units, order, may),
        lambda: _content(parts, reader, facts, path, units, order),
    )
    visited = noted_visit(parts.records, caller, visit) if facts.is_latest else None
    news = "" if visited is None else news_of_condition(facts.told, visited, datetime.now(UTC))
    twin = f"/v1{path}" + ("" if units is None else f"?units={units}")
    made = _page_around(request, reader, content, facts, typed, twin=twin, news=news)
    made.finish()
    return made


def _page_around(
    request: Request,
    reader: Reader,
    content: TitledPart,
    facts: "_Facts",
    typed: Typed | None,
    *,
    twin: str,
    news: str,
) -> Page:
    """What is made each time a reader asks."""
    line = facts.line
    own = line["author"]["key"] == reader.caller.key_id
    return page(
        request,
        "made.html",
        reader,
        twin=twin,
        status=422 if typed else 200,
        title=Markup("Error: ") + content.title if typed else content.title,
        made_before=content,
        news=news,
        banner=_BANNERS.get(request.query_params.get("done", ""), ""),
        condition=line["condition"],
        state=facts.state if facts.is_latest else None,
        may_set=reader.may("set_state"),
        may_copy=reader.may("write_condition"),
        may_review=reader.may("review") and not own,
        line=line,
        verdict=line["verdict"],
        plain=line["verdict"] == "pass" and line["dangers"] == 0,
        once=once_of(None),
        wrong={
            name: typed.wrong if typed and typed.form == name else ""
            for name in ("state", "copies", "template")
        },
        typed=_EMPTY | (typed.fields if typed else {}),
    )


_EMPTY = dict.fromkeys(("state", "reason", "kind", "title", "used", "unit", "template"), "")
_BANNERS = {
    "kept": "Stored as a new revision. It has not been reviewed yet.",
    "entered": "Stored. It has not been reviewed yet.",
    "copied": "Stored as a new condition and judged. It has not been reviewed yet.",
    "in_force": "She sails with this condition now.",
    "worked_on": "It is being worked on again.",
    "put_aside": "It is put aside.",
    "withdrawn": "It is withdrawn: it left the lists, and stays at this address.",
}


@dataclass(frozen=True)
class _Facts:
    """A revision and its condition, the same for every reader. told: see `told_of_condition`."""

    line: ConditionHistoryLine
    is_latest: bool
    state: StateInWords
    told: list[tuple[str, str]]


def _facts(parts: PageParts, caller: Caller, condition: str, number: int | None) -> _Facts:
    history, line = _history(parts, caller, condition, number)
    return _Facts(
        line,
        line is history[0],
        state_in_words(parts, caller, condition, history[0]["revision"]),
        told_of_condition(history, said_about(parts, caller, line, history)),
    )


def _history(
    parts: PageParts, caller: Caller, condition: str, number: int | None
) -> tuple[list[ConditionHistoryLine], ConditionHistoryLine]:
    """Its revisions, newest first, and the one that is shown. Raises Refusal (unknown_revision)."""
    history = list_condition_revisions(parts.records, caller, condition, before=None, limit=LONGEST_HISTORY)
    line = next((line for line in history if number in (None, line["revision"])), None)
    if line is None:
        raise Refusal("unknown_revision", f"There is no revision {number} of the condition at this address.")
    return history, line


def _content(
    parts: PageParts,
    reader: Reader,
    facts: _Facts,
    path: str,
    units: UnitSystem | None,
    order: str,
) -> TitledPart:
    """Title and content for a reader with these rights and units."""
    condition, number = facts.line["condition"], facts.line["revision"]
    history, line = _history(parts, reader.caller, condition, number)
    record = read_condition_revision(parts.records, reader.caller, condition, number, units)
    reviews = said_about(parts, reader.caller, line, history)
    context = _context(parts, reader, record, history, line, reviews, order, path)
    template = parts.pages.environment.get_template
    content = template("_kept_condition.html").render(context | {"state_title": facts.state.title})
    title = Markup(template("_title.html").render(context))  # noqa: S704 - autoescaped
    return TitledPart(content, title)


def _context(
    parts: PageParts,
    reader: Reader,
    record: dict[str, Any],
    history: list[ConditionHistoryLine],
    line: ConditionHistoryLine,
    reviews: Sequence[Review],
    order: str,
    path: str,
) -> dict[str, Any]:
    answer: Assessment = record["assessment"]
    system = answer["units"]["system"]
    vessel = vessel_behind(parts, reader.caller, record)
    touching, others = doubts_that_touch(answer, vessel, vessel_doubts(parts, reader.caller, record))
    number = line["revision"]
    letter = what_changed(parts, reader.caller, line["condition"], number, history, system)
    own = reader.may("review") and line["author"]["key"] == reader.caller.key_id
    return {
        **figures_for(system),
        "answer": answer,
        "record": record,
        "latest": history[0]["revision"],
        "state": line["review_state"],
        "letter": letter,
        "reviews": reviews,
        "strip": list(reversed(history[:MOST_IN_STRIP])),
        "standing": standing(record),
        "names": wording.tank_names(vessel),
        "doubts": touching,
        "other_doubts": len(others),
        "body": detail_of(parts.pages, record, vessel, order),
        "other_units": f"{path}?units={other_system(system)}",
        "may_edit": reader.may("write_condition"),
        "may_review": reader.may("review") and not own,
        "own": own,
    }


def detail_of(
    pages: Pages, record: Mapping[str, Any], vessel: Mapping[str, Any], order: str, point: int | None = None
) -> Markup:
    """Everything below the first screen: pictures with their criteria, tanks, weights, every criterion in full.

    point: number of the point of a plan that `record` is about, None for the revision itself."""
    answer: Assessment = record["assessment"]
    system = answer["units"]["system"]
    version = answer["provenance"]["calculation_version"]
    found = wording.tank_findings(answer)
    context = {
        "answer": answer,
        "base": f"/conditions/{record['condition']}/revisions/{record['revision']}",
        "order": order,
        "point": point,
        "found": found,
        "shape": HullShape.of(vessel, system),
        "entered": {
            "weights": record["document"].get("weights") or [],
            "units": record["document"]["units"],
            "as_answered": weights_one_by_one(dict(record)) is not None,
        },
        **figures_for(system),
    }
    key = ("assessment", record["digest"], system, order, point, version)
    return pages.piece(key, "_assessment.html", context)


def vessel_doubts(parts: PageParts, caller: Caller, record: Mapping[str, Any]) -> list[Doubt]:
    """The doubts about that document, worked out once."""
    revision, digest = record["vessel_revision"], record["vessel_digest"]
    return check_of(parts, caller, record["vessel"], revision, digest)["doubts"]


def standing(record: dict[str, Any]) -> str:
    """Voyage, revision, author: what somebody says first when asked which condition this is."""
    voyage = record["document"].get("voyage") or {}
    parts = []
    if voyage.get("number"):
        parts.append(f"Voyage {voyage['number']}")
    if voyage.get("from") or voyage.get("to"):
        parts.append(f"{voyage.get('from', 'port not named')} to {voyage.get('to', 'port not named')}")
    if voyage.get("phase"):
        parts.append(voyage["phase"].replace("_", " "))
    made = (
        f"Revision {record['revision']}, {wording.moment(record['created'])}, by {record['author']['name']}."
    )
    return wording.sentence(", ".join(parts)) + (" " if parts else "") + made
