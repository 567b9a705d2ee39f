"""Judge what is on the sheet: whatever can be judged is judged, and what was left out of it is named."""

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, cast

from service.pages import wording
from service.pages.sheet.form import field_of
from service.pages.sheet.layout import TABLES, Read, Row, member_at, steps_of
from service.wire.assessment import Assessment
from service.wire.refusal import Refusal

ROUNDS: Final = 4
"""Times that lines a refusal names are left out before nothing is judged."""
UNTITLED: Final = "Untitled"
_LISTS: Final = (("tanks",), ("weights",), *(table.path for table in TABLES))
Place = tuple[str | int, ...]


@dataclass
class Judged:
    """The answer to what could be judged. `left_out`: what was not, in words; `wrong`: by field; `loose`: the rest."""

    answer: Assessment | None
    left_out: list[str] = field(default_factory=list)
    wrong: dict[str, str] = field(default_factory=dict)
    loose: list[str] = field(default_factory=list)


def judge(
    found: Read, fields: dict[str, str], assess: Callable[[Row], Any], names: Mapping[str, str]
) -> Judged:
    """The answer to the document without what cannot be read, then without what is refused.

    assess: gives the assessment of a document, or raises Refusal. names: what each tank is called, by its id. Raises
    Refusal (busy)."""
    broken = dict(found.broken)
    judged = Judged(None)
    for _ in range(ROUNDS):
        document, places = judgeable(found.document, broken)
        try:
            judged.answer = cast(Assessment, assess(document))
            break
        except Refusal as refused:
            if refused.code == "busy":
                raise
            if not _leave_out(refused, found, fields, places, broken, judged, names):
                break
    judged.left_out = list(dict.fromkeys(broken.values()))
    return judged


def _leave_out(
    refused: Refusal,
    found: Read,
    fields: dict[str, str],
    places: dict[Place, list[int]],
    broken: dict[Place, str],
    judged: Judged,
    names: Mapping[str, str],
) -> bool:
    """Mark what a refusal names; whether it is worth judging the rest."""
    if not refused.errors:
        judged.loose.append(refused.detail)
        return False
    known = len(broken)
    for error in refused.errors:
        place = _as_on_sheet(error["pointer"], places)
        pointer = "/" + "/".join(str(step) for step in place)
        name = field_of(pointer, found.document, fields)
        words = with_tank_name(error["detail"], found.document, place, names)
        if name is None:
            judged.loose.append(words)
        else:
            judged.wrong.setdefault(name, words)
        line = next((path for path in _LISTS if place[: len(path)] == path and len(place) > len(path)), None)
        if line is not None:
            place = place[: len(line) + 1]
            broken[place] = _name_of(found.document, place, names)
        elif name is not None and place:
            broken[place] = str(place[-1]).replace("_", " ")
    return len(broken) > known


def _as_on_sheet(pointer: str, places: dict[Place, list[int]]) -> Place:
    """A place of the judged document as one of the whole."""
    steps: list[str | int] = list(steps_of(pointer))
    for path, kept in places.items():
        n = len(path)
        if (
            tuple(steps[:n]) == path
            and len(steps) > n
            and str(steps[n]).isdecimal()
            and int(steps[n]) < len(kept)
        ):
            steps[n] = kept[int(steps[n])]
    return tuple(steps)


def _name_of(document: Row, place: Place, names: Mapping[str, str]) -> str:
    line = member_at(document, cast(tuple[str, ...], place[:-1]))[place[-1]]
    tank = line.get("tank")
    return str(line.get("name") or names.get(tank, tank) or line.get("hold") or f"a line of {place[0]}")


def with_tank_name(detail: str, document: Row, place: Place, names: Mapping[str, str]) -> str:
    """What is wrong as a sentence, with the name of a tank where its id begins it."""
    if place[:1] == ("tanks",) and len(place) > 1 and isinstance(place[1], int):
        tank = member_at(document, ("tanks",))[place[1]].get("tank")
        if detail.startswith(f"tank {tank}: ") and tank in names:
            detail = f"{names[tank]}, {detail.removeprefix(f'tank {tank}: ')}"
    return wording.sentence(detail)


def judgeable(document: Row, broken: dict[Place, str]) -> tuple[Row, dict[Place, list[int]]]:
    """A copy of the document without the places that cannot be judged, and which lines of each list are left."""
    judged = copy.deepcopy(document)
    judged["title"] = judged.get("title") or UNTITLED
    places: dict[Place, list[int]] = {}
    for path in _LISTS:
        rows = member_at(judged, path)
        if isinstance(rows, list):
            kept = [i for i in range(len(rows)) if (*path, i) not in broken]
            places[path] = kept
            rows[:] = [rows[i] for i in kept]
    lists = set(_LISTS)
    for place in broken:
        if place[:-1] not in lists:
            inside = member_at(judged, cast(tuple[str, ...], place[:-1])) if len(place) > 1 else judged
            if isinstance(inside, dict):
                inside.pop(str(place[-1]), None)
    judged.setdefault("water_density", 1.025)
    judged.setdefault("free_surface", {}).setdefault("basis", "by_rule")
    return judged, places
