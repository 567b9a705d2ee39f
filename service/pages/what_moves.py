"""What moves GM, trim and drafts the most: what a tonne more in each tank does, and what filling or emptying it does.

A page of its own, because it takes a hundred assessments; its first lines open on the condition page. Nothing is kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Final, Literal

from fastapi import APIRouter, Request
from pydantic_core import to_json
from starlette.responses import Response

from service.pages.kept_revision import answer_or_refusal, record_of, request_of_start, worked_out_once
from service.pages.margin_in_words import failing_in_words
from service.pages.page import PageRoute, WhoReads, page, page_parts_of
from service.pages.pictures import short_name
from service.translation.sensitivities import sensitivities
from service.web.addresses import ConditionAddress, RevisionNumber
from service.wire.fields import UnitSystem
from service.wire.figures import number, rounded

router = APIRouter(route_class=PageRoute, include_in_schema=False)
MOST: Final = 3
"""Lines of each kind that are said in words."""
SMALL: Final = {"metric": ("mm", 1000.0), "us": ("in", 12.0)}
"""What small lengths are said in, and how many there are in a length of the answer."""
Move = Literal["press_up", "empty"]


@dataclass(frozen=True)
class WholeMove:
    """Pressing up or emptying one tank. `gm`: the whole change of GM; `mass`: what comes in, negative: goes out;
    `failing`: what fails then, as the answer lists it."""

    tank: str
    name: str
    move: Move
    mass: float
    gm: float
    verdict: str
    failing: tuple[Any, ...]


@router.get("/conditions/{condition}/revisions/{number}/what-moves")
async def get_what_moves(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """The whole page, or with `part=lines` its first lines alone. Computed in its turn, kept as a piece afterwards."""
    parts, caller = page_parts_of(request), reader.caller
    record = await record_of(request, caller, condition, number)
    answer = record["assessment"]
    key, text = ("what-moves", record["digest"]), to_json(request_of_start(record))
    asked = worked_out_once(parts, caller, key, text, sensitivities)
    found, refused = await answer_or_refusal(asked)
    system: UnitSystem = "metric" if found is None else found["units"]["system"]
    tanks = [] if found is None else found["tanks"]
    moves = [] if found is None else whole_moves(found)
    names = {tank["tank"]: tank["name"] for tank in tanks}
    alone = request.query_params.get("part") == "lines"
    base = f"/conditions/{condition}/revisions/{number}"
    return page(
        request,
        "_what_moves.html" if alone else "what_moves.html",
        reader,
        system=system,
        record=record,
        answer=answer,
        base=base,
        found=found,
        refused=refused,
        raises=most_of(moves, 1.0),
        lowers=most_of(moves, -1.0),
        trims=most_by(tanks, "trim"),
        lists=most_by(tanks, "list"),
        in_small=partial(in_small, system),
        with_sign=lambda gm: with_sign(gm, system),
        small=SMALL[system][0],
        name_of=lambda tank: names.get(tank, tank),
        short=lambda gain: _short(answer, gain),
        then_in_words=lambda move: then_in_words(move, answer, found, system),
        move_words={"press_up": "press up", "empty": "empty", "add": "fill", "take": "pump from"},
    )


def whole_moves(found: Any) -> list[WholeMove]:
    """Every pressing up and emptying whose change of GM is known and moves something."""
    moves = []
    for tank in found["tanks"]:
        for move in ("press_up", "empty"):
            jump = tank[move]
            if jump is not None and jump["gm_corrected"] is not None and abs(jump["mass_change"]) > 0.0:
                moves.append(
                    WholeMove(
                        tank["tank"],
                        tank["name"],
                        move,
                        jump["mass_change"],
                        jump["gm_corrected"],
                        jump["verdict"],
                        tuple(jump["failing"]),
                    )
                )
    return moves


def most_of(moves: Sequence[WholeMove], sign: float) -> list[WholeMove]:
    """The moves that raise GM most (sign 1) or lower it most (sign -1), as far as can be seen in what is printed."""
    own = [move for move in moves if sign * move.gm >= 0.0005]
    return sorted(own, key=lambda move: -sign * move.gm)[:MOST]


def then_in_words(move: WholeMove, answer: Any, found: Any, system: UnitSystem) -> str:
    """What becomes of her by a move: "then she fails: GM 0.012 m short"; against what she does as she is."""
    if move.verdict == "fail":
        still = "still " if found["verdict"] == "fail" else ""
        return f"then she {still}fails: {failing_in_words(move.failing, answer, system)}"
    if move.verdict == "incomplete":
        return f"then her verdict is {'still ' if found['verdict'] == 'incomplete' else ''}incomplete"
    return "then she passes"


def most_by(tanks: Sequence[Any], figure: str) -> list[Any]:
    """The tanks whose tonne moves a figure most."""
    known = [tank for tank in tanks if tank[figure] is not None and abs(tank[figure]) > 1e-9]
    return sorted(known, key=lambda tank: -abs(tank[figure]))[:MOST]


def in_small(system: UnitSystem, value: float | None) -> str:
    """A small length in mm or inches, with a sign."""
    if value is None:
        return rounded(None, 1)
    text = rounded(value * SMALL[system][1], 2 if system == "us" else 1)
    return f"+{text}" if value > 0.0 and text.strip("0.") else text


def with_sign(gm: float | None, system: UnitSystem) -> str:
    """A change of GM with a sign, none where it prints as zero."""
    text = number(gm, "lever", system)
    return f"+{text}" if gm is not None and gm > 0.0 and text.strip("0.") else text


def _short(answer: Any, gain: Any) -> str:
    """The short name of a criterion of `gains`."""
    row = next((c for c in answer["criteria"] if c["id"] == gain["criterion"]), None)
    return gain["title"] if row is None else short_name(row)
