"""What the sheet shows of a condition and its answer, for the page and for what follows the typing."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from service.pages import wording
from service.pages.sheet.form import HEAD_NAMES, fields_of, marks_of
from service.pages.sheet.judge import Judged
from service.pages.sheet.layout import PARTS, Part, Read, Row, kept_lines, member_at
from service.pages.sheet.tanks import Group, groups_of
from service.pages.sheet.weights import WeightLine, lines_by_hold, weight_lines
from service.translation.rule_sets import list_rule_sets, present_name, rule_set_title
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import figure, list_in_words, number
from service.wire.verdict_words import draft_margin

NEAR: float = 0.005
"""Part by which the mass of grain may differ from its weights before it is said."""


@dataclass(frozen=True)
class Sum:
    """Subtotal of a group: its mass now and before, and what its free surfaces cost in GM."""

    mass: float
    was: float | None
    loss: float


@dataclass(frozen=True)
class DraftLine:
    """A set of draft marks: the computed reading, and how what was read differs, in words."""

    mark: str
    computed: str
    differs: str


@dataclass(frozen=True)
class View:
    """Everything the templates of the sheet read."""

    fields: Mapping[str, str]
    groups: list[Group]
    sums: Mapping[str, Sum]
    holds: list[WeightLine]
    others: list[WeightLine]
    weights_sum: str
    drafts: list[DraftLine]
    list_computed: str
    list_differs: str
    grain_notes: list[str]
    parts: list[tuple[Part, bool]]
    rule_sets: list[tuple[str, str, bool]]
    kept: list[Any]
    answer: Assessment | None
    left_out: list[str]
    loose: list[str]
    wrong: Mapping[str, str]
    was: Mapping[str, str]
    to_tables: str

    @property
    def states(self) -> dict[str, Any]:
        """Tanks of the answer by their id."""
        return {t["tank"]: t for t in self.answer["tanks"]} if self.answer else {}

    @property
    def remarks(self) -> dict[str, Any]:
        """Findings by tank."""
        return wording.tank_findings(self.answer) if self.answer else {}

    @property
    def is_empty(self) -> bool:
        """Whether nothing aboard is typed: no quantity of a tank and no mass of a weight."""
        return not any(
            value.strip()
            for name, value in self.fields.items()
            if name.startswith("q:") or (name.startswith("w:") and name.endswith(":mass"))
        )

    @property
    def may_pass(self) -> bool:
        """Whether the verdict is of everything on the sheet."""
        return self.answer is not None and not self.left_out and not self.loose and not self.wrong


def view_of(
    fields: Mapping[str, str],
    found: Read,
    judged: Judged,
    base: Row,
    vessel: Row,
    before: Assessment | None,
    *,
    compare: bool,
) -> View:
    """The sheet as it stands. before: the answer of the revision it started from; compare: whether there is one."""
    system: UnitSystem = base["units"]
    answer, document = judged.answer, found.document
    states = {t["tank"]: t for t in answer["tanks"]} if answer else {}
    old = {t["tank"]: t for t in before["tanks"]} if before else {}
    groups = groups_of(fields, document, vessel, states, old, base, compare=compare)
    holds, others = weight_lines(fields, vessel, base, compare=compare)
    drafts, list_computed, list_differs = _drafts(document, base, vessel, answer, system)
    return View(
        fields=fields,
        groups=groups,
        sums={g.contents: _sum(g, states, old if compare else None) for g in groups},
        holds=holds,
        others=others,
        weights_sum=_weights_sum(document, system),
        drafts=drafts,
        list_computed=list_computed,
        list_differs=list_differs,
        grain_notes=_grain(document, vessel, system),
        parts=[(part, _holds_something(part, document)) for part in PARTS],
        rule_sets=_rule_sets(fields, vessel),
        kept=[(line, fields.get(f"keep:{line.member}") != "no") for line in kept_lines(base)],
        answer=answer,
        left_out=judged.left_out,
        loose=judged.loose,
        wrong={**judged.wrong, **found.wrong},
        was=_was(groups, holds, others, fields, base, vessel, compare),
        to_tables=_to_tables(answer, vessel, system),
    )


def _sum(group: Group, states: Mapping[str, Any], old: Mapping[str, Any] | None) -> Sum:
    ids = [tank.tank["id"] for tank in group.tanks]
    now = [states[id] for id in ids if id in states]
    earlier = None if old is None else sum(old[id]["mass"] for id in ids if id in old)
    return Sum(sum(t["mass"] for t in now), earlier, sum(t["gm_loss"] for t in now))


def _weights_sum(document: Row, system: UnitSystem) -> str:
    lines = [
        w for w in document["weights"] if all(isinstance(w.get(m), float) for m in ("mass", "lcg", "vcg"))
    ]
    mass = sum(w["mass"] for w in lines)
    if not mass:
        return figure(0.0, "mass", system)
    lcg, vcg = (sum(w["mass"] * w[m] for w in lines) / mass for m in ("lcg", "vcg"))
    return (
        f"{figure(mass, 'mass', system)}, LCG {figure(lcg, 'position', system)}, "
        f"VCG {figure(vcg, 'position', system)}"
    )


def _drafts(
    document: Row, base: Row, vessel: Row, answer: Assessment | None, system: UnitSystem
) -> tuple[list[DraftLine], str, str]:
    computed = {}
    if answer and answer["flotation"]["draft_midship"] is not None:
        computed = {mark["name"]: mark["draft"] for mark in answer["flotation"]["drafts_at_marks"]}
    readings = member_at(document, ("observed", "drafts")) or {}
    lines = []
    for mark in marks_of(base, vessel):
        own = computed.get(mark)
        lines.append(DraftLine(mark, number(own, "draft", system), _differs(readings.get(mark), own, system)))
    angle = answer["flotation"]["list"]["angle"] if answer else None
    read_list = member_at(document, ("observed", "list"))
    differs = ""
    if isinstance(read_list, float) and angle is not None:
        gap = read_list - angle
        differs = (
            "agrees" if abs(gap) < 0.05 else f"{abs(gap):.1f}° more to {'port' if gap > 0 else 'starboard'}"
        )
    return lines, list_in_words(angle), differs


def _differs(reading: Any, computed: float | None, system: UnitSystem) -> str:
    if isinstance(reading, Mapping):
        sides = list(reading.values())
        reading = sum(sides) / len(sides) if all(isinstance(side, float) for side in sides) else None
    if not isinstance(reading, float) or computed is None:
        return ""
    gap = reading - computed
    words = draft_margin(abs(gap), system)
    return "agrees" if abs(gap) < 0.005 else f"{words} {'more' if gap > 0 else 'less'}"


def _grain(document: Row, vessel: Row, system: UnitSystem) -> list[str]:
    """Grain by its volume against the weights in its hold, where they differ."""
    holds = {hold["id"]: hold for hold in vessel.get("holds") or ()}
    entered: dict[str, float] = {}
    for hold, mass in lines_by_hold(document):
        entered[hold] = entered.get(hold, 0.0) + mass
    for weight in document.get("weights") or ():
        inside = next(
            (h for h in holds.values() if h.get("extent") and h["extent"] == weight.get("extent")), None
        )
        if inside and not weight.get("hold") and isinstance(weight.get("mass"), float):
            entered[inside["id"]] = entered.get(inside["id"], 0.0) + weight["mass"]
    notes = []
    for line in document.get("grain") or ():
        space, factor = holds.get(line.get("hold", "")), line.get("stowage_factor")
        if space is None or not isinstance(factor, float) or factor <= 0.0:
            continue
        partly = line.get("filling") == "partly_filled"
        volume = line.get("volume") if partly else space["capacity"]
        if not isinstance(volume, float):
            continue
        weighs, typed = volume / factor, entered.get(space["id"], 0.0)
        if abs(typed - weighs) > NEAR * weighs:
            notes.append(
                f"{space['name']}: {figure(volume, 'volume', system)} of grain weigh {figure(weighs, 'mass', system)}; "
                f"the weights in it come to {figure(typed, 'mass', system)}."
            )
    return notes


def _holds_something(part: Part, document: Row) -> bool:
    return any(member_at(document, one.path) not in (None, one.default) for one in part.fields) or any(
        member_at(document, table.path) for table in part.tables
    )


def _rule_sets(fields: Mapping[str, str], vessel: Row) -> list[tuple[str, str, bool]]:
    """Every set that does not bind her anyway, and whether it is added."""
    known = [one["name"] for one in list_rule_sets()["items"]]
    hers = [present_name(name) for name in vessel["rule_sets"]]
    named = [name.removeprefix("rs:") for name, value in fields.items() if name.startswith("rs:") and value]
    offered = [name for name in known if name not in hers]
    return [(name, rule_set_title(name), name in named) for name in dict.fromkeys((*offered, *named))]


def _was(
    groups: list[Group],
    holds: list[WeightLine],
    others: list[WeightLine],
    fields: Mapping[str, str],
    base: Row,
    vessel: Row,
    compare: bool,
) -> dict[str, str]:
    """The old figure of every field that changed, by the field."""
    if not compare:
        return {}
    changed = {f"q:{tank.tank['id']}": tank.was for g in groups for tank in g.tanks if tank.was is not None}
    changed |= {f"w:{line.n}:mass": line.was for line in (*holds, *others) if line.was is not None}
    old = fields_of(base, vessel)
    for name in HEAD_NAMES:
        if old.get(name, "") != fields.get(name, ""):
            changed[name] = old.get(name, "") or "nothing"
    return changed


def _to_tables(answer: Assessment | None, vessel: Row, system: UnitSystem) -> str:
    """How far her displacement lies off the hydrostatic table; empty where it is inside."""
    if answer is None or answer["flotation"]["km"] is not None:
        return ""
    table = vessel["hydrostatics"]
    water = answer["flotation"]["water_density"] / table["density"]
    drawn = [row["displacement"] * water for row in table["rows"]]
    if not drawn:
        return ""
    if answer["displacement"] < min(drawn):
        gap = min(drawn) - answer["displacement"]
        return f"{figure(gap, 'mass', system)} more and her tables begin"
    if answer["displacement"] > max(drawn):
        return f"{figure(answer['displacement'] - max(drawn), 'mass', system)} beyond the end of her tables"
    return ""
