"""The history of a condition, and two of its revisions compared."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from service.actions.access import Caller
from service.actions.compare_conditions import RevisionName, compare_conditions, compare_revisions
from service.actions.review_condition import list_reviews
from service.actions.show_condition import (
    list_condition_revisions,
    read_condition,
    read_condition_revision,
)
from service.actions.show_vessel import list_vessel_revisions
from service.pages import change_in_words
from service.pages.comparison_choice import choice_of_another
from service.pages.condition_search import search_in
from service.pages.drawings.booklet_plot import Plotted, booklet_plot
from service.pages.drawings.gm_ledger import gm_ledger
from service.pages.drawings.righting_lever_plot import Compared, righting_lever_plot
from service.pages.drawings.table_plot import Series
from service.pages.drawings.voyage_plot import draft_plot, gm_plot
from service.pages.page import PageParts, PageRoute, WhoReads, go_to, page, page_parts_of
from service.pages.pictures import short_name
from service.pages.plan_in_words import stage_name, verdict_words_of_plan
from service.pages.session import Reader
from service.pages.since_accepted import earlier_revision
from service.pages.wording import with_sign
from service.web.addresses import ConditionAddress, identifier, other_system, units_asked
from service.web.caller import in_thread
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.assessment import Assessment
from service.wire.comparison import Comparison, FigureChange
from service.wire.condition_record import ConditionHistoryLine
from service.wire.fields import UnitSystem
from service.wire.figures import NOTHING, Quantity, figure, list_in_words, unit
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
LONGEST = 500


@router.get("/conditions/{condition}/revisions")
async def get_revisions(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """The timeline, newest first."""
    found = await in_thread(request, _history, request, reader, identifier(condition, "condition"))
    return page(
        request,
        "history.html",
        reader,
        twin=f"/v1/conditions/{condition}/revisions",
        condition=condition,
        **found,
    )


def _history(request: Request, reader: Reader, condition: str) -> dict[str, Any]:
    records, caller = page_parts_of(request).records, reader.caller
    units = read_condition(records, caller, condition)[0]["assessment"]["units"]["system"]
    lines = list_condition_revisions(records, caller, condition, before=None, limit=LONGEST, units=units)
    if not lines:
        raise Refusal("unknown_condition", "There is no condition at this address.")
    reviewed = [line["revision"] for line in lines if line["review_state"] != "unreviewed"]
    reviews = {n: list_reviews(records, caller, condition, n)["items"] for n in reviewed[:50]}
    return {
        "lines": lines,
        "system": units,
        "cut": len(lines) == LONGEST,
        "reviews": reviews,
        "since": earlier_revision(lines[0]["revision"], lines),
        "ship": list_vessel_revisions(records, caller, lines[0]["vessel"], before=None, limit=1)[0]["name"],
        "plot": _margins_plot(lines, units),
    }


def _margins_plot(lines: Sequence[ConditionHistoryLine], system: UnitSystem) -> Markup:
    """The least stability margin of each revision in metres of GM; empty where fewer than three have one."""
    points = []
    for line in reversed(lines):
        margin = line["least_stability_margin"]
        if margin is not None and margin["gm_equivalent"] is not None:
            points.append((float(line["revision"]), margin["gm_equivalent"]))
    if len(points) < 3:
        return Markup("")
    series = [Series([x for x, _ in points], [y for _, y in points])]
    title = f"Least stability margin as a rise of VCG, {unit('lever', system)}"
    return booklet_plot(Plotted("margins", title, "revision", series, counts=True), height=180.0)


@router.get("/conditions/{condition}/comparison")
async def get_comparison(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """The letter, then the tables and both curves."""
    identifier(condition, "condition")
    first, last = (_number(request.query_params.get(name, "")) for name in ("from", "to"))
    if first is not None and last is not None and first > last:
        return go_to(f"/conditions/{condition}/comparison?from={last}&to={first}")
    asked = units_asked(request.query_params.get("units"))
    found = await in_thread(request, _comparison, request, reader, condition, first, last, asked)
    numbers = [found[0][f"revision_{side}"]["revision"] for side in ("from", "to")]
    path = f"/conditions/{condition}/comparison?from={numbers[0]}&to={numbers[1]}"
    return _comparison_page(
        request, reader, found, path, (f"revision {numbers[0]}", f"revision {numbers[1]}")
    )


@router.get("/comparison")
async def get_any_comparison(request: Request, reader: WhoReads) -> Response:
    """Any two conditions of a ship; the choice of the other one where the address names one alone."""
    first, last = (_revision_name(request.query_params.get(name, "")) for name in ("from", "to"))
    if last is None:
        raise Refusal("unknown_condition", "There is no condition at this address.")
    if first is None:
        records, search = page_parts_of(request).records, search_in(request.query_params)
        chosen = await in_thread(request, choice_of_another, records, reader.caller, last, search)
        return page(request, "comparison_choice.html", reader, **chosen)
    asked = units_asked(request.query_params.get("units"))
    found = await in_thread(request, _any_comparison, request, reader, first, last, asked)
    lines = [found[0][f"revision_{side}"] for side in ("from", "to")]
    path = f"/comparison?from={first.condition}/{lines[0]['revision']}&to={last.condition}/{lines[1]['revision']}"
    sides = tuple(f"“{line['title']}”, revision {line['revision']}" for line in lines)
    return _comparison_page(request, reader, found, path, sides)


def _revision_name(text: str) -> RevisionName | None:
    """CONDITION/REVISION, or CONDITION for its latest revision."""
    condition, _, number = text.partition("/")
    if not condition:
        return None
    return RevisionName(identifier(condition, "condition"), _number(number))


def _comparison_page(
    request: Request, reader: Reader, found: tuple[Any, Any, Any], path: str, sides: tuple[str, ...]
) -> Response:
    """The page of a comparison; path: its address without units; sides: what the two are called."""
    comparison, before, after = found
    system: UnitSystem = comparison["units"]["system"]
    of_one = comparison["revision_from"]["condition"] == comparison["revision_to"]["condition"]
    curve = before["righting_lever"]
    short = sides if of_one else ("before", "after")
    compared = None if curve is None else Compared(short[0], curve, short[1])
    letter = change_in_words.letter_of(comparison)
    return page(
        request,
        "comparison.html",
        reader,
        system=system,
        twin=f"/v1{path}&units={system}",
        condition=comparison["condition"],
        comparison=comparison,
        of_one=of_one,
        sides=sides,
        letter=letter if of_one else replace(letter, opening=f"Beside {sides[0]}:"),
        before=before,
        after=after,
        plot=righting_lever_plot(after, compared=compared) if after["righting_lever"] else "",
        figures=[row for row in comparison["figures"] if differs(row, system)],
        figure_name=figure_name,
        shown_figure=lambda row, value: shown_figure(row, value, system),
        change_figure=lambda row: change_figure(row, system),
        tank_in_words=lambda change: change_in_words.tank_in_words(change, system),
        weight_in_words=lambda change: change_in_words.weight_in_words(change, system),
        document_in_words=change_in_words.document_in_words,
        is_aboard=change_in_words.is_aboard,
        is_only_named=change_in_words.is_only_named,
        named_in_words=change_in_words.named_in_words,
        arrow=change_in_words.ARROW,
        other_units=f"{path}&units={other_system(system)}",
        **_both(comparison, before, after),
    )


def _both(comparison: Comparison, before: Assessment, after: Assessment) -> dict[str, Any]:
    """What is drawn and named of both sides: ledgers, plans, criteria that either asks."""
    sides = (("before", before), ("after", after))
    names = {c["id"]: short_name(c) for answer in (before, after) for c in answer["criteria"]}

    def is_asked(row: Any) -> bool:
        ends = (row["before"], row["after"])
        return any(end is not None and end["verdict"] != "not_applicable" for end in ends)

    plans = [answer.get("plan") for answer in (before, after)]
    return {
        "names": names,
        "ledgers": [gm_ledger(answer, name=f"ledger-{side}", links=False) for side, answer in sides],
        "plan_words": ["no plan" if plan is None else verdict_words_of_plan(plan) for plan in plans],
        "plan_plots": [
            []
            if answer.get("plan") is None
            else [gm_plot(answer, name=f"plan-gm-{side}"), draft_plot(answer, name=f"plan-drafts-{side}")]
            for side, answer in sides
        ],
        "stage_name": stage_name,
        "asked": [row for row in comparison["criteria"] if is_asked(row)],
        "left_out": list(
            dict.fromkeys(names[row["id"]] for row in comparison["criteria"] if not is_asked(row))
        ),
    }


def _any_comparison(
    request: Request, reader: Reader, first: RevisionName, last: RevisionName, units: UnitSystem | None
) -> tuple[Any, Any, Any]:
    parts, caller = page_parts_of(request), reader.caller
    comparison = compare_conditions(parts.records, parts.assessor, caller, first, last, units=units)
    return _with_answers(parts, caller, comparison)


def _comparison(
    request: Request,
    reader: Reader,
    condition: str,
    first: int | None,
    last: int | None,
    units: UnitSystem | None,
) -> tuple[Any, Any, Any]:
    parts, caller = page_parts_of(request), reader.caller
    comparison = compare_revisions(parts.records, parts.assessor, caller, condition, first, last, units=units)
    return _with_answers(parts, caller, comparison)


def _with_answers(parts: PageParts, caller: Caller, comparison: Comparison) -> tuple[Any, Any, Any]:
    """A comparison and both answers, in its units."""
    system = comparison["units"]["system"]
    sides = (comparison["revision_from"], comparison["revision_to"])
    before, after = (
        read_condition_revision(parts.records, caller, line["condition"], line["revision"], system)[
            "assessment"
        ]
        for line in sides
    )
    return comparison, before, after


def _number(text: str) -> int | None:
    return int(text) if text.isdecimal() and 0 < len(text) < 10 and int(text) > 0 else None


def quantity_of(row: FigureChange) -> Quantity:
    """How a figure of a comparison is rounded."""
    return ANSWER_FIGURES[row["name"]].quantity


def shown_figure(row: FigureChange, value: float | None, system: UnitSystem) -> str:
    """A figure as it is said: a list with its side."""
    return list_in_words(value) if row["name"] == "list" else figure(value, quantity_of(row), system)


def change_figure(row: FigureChange, system: UnitSystem) -> str:
    """By how much a figure changed."""
    if row["name"] == "list":
        return NOTHING if row["change"] is None else list_in_words(row["change"])
    return with_sign(figure(row["change"], quantity_of(row), system))


def figure_name(row: FigureChange) -> str:
    """A figure's name in the words of the trade."""
    return ANSWER_FIGURES[row["name"]].label


def differs(row: FigureChange, system: UnitSystem) -> bool:
    """Whether the change can be seen in what is printed."""
    quantity = quantity_of(row)
    return figure(row["before"], quantity, system) != figure(row["after"], quantity, system)
