"""A comparison told as a letter: what was changed aboard, and what it did."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from service.pages.pictures import unbroken
from service.pages.wording import sentence, short_moment
from service.translation.rule_sets import rule_set_title
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.comparison import Comparison, CriterionChange, FigureChange, TankChange, WeightChange
from service.wire.condition_record import ConditionHistoryLine
from service.wire.fields import UnitSystem
from service.wire.figures import Quantity, figure, number, unit, words
from service.wire.verdict_words import with_dangers

ARROW = "→"
VERDICTS = {"pass": "passes", "fail": "fails", "incomplete": "incomplete"}
_ABOARD = {"contents", "density", "mass", "volume", "fill", "state"}
_FIGURES = ("gm_corrected", "draft_forward", "draft_aft")


@dataclass(frozen=True)
class Letter:
    """since: number of the earlier revision."""

    since: int
    opening: str
    text: str


def letter_of(comparison: Comparison) -> Letter:
    """The whole letter."""
    since = comparison["revision_from"]
    aboard = aboard_in_words(comparison)
    text = " ".join((aboard, *effects_in_words(comparison)))
    return Letter(since["revision"], opening(since), text)


def opening(line: ConditionHistoryLine) -> str:
    """Which revision it is compared with."""
    state = {"accepted": "accepted", "returned": "returned", "unreviewed": "not reviewed"}[
        line["review_state"]
    ]
    return f"Since revision {line['revision']} ({short_moment(line['created'])}, {state}):"


def aboard_in_words(comparison: Comparison) -> str:
    """What was changed in the document."""
    system = comparison["units"]["system"]
    parts = [
        *(tank_in_words(t, system) for t in comparison["tanks"] if is_aboard(t)),
        *(weight_in_words(w, system) for w in comparison["weights"]),
        *(document_in_words(c) for c in comparison["other"]),
        *(f"rule set {rule_set_title(r['name'])} {r['change']}" for r in comparison["rule_sets"]),
    ]
    parts += named_in_words(comparison["tanks"], names=False)
    if comparison["vessel_changes"]:
        count = len(comparison["vessel_changes"])
        parts.append(f"the vessel's data changed in {count} place{'' if count == 1 else 's'}")
    return f"{shortened(parts)}." if parts else "nothing aboard was changed."


def shortened(parts: list[str], most: int = 8) -> str:
    """At most `most` parts, and how many more there are."""
    more = len(parts) - most
    return "; ".join(parts[:most]) + (f"; and {more} more" if more > 0 else "")


def effects_in_words(comparison: Comparison) -> Iterable[str]:
    """What it did: GM, drafts, verdicts."""
    system = comparison["units"]["system"]
    figures = {f["name"]: f for f in comparison["figures"]}
    rows = [ANSWER_FIGURES[name] for name in _FIGURES if name in figures]
    shown = [
        f"{row.label_within} {pair(figures[row.name], row.quantity, system)}"
        for row in rows
        if moved(figures[row.name], row.quantity, system)
    ]
    if shown:
        yield sentence(", ".join(shown))
    verdict, dangers = comparison["verdict"], comparison["dangers"]
    before, after = (with_dangers(VERDICTS[verdict[side]], dangers[side]) for side in ("before", "after"))
    if before != after:
        yield f"The condition: {before} {ARROW} {after}."
    for flip in comparison["flips"][:6]:
        yield flip_in_words(flip)


def is_aboard(change: TankChange) -> bool:
    """Whether the tank itself was changed, not only what its surface costs or that an empty one is named."""
    if is_only_named(change):
        return False
    return change["change"] != "changed" or bool(_ABOARD & set(change["members"]))


def is_only_named(change: TankChange) -> bool:
    """Whether an empty tank is named on one side and taken as empty on the other: nothing changed aboard."""
    one = change["after"] if change["before"] is None else change["before"]
    missing = change["before"] is None or change["after"] is None
    return missing and one is not None and one["mass"] == 0.0


def named_in_words(changes: Sequence[TankChange], *, names: bool = True) -> list[str]:
    """Empty tanks that are named on one side alone, in a sentence for each side; names: with all of their names."""
    lines = []
    for side, said in (("before", "named as empty now"), ("after", "not named any more, so taken as empty")):
        found = [c["name"] for c in changes if is_only_named(c) and c[side] is None]  # type: ignore[literal-required]
        if found:
            line = f"{len(found)} empty tank{'' if len(found) == 1 else 's'} {said}"
            lines.append(f"{line}: {', '.join(found)}" if names else line)
    return lines


def tank_in_words(change: TankChange, system: UnitSystem) -> str:
    """One tank: "No. 4 double bottom port 62.0 → 41.0 m³, now slack"."""
    before, after, name = change["before"], change["after"], change["name"]
    if before is None or after is None:
        one = after or before
        assert one is not None
        level = f"{figure(one['volume'], 'volume', system)}, {words(one['state'])}"
        return f"{name} now named: {level}" if before is None else f"{name} no longer named (was {level})"
    parts = []
    if number(before["volume"], "volume", system) != number(after["volume"], "volume", system):
        levels = f"{number(before['volume'], 'volume', system)} {ARROW} {number(after['volume'], 'volume', system)}"
        parts.append(f"{levels} {unit('volume', system)}")
    if before["contents"] != after["contents"]:
        parts.append(f"{words(before['contents'])} {ARROW} {words(after['contents'])}")
    if number(before["density"], "density", system) != number(after["density"], "density", system):
        parts.append(f"density {before['density']:.3f} {ARROW} {after['density']:.3f}")
    if before["state"] != after["state"]:
        parts.append(f"now {words(after['state'])}")
    return f"{name} {', '.join(parts) or 'changed by less than is printed'}"


def weight_in_words(change: WeightChange, system: UnitSystem) -> str:
    """One weight."""
    before, after, name = change["before"], change["after"], change["name"]
    if before is None or after is None:
        one = after or before
        assert one is not None
        mass = figure(one["mass"], "mass", system)
        return f"{name} {mass} taken aboard" if before is None else f"{name} {mass} landed"
    parts = []
    if number(before["mass"], "mass", system) != number(after["mass"], "mass", system):
        masses = f"{number(before['mass'], 'mass', system)} {ARROW} {number(after['mass'], 'mass', system)}"
        parts.append(f"{masses} {unit('mass', system)}")
    centres = (
        ("LCG", before["lcg"], after["lcg"]),
        ("VCG", before["vcg"], after["vcg"]),
        ("TCG", before["tcg"], after["tcg"]),
    )
    for label, old, new in centres:
        if number(old, "position", system) != number(new, "position", system):
            places = f"{number(old, 'position', system)} {ARROW} {number(new, 'position', system)}"
            parts.append(f"{label} {places} {unit('position', system)}")
    return f"{name} {', '.join(parts) or 'changed by less than is printed'}"


def document_in_words(change: Any) -> str:
    """Another place of the document, named by its path."""
    place = words(" ".join(change["path"]))
    if change["change"] == "added":
        return f"{place} now {plain(change['after'])}"
    if change["change"] == "removed":
        return f"{place} {plain(change['before'])} taken out"
    return f"{place} {plain(change['before'])} {ARROW} {plain(change['after'])}"


def plain(value: Any) -> str:
    """A value of a document in short."""
    if isinstance(value, str):
        return f"“{words(value)}”"
    if isinstance(value, bool) or value is None:
        return {True: "yes", False: "no", None: "nothing"}[value]
    if isinstance(value, int | float):
        return f"{value:g}"
    return f"{len(value)} entries"


def flip_in_words(change: CriterionChange) -> str:
    """A clause whose verdict is another one."""
    before, after = change["before"], change["after"]
    old = "not asked" if before is None else words(before["verdict"])
    new = "not asked" if after is None else words(after["verdict"])
    return f"{change['title']} ({unbroken(change['clause'])}): {old} {ARROW} {new}."


def pair(change: FigureChange, quantity: Quantity, system: UnitSystem) -> str:
    """A figure before and after, with its unit once."""
    before, after = number(change["before"], quantity, system), number(change["after"], quantity, system)
    symbol = unit(quantity, system)
    return f"{before} {ARROW} {after}{'' if symbol == '°' else ' '}{symbol}"


def moved(change: FigureChange, quantity: Quantity, system: UnitSystem) -> bool:
    """Whether the change can be seen in what is printed."""
    return number(change["before"], quantity, system) != number(change["after"], quantity, system)
