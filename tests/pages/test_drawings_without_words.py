"""Drawings read keys and figures, never sentences: every sentence of an answer is put into other words, and every
drawing keeps its geometry.

A sentence is whatever a person reads: titles, names, clauses, sources, reasons, quantities, methods, messages. What a
program reads (ids, keys, codes, states, units, places) stays as it is.
"""

import json
from collections.abc import Callable, Iterator
from typing import Any
from xml.etree import ElementTree

import pytest

from service.actions.assess import Assessor
from service.demo import condition_names, demo_vessel_ids, read_condition, read_vessel
from service.pages.drawings.gm_ledger import gm_ledger
from service.pages.drawings.hull_shape import HullShape
from service.pages.drawings.level_bar import level_bar
from service.pages.drawings.margin_line import margin_line
from service.pages.drawings.righting_lever_plot import Compared, righting_lever_plot
from service.pages.drawings.verdict_mark import verdict_mark
from service.pages.drawings.waterline_sketch import end_view, side_view
from service.pages.drawings.wind_plot import wind_plot

Answer = dict[str, Any]

SENTENCES = {
    "title",
    "name",
    "clause",
    "source",
    "quantity",
    "reason",
    "free_surface_reason",
    "free_surface_method",
    "method",
    "message",
    "document",
    "edition",
    "caution",
    "statement",
    "not_covered",
    "words",
    "from_memory",
    "air_draft_point",
    "signs",
    "formula",
    "at",
    "weight",
}
"""Members that a person reads; their words may change at any time."""
CODES = {
    "basis",
    "because",
    "calculation_version",
    "category",
    "code",
    "comparison",
    "contents",
    "counted_as",
    "criterion",
    "digest",
    "figure",
    "free_surface_basis",
    "id",
    "judged_by",
    "key",
    "kind",
    "mark",
    "mark_source",
    "low_side",
    "obstruction",
    "opening",
    "origin",
    "path",
    "phase",
    "set",
    "convention",
    "of",
    "findings",
    "load_line_mark",
    "date",
    "failed",
    "tanks",
    "rule_set",
    "severity",
    "side",
    "state",
    "tank",
    "unit",
    "value",
    "verdict",
}
"""Members that a program reads. `value` of a detail is a figure or, like a service or a side, one of a few words."""
CONDITIONS = [(ship, name) for ship in demo_vessel_ids() for name in condition_names(ship)]


@pytest.fixture(scope="module", params=CONDITIONS, ids=["-".join(pair) for pair in CONDITIONS])
def pair(request: pytest.FixtureRequest) -> tuple[Answer, Answer]:
    """An answer, and the same in other words."""
    ship, name = request.param
    document = {"vessel": json.loads(read_vessel(ship)), "condition": json.loads(read_condition(ship, name))}
    answer = Assessor().assessment(document)
    return answer, reworded(answer)


def reworded(value: Any, member: str = "") -> Any:
    """The same with every sentence replaced by another of a different length."""
    if isinstance(value, dict):
        # How the range of levers ends is one of three words.
        return {
            name: inner if name == "range_end" else reworded(inner, name) for name, inner in value.items()
        }
    if isinstance(value, list):
        return [reworded(inner, member) for inner in value]
    if isinstance(value, str) and member in SENTENCES:
        return f"Anders gesagt: {value[::-1].swapcase()} ({len(value)})"
    return value


def strings(value: Any, member: str = "") -> Iterator[str]:
    """Names of the members that hold text."""
    if isinstance(value, dict):
        for name, inner in value.items():
            if name != "units":  # names of units throughout
                yield from strings(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from strings(inner, member)
    elif isinstance(value, str):
        yield member


def geometry(markup: str) -> list[tuple[str, tuple[tuple[str, str], ...]]]:
    """Every element with its attributes, without what is written in it, its title and its description."""
    return [
        (element.tag, tuple(sorted(element.attrib.items())))
        for element in ElementTree.fromstring(markup).iter()
    ]


def words_of(markup: str) -> list[str]:
    return [element.text or "" for element in ElementTree.fromstring(markup).iter()]


SHAPE = HullShape.of(json.loads(read_vessel("halvenmoor")), "metric")
DRAWINGS: dict[str, Callable[[Answer], list[str]]] = {
    "ledger": lambda a: [gm_ledger(a), gm_ledger(a, links=False), gm_ledger(a, standalone=True)],
    "side and end view": lambda a: [
        side_view(a, SHAPE),
        end_view(a, SHAPE),
        side_view(a, SHAPE, standalone=True),
    ],
    "wind and roll": lambda a: [wind_plot(a), gm_ledger(a)],
    "righting levers": lambda a: [righting_lever_plot(a), righting_lever_plot(a, standalone=True)],
    "two curves": lambda a: [
        righting_lever_plot(a, compared=Compared("revision 1", a["righting_lever"], "revision 2"))
    ],
    "level bars": lambda a: [level_bar(tank["fill"], tank["limit"]) for tank in a["tanks"]],
    "margin lines": lambda a: [
        margin_line(row["attained"], row["limit"], row["comparison"], row["verdict"] == "fail")
        for row in a["criteria"]
    ],
    "verdict marks": lambda a: [
        verdict_mark(v) for v in (a["verdict"], *(c["verdict"] for c in a["criteria"]))
    ],
}


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_other_words_draw_the_same(pair: tuple[Answer, Answer], drawing: str) -> None:
    drawn = [[markup for markup in DRAWINGS[drawing](answer) if markup] for answer in pair]
    assert drawn[0]
    assert len(drawn[0]) == len(drawn[1])
    for one, other in zip(*drawn):
        assert geometry(one) == geometry(other)


def test_the_words_are_other_words(pair: tuple[Answer, Answer]) -> None:
    """The test above is about something: names of tanks are written in the ledger, and they are not the same."""
    ledgers = [words_of(gm_ledger(answer)) for answer in pair]
    assert ledgers[0] != ledgers[1]
    assert any("Anders gesagt" in text for text in ledgers[1])


def test_every_text_of_an_answer_is_a_sentence_or_a_code(pair: tuple[Answer, Answer]) -> None:
    """A member that is neither here nor there is new: say which it is."""
    found = set(strings(pair[0]))
    assert found <= SENTENCES | CODES
    assert not SENTENCES & CODES


def test_every_kind_of_line_was_drawn_somewhere() -> None:
    """Over all conditions the plots show wind levers, requirements and flooding: what words once decided."""
    seen = {"gust ": 0, "needs ": 0, "floods ": 0, "area b ": 0}
    for ship, name in CONDITIONS:
        document = {
            "vessel": json.loads(read_vessel(ship)),
            "condition": json.loads(read_condition(ship, name)),
        }
        answer = Assessor().assessment(document)
        plots = [plot for plot in (righting_lever_plot(answer), wind_plot(answer)) if plot]
        text = " | ".join(word for plot in plots for word in words_of(plot))
        for word in seen:
            seen[word] += word in text
    assert all(seen.values()), seen
