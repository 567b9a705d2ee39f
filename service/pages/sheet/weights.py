"""Weights on the sheet: a line for every hold, with centres filled in, and lines for everything else.

`w:<n>:<member>` is a member of a weight; `w:<n>:at` the hold in whose line it stands: where its centre is left empty,
that of the full hold counts.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, islice
from typing import Any, Final

from service.pages.sheet.layout import MOST_LINES, TIMBER, Read, Row
from service.pages.sheet.numbers import NotANumber, as_typed, number_in

CENTRES: Final = ("lcg", "vcg", "tcg")
MEMBERS: Final = (
    *("name", "category", "mass", *CENTRES, "hold", "at", "x_from", "x_to", "timber", "absorption"),
    *(member for member, _ in TIMBER),
)
TYPED: Final = ("name", "mass", *CENTRES)
BLANK_WEIGHTS: Final = 3
MANY: Final = 200
"""Weights beyond which a line shows its rarer fields only where it has them."""
YES: Final = "yes"


@dataclass(frozen=True)
class WeightLine:
    """One weight with what stands in its fields; `hold`: the hold it stands in, None elsewhere. `was`: its mass in the
    revision the sheet started from, where it changed."""

    n: str
    fields: Mapping[str, str]
    hold: Row | None
    was: str | None
    has_more: bool

    def __getitem__(self, member: str) -> str:
        return self.fields.get(f"w:{self.n}:{member}", "")

    def is_own(self, member: str) -> bool:
        """Whether a centre is typed and not that of the full hold."""
        return self.hold is None or bool(self[member])


def weight_fields(document: Row, vessel: Row) -> dict[str, str]:
    """The weights of a document as fields."""
    holds = {hold["id"]: hold for hold in vessel.get("holds") or ()}
    fields: dict[str, str] = {}
    for n, weight in enumerate(document.get("weights") or ()):
        place = holds.get(weight.get("hold") or "") or _hold_of(weight, holds)
        for member in ("name", "category", "hold"):
            fields[f"w:{n}:{member}"] = weight.get(member) or ""
        for member in ("mass", *CENTRES):
            value = weight.get(member, 0.0 if member == "tcg" else "")
            own = place is None or value != place.get(member, 0.0)
            fields[f"w:{n}:{member}"] = as_typed(value) if value != "" and (own or member == "mass") else ""
        if place is not None:
            fields[f"w:{n}:at"] = place["id"]
        for member, value in (weight.get("extent") or {}).items():
            fields[f"w:{n}:{member}"] = as_typed(value)
        timber = weight.get("timber")
        if timber is not None:
            fields[f"w:{n}:timber"] = YES
            for member, value in timber.items():
                fields[f"w:{n}:{member}"] = (
                    (YES if value else "") if isinstance(value, bool) else as_typed(value)
                )
    return fields


def _hold_of(weight: Row, holds: Mapping[str, Row]) -> Row | None:
    """The hold that a weight of cargo lies in from end to end, though it does not name it."""
    if weight.get("category") != "cargo" or not weight.get("extent") or weight.get("hold"):
        return None
    return next((hold for hold in holds.values() if hold.get("extent") == weight["extent"]), None)


def weight_number(name: str) -> int | None:
    """The line that a field belongs to; None for other fields."""
    parts = name.split(":")
    if (
        len(parts) == 3
        and parts[0] == "w"
        and parts[1].isdecimal()
        and len(parts[1]) < 5
        and parts[2] in MEMBERS
    ):
        return int(parts[1]) if int(parts[1]) < MOST_LINES else None
    return None


def typed_numbers(fields: Mapping[str, str]) -> list[int]:
    """The lines in which somebody typed something."""
    used = sorted({n for name in fields if (n := weight_number(name)) is not None})
    return [n for n in used if any(fields.get(f"w:{n}:{member}", "").strip() for member in TYPED)]


def read_weights(found: Read, fields: Mapping[str, str], base: Row, vessel: Row, *, comma: bool) -> list[Row]:
    """The weights that the fields say."""
    holds = {hold["id"]: hold for hold in vessel.get("holds") or ()}
    most = _bounds(vessel)
    buoyant = {w.get("name") for w in base.get("weights") or () if "buoyant" in (w.get("timber") or {})}
    lines: list[Row] = []
    for n in typed_numbers(fields):
        said = fields.get(f"w:{n}:name", "").strip() in buoyant
        reader = _Reader(found, fields, n, len(lines), holds, most, comma, said)
        lines.append(reader.weight())
    return lines


def _bounds(vessel: Row) -> dict[str, float]:
    rows = vessel["hydrostatics"]["rows"]
    length = 2.0 * vessel["particulars"]["length_bp"]
    return {"mass": max((row["displacement"] for row in rows), default=1e7), **dict.fromkeys(CENTRES, length)}


@dataclass(frozen=True)
class _Reader:
    """Reads one line."""

    found: Read
    fields: Mapping[str, str]
    n: int
    place: int
    holds: Mapping[str, Row]
    most: Mapping[str, float]
    comma: bool
    says_buoyant: bool
    """Whether the weight says of its buoyancy what is so anyway."""

    def text(self, member: str) -> str:
        """What stands in a field."""
        return self.fields.get(f"w:{self.n}:{member}", "").strip()

    def weight(self) -> Row:
        """The weight, as far as it can be read."""
        weight: Row = {}
        if self.text("name"):
            weight["name"] = self.text("name")
        else:
            self._missing("name", "Name the weight.")
        weight["category"] = self.text("category") or "cargo"
        hold = self.holds.get(self.text("at") or self.text("hold"))
        self._number(weight, "mass", needed=True)
        for member in CENTRES:
            if self.text(member):
                self._number(weight, member)
            elif hold is not None:
                weight[member] = float(hold.get(member, 0.0))
            elif member == "tcg":
                weight[member] = 0.0
            else:
                self._missing(member, f"Its {member.upper()} is needed.")
        if self.text("hold"):
            weight["hold"] = self.text("hold")
        if self.text("x_from") or self.text("x_to"):
            extent: Row = {}
            self._number(extent, "x_from", needed=True)
            self._number(extent, "x_to", needed=True)
            weight["extent"] = extent
        if self.text("timber"):
            weight["timber"] = self._timber()
        return weight

    def _timber(self) -> Row:
        timber: Row = {}
        if self.text("absorption"):
            self._number(timber, "absorption")
        for member, _ in TIMBER:
            answer = bool(self.text(member))
            if answer or member != "buoyant" or self.says_buoyant:
                timber[member] = answer
        return timber

    def _number(self, into: Row, member: str, *, needed: bool = False) -> None:
        text = self.text(member)
        if not text:
            if needed:
                self._missing(member, "A number is needed here.")
            return
        try:
            into[member] = number_in(text, comma=self.comma, most=self.most.get(member, float("inf")))
        except NotANumber as wrong:
            into[member] = text
            self.found.wrong[f"w:{self.n}:{member}"] = str(wrong)
            self._break()

    def _missing(self, member: str, words: str) -> None:
        self.found.missing[f"w:{self.n}:{member}"] = words
        self._break()

    def _break(self) -> None:
        self.found.broken["weights", self.place] = self.text("name") or "a weight without a name"


def weight_lines(
    fields: Mapping[str, str], vessel: Row, base: Row, *, compare: bool
) -> tuple[list[WeightLine], list[WeightLine]]:
    """The lines of the holds and the others, with blank ones to type in."""
    old = {weight.get("name"): weight for weight in base.get("weights") or ()}
    typed = typed_numbers(fields)
    many = len(typed) > MANY
    last = max(typed, default=-1)
    blank = chain(range(last + 1, MOST_LINES), (n for n in range(last) if n not in typed))
    holds, others = [], []
    at = {n: fields.get(f"w:{n}:at", "") for n in typed}
    for hold in vessel.get("holds") or ():
        own = [n for n in typed if at[n] == hold["id"]]
        for n in own or islice(blank, 1):
            holds.append(_weight_line(fields, n, hold, old, compare, many))
    known = {hold["id"] for hold in vessel.get("holds") or ()}
    rest = [n for n in typed if at[n] not in known]
    others = [_weight_line(fields, n, None, old, compare, many) for n in rest]
    others += [_weight_line(fields, n, None, old, False, many) for n in islice(blank, BLANK_WEIGHTS)]
    return holds, others


def _weight_line(
    fields: Mapping[str, str], n: int, hold: Row | None, old: Mapping[Any, Row], compare: bool, many: bool
) -> WeightLine:
    name, mass = fields.get(f"w:{n}:name", ""), fields.get(f"w:{n}:mass", "")
    was = None
    if compare and (name or mass):
        before = old.get(name)
        earlier = "" if before is None else as_typed(before["mass"])
        was = None if earlier == mass else earlier or "not aboard"
    more = not many or any(fields.get(f"w:{n}:{member}") for member in ("x_from", "timber", "hold"))
    return WeightLine(str(n), fields, hold, was, more)


def lines_by_hold(document: Row) -> Iterator[tuple[str, float]]:
    """Hold and mass of every weight that names its hold."""
    for weight in document.get("weights") or ():
        if weight.get("hold") and isinstance(weight.get("mass"), float):
            yield weight["hold"], weight["mass"]
