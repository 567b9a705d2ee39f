"""The history of a condition, and two of its revisions compared."""

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.compare_conditions import compare_revisions
from service.actions.review_condition import list_reviews
from service.actions.show_condition import list_condition_revisions, read_condition, read_condition_revision
from service.pages import change_in_words
from service.pages.drawings.righting_lever_plot import Compared, righting_lever_plot
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of
from service.pages.session import Reader
from service.pages.since_accepted import earlier_revision
from service.web.addresses import ConditionAddress, identifier, other_system, units_asked
from service.web.caller import in_thread
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.comparison import FigureChange
from service.wire.fields import UnitSystem
from service.wire.figures import Quantity, figure, list_in_words
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
    }


@router.get("/conditions/{condition}/comparison")
async def get_comparison(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """The letter, then the tables and both curves."""
    identifier(condition, "condition")
    first, last = (_number(request.query_params.get(name, "")) for name in ("from", "to"))
    if first is not None and last is not None and first > last:
        return go_to(f"/conditions/{condition}/comparison?from={last}&to={first}")
    asked = units_asked(request.query_params.get("units"))
    found = await in_thread(request, _comparison, request, reader, condition, first, last, asked)
    comparison, before, after = found
    system: UnitSystem = comparison["units"]["system"]
    numbers = comparison["revision_from"]["revision"], comparison["revision_to"]["revision"]
    path = f"/conditions/{condition}/comparison?from={numbers[0]}&to={numbers[1]}"
    curve = before["righting_lever"]
    compared = None if curve is None else Compared(f"revision {numbers[0]}", curve, f"revision {numbers[1]}")
    return page(
        request,
        "comparison.html",
        reader,
        system=system,
        twin=f"/v1{path}&units={system}",
        condition=condition,
        comparison=comparison,
        letter=change_in_words.letter_of(comparison),
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
        arrow=change_in_words.ARROW,
        other_units=f"{path}&units={other_system(system)}",
    )


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
    system = comparison["units"]["system"]
    sides = (comparison["revision_from"]["revision"], comparison["revision_to"]["revision"])
    before, after = (
        read_condition_revision(parts.records, caller, condition, n, system)["assessment"] for n in sides
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
    return figure(row["change"], quantity_of(row), system)


def figure_name(row: FigureChange) -> str:
    """A figure's name in the words of the trade."""
    return ANSWER_FIGURES[row["name"]].label


def differs(row: FigureChange, system: UnitSystem) -> bool:
    """Whether the change can be seen in what is printed."""
    quantity = quantity_of(row)
    return figure(row["before"], quantity, system) != figure(row["after"], quantity, system)
