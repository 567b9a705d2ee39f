"""Which doubts about a ship's booklet touch one condition: the rows that it reads, the tanks that it fills."""

from collections.abc import Mapping, Sequence
from typing import Any

from service.translation.units import SCALES
from service.wire.assessment import Assessment
from service.wire.vessel_check import Doubt

Row = Mapping[str, Any]


def doubts_that_touch(
    answer: Assessment, vessel: Row, doubts: Sequence[Doubt]
) -> tuple[list[Doubt], list[Doubt]]:
    """Those whose figure this condition uses, and the others. What cannot be told apart counts as used."""
    touching: list[Doubt] = []
    others: list[Doubt] = []
    for doubt in doubts:
        (touching if _used(answer, vessel, doubt["path"].split("/")[1:]) else others).append(doubt)
    return touching, others


def _used(answer: Assessment, vessel: Row, place: Sequence[str]) -> bool:
    subject, row = place[0], next((int(step) for step in reversed(place) if step.isdigit()), None)
    if subject == "tanks" and len(place) > 1 and place[1].isdigit():
        tank = vessel["tanks"][int(place[1])]["id"]
        return any(t["tank"] == tank and t["state"] != "empty" for t in answer["tanks"])
    if subject == "hydrostatics" and row is not None:
        return _row_used(vessel["hydrostatics"]["rows"], "draft", row, _draft(answer, vessel))
    if subject == "cross_curves" and "levers" in place:
        rows = vessel["cross_curves"]["displacements"]
        index = int(place[place.index("levers") + 1])
        return _between(rows, index, _displacement(answer, vessel))
    if subject == "wind_profile" and row is not None:
        return _row_used(vessel["wind_profile"], "draft", row, _draft(answer, vessel))
    return True


def _row_used(rows: Sequence[Row], member: str, index: int, value: float | None) -> bool:
    """Whether `value` lies between a row and one of its neighbours of the same trim."""
    trim = rows[index].get("trim") or 0.0
    same = [i for i, row in enumerate(rows) if (row.get("trim") or 0.0) == trim]
    return _between([rows[i][member] for i in same], same.index(index), value)


def _between(values: Sequence[float], index: int, value: float | None) -> bool:
    if value is None:
        return True
    low = values[max(index - 1, 0)]
    high = values[min(index + 1, len(values) - 1)]
    return low <= value <= high


def _draft(answer: Assessment, vessel: Row) -> float | None:
    draft = answer["flotation"]["draft_midship"]
    if draft is None:
        return None
    return draft * SCALES[answer["units"]["system"]].length / SCALES[vessel["units"]].length


def _displacement(answer: Assessment, vessel: Row) -> float:
    """In the masses of the booklet, in water of its density."""
    density: float = vessel["hydrostatics"]["density"] / answer["flotation"]["water_density"]
    return (
        answer["displacement"]
        * density
        * SCALES[answer["units"]["system"]].mass
        / SCALES[vessel["units"]].mass
    )
