"""What would help, one tank at a time: the least change of it at which everything asked for holds.

The full chain is looked at on points over each piece of the tank's range (filling.py), outward from the present mass,
and where everything begins to hold between two of them, by bisection.
"""

from collections.abc import Iterator, Mapping
from math import inf, isfinite, sqrt
from typing import NamedTuple

from .assessment import Assessment
from .errors import CoreError
from .filling import Piece
from .remedy import Question
from .tank import EMPTY

SAMPLES = 8
"""Points looked at on a wide piece of a tank's range. Common practice, no source."""
FALSE_POSITIONS = 6
GOLDEN, GOLDEN_STEPS = 0.5 * (sqrt(5.0) - 1.0), 12
NARROW = 0.01
"""Part of the capacity of a piece that is looked at at its ends alone."""
RESOLUTION = 0.01
"""t to which the least change of a single tank is found."""
ON_THE_WAY = 6


class Single(NamedTuple):
    """One tank changed: its place among the fillings, the mass (t) it comes to, the condition assessed so, whether all
    holds, the part of its scale by which the row nearest to its limit is away from it, and what each side of every row
    has in hand."""

    place: int
    mass: float
    assessment: Assessment
    holds: bool
    least: float
    in_hand: list[float]


class Passed(NamedTuple):
    """The state of least GM that is passed on the way: m, degrees, and the t in the tank (or shifted) then."""

    gm_corrected: float | None
    list_angle: float | None
    at_mass: float


def least_change(question: Question, place: int) -> tuple[Single | None, Single | None]:
    """The least change of one tank, by its place among the fillings, at which everything holds (None: there is none),
    and of all that was looked at what comes nearest to it.

    Each piece of its range is looked at on points outward from the present mass; where the target begins to hold
    between two of them, by bisection. Source: method of bisection."""
    filling = question.fillings[place]
    found: Single | None = None
    closest: Single | None = None
    for upward in (True, False):
        before: tuple[Piece, Single] | None = None
        for piece, mass in _outward(question, place, upward):
            if found is not None and abs(mass - filling.mass) >= abs(found.mass - filling.mass):
                break
            tried = _tried(question, place, mass)
            if tried is None:
                continue
            if closest is None or tried.least > closest.least:
                closest = tried
            start = before[1] if before is not None and before[0] is piece else None
            inside = tried if tried.holds or start is None else _window(question, start, tried)
            if inside.holds:
                found = inside if start is None else _bisected(question, start, inside)
                break
            before = (piece, tried)
    if found is None and closest is not None:
        peak = _peak(question, closest)
        closest = peak if peak.least > closest.least else closest
        if peak.holds:
            found = _bisected_toward(question, peak)
    return found, closest


def _peak(question: Question, near: Single) -> Single:
    """Where, around what comes nearest, the row with least in hand has most: a window between two points may be narrow.

    Source: golden section search (Kiefer, Proc. Amer. Math. Soc. 4, 1953)."""
    filling = question.fillings[near.place]
    piece = filling.piece_of(near.mass)
    reach = (piece.high - piece.low) / (SAMPLES - 1)
    low = max(piece.low, near.mass - reach, question.least[near.place])
    high = min(piece.high, near.mass + reach, question.most[near.place])
    best = near
    inner = [low + (1.0 - GOLDEN) * (high - low), low + GOLDEN * (high - low)]
    points = [_tried(question, near.place, mass) for mass in inner]
    for _ in range(GOLDEN_STEPS):
        left, right = points
        if left is None or right is None:
            break
        best = max(best, left, right, key=lambda each: (each.holds, each.least))
        if best.holds or high - low < RESOLUTION:
            break
        if left.least >= right.least:
            high = right.mass
            points = [_tried(question, near.place, low + (1.0 - GOLDEN) * (high - low)), left]
        else:
            low = left.mass
            points = [right, _tried(question, near.place, low + GOLDEN * (high - low))]
    return best


def _bisected_toward(question: Question, inside: Single) -> Single:
    """From where everything holds toward the present mass, as far as its piece reaches."""
    filling = question.fillings[inside.place]
    piece = filling.piece_of(inside.mass)
    edge = _tried(question, inside.place, min(max(filling.mass, piece.low), piece.high))
    if edge is None:
        return inside
    return edge if edge.holds else _bisected(question, edge, inside)


def _tried(question: Question, place: int, mass: float) -> Single | None:
    try:
        assessed = question.assess({place: mass})
    except CoreError:
        return None
    values = question.values(assessed)
    _, least = question.least_value(values)
    return Single(place, mass, assessed, question.holds(assessed), least, question.in_hand(values))


def _window(question: Question, start: Single, end: Single) -> Single:
    """A mass between two at which everything holds, if what each row has in hand were linear between; else `end`.

    Source: method of false position."""
    low, high = start, end
    for _ in range(FALSE_POSITIONS):
        first, last = 0.0, 1.0
        for before, after in zip(low.in_hand, high.in_hand):
            if before < 0.0 and after < 0.0:
                return end
            if before < 0.0 or after < 0.0:
                part = before / (before - after) if isfinite(before - after) else 0.5
                first, last = (max(first, part), last) if before < 0.0 else (first, min(last, part))
        if first > last:
            return end
        middle = _tried(question, start.place, low.mass + 0.5 * (first + last) * (high.mass - low.mass))
        if middle is None or middle.holds:
            return middle or end
        if any(m < 0.0 and b < 0.0 for m, b in zip(middle.in_hand, low.in_hand)):
            low = middle
        else:
            high = middle
    return end


def _bisected(question: Question, outside: Single, inside: Single) -> Single:
    """Nearest to `outside` at which everything holds, to RESOLUTION."""
    start, end = outside.mass, inside
    while abs(end.mass - start) > RESOLUTION:
        middle = _tried(question, inside.place, 0.5 * (start + end.mass))
        if middle is not None and middle.holds:
            end = middle
        else:
            start = 0.5 * (start + end.mass)
    return end


def _outward(question: Question, place: int, upward: bool) -> Iterator[tuple[Piece, float]]:
    """Masses to look at from the present one to the end of what is allowed, each with its piece."""
    filling = question.fillings[place]
    pieces = filling.pieces if upward else filling.pieces[::-1]
    for piece in pieces:
        low, high = max(piece.low, question.least[place]), min(piece.high, question.most[place])
        if piece.state == EMPTY:
            low = high = min(filling.emptied, filling.mass)
            if low < question.least[place]:
                continue
        start, end = (max(low, filling.mass), high) if upward else (min(high, filling.mass), low)
        if low > high or (end - start if upward else start - end) < 0.0:
            continue
        count = 1 if end == start else 2 if abs(end - start) < NARROW * filling.full else SAMPLES
        for step in range(count):
            yield piece, start + (end - start) * step / max(1, count - 1)


def on_the_way(question: Question, masses: Mapping[int, float], moved: float | None = None) -> Passed:
    """The state of least GM while the tanks come to these masses (t), all in proportion. `moved`: t moved in the end,
    where that is to be told instead of the mass in the tank.

    Source: 2008 IS Code Part B 3.1.5 (free surface while fillings change)."""
    passed = []
    for step in range(ON_THE_WAY + 1):
        part = min(max(step / ON_THE_WAY, 1e-3), 1.0 - 1e-3)
        now = {
            i: question.fillings[i].mass + part * (mass - question.fillings[i].mass)
            for i, mass in masses.items()
        }
        try:
            there = question.assess(now)
        except CoreError:
            continue
        at = part * moved if moved is not None else next(iter(now.values()))
        passed.append(Passed(there.situation.gm_corrected, there.situation.rest.list_angle, at))
    if not passed:
        return Passed(None, None, 0.0)
    return min(passed, key=lambda each: -inf if each.gm_corrected is None else each.gm_corrected)
