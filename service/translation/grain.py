"""Holds and the grain in them: documents into the core's, and the places that contradict one another."""

from collections.abc import Sequence

from service.core.grain import PARTLY_FILLED, GrainLine, Hold, within
from service.translation.axes import times
from service.translation.contradictions import Contradictions
from service.translation.units import Scale
from service.wire import condition as wire_condition
from service.wire import hold as wire_hold


def check_holds(holds: Sequence[wire_hold.Hold], contradictions: Contradictions) -> None:
    """Note every place where the holds of a vessel document contradict themselves."""
    contradictions.repeated([hold.id for hold in holds], "id", ("holds",))
    for i, hold in enumerate(holds):
        rows = () if hold.grain is None else hold.grain.partly_filled or ()
        place = ("holds", i, "grain", "partly_filled")
        contradictions.increasing(rows, "volume", place)
        for j, row in enumerate(rows):
            if not within(row.volume, 0.0, hold.capacity):
                contradictions.add(
                    (*place, j, "volume"), "contradiction", "this is more than the hold's capacity."
                )


def hold_of(hold: wire_hold.Hold, scale: Scale) -> Hold:
    """One hold in the core's units."""
    grain = hold.grain or wire_hold.HoldGrain()
    rows = grain.partly_filled or ()
    return Hold(
        hold.id,
        hold.capacity * scale.volume,
        times(grain.filled_trimmed, scale.inertia),
        times(grain.filled_untrimmed, scale.inertia),
        [row.volume * scale.volume for row in rows],
        [row.heeling_moment * scale.inertia for row in rows],
    )


def grain_of(
    lines: Sequence[wire_condition.GrainLine],
    holds: Sequence[Hold],
    scale: Scale,
    contradictions: Contradictions,
) -> tuple[GrainLine, ...]:
    """The grain lines of a condition; notes unknown holds, holds named twice and volumes that cannot be."""
    index, seen = {hold.id: h for h, hold in enumerate(holds)}, set[str]()
    grain = []
    for i, line in enumerate(lines):
        if line.hold not in index or line.hold in seen:
            code = "duplicate" if line.hold in seen else "unknown_hold"
            words = (
                "this hold is filled twice." if line.hold in seen else "the booklet has no hold with this id."
            )
            contradictions.add(("grain", i, "hold"), code, words)
            continue
        seen.add(line.hold)
        hold = index[line.hold]
        translated = GrainLine(
            hold,
            line.filling,
            times(line.volume, scale.volume),
            line.stowage_factor * scale.volume / scale.mass,
            times(line.heeling_moment, scale.inertia),
            line.vcg_basis,
        )
        _check_volume(line, translated, holds[hold], scale, ("grain", i, "volume"), contradictions)
        grain.append(translated)
    return tuple(grain)


def _check_volume(
    line: wire_condition.GrainLine,
    translated: GrainLine,
    hold: Hold,
    scale: Scale,
    place: tuple[str | int, ...],
    contradictions: Contradictions,
) -> None:
    if translated.filling != PARTLY_FILLED:
        if line.volume is not None:
            contradictions.add(
                place, "contradiction", "only a partly filled hold has a volume; a filled one has its own."
            )
        return
    given = line.heeling_moment is not None
    if translated.volume is None:
        if not given:
            words = "a partly filled hold needs the volume of the grain, or its heeling moment."
            contradictions.add(place, "missing", words)
        return
    low, high = 0.0, hold.capacity
    if hold.volume and not given:
        low, high = hold.volume[0], hold.volume[-1]
    if not within(translated.volume, low, high):
        ends = f"{low / scale.volume:.6g} to {high / scale.volume:.6g} ({scale.names['volume']})"
        contradictions.add(
            place, "outside_table", f"hold {hold.id}: volume {line.volume:.6g} is outside {ends}."
        )
