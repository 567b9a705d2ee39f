"""The tanks of a condition as lines of a page: fore to aft, each with what is in it, runs of empty ones together."""

from collections.abc import Sequence
from typing import Any

from service.wire.assessment import Assessment, TankResult

_SIDES = {"port": 0, "centre": 1, "starboard": 2}


def in_ship_order(answer: Assessment) -> list[TankResult]:
    """From forward to aft, then port, centre, starboard."""
    return sorted(
        answer["tanks"], key=lambda t: (-round(t["centre"]["lcg"], 1), _SIDES[t["side"]], t["name"])
    )


def tank_rows(answer: Assessment, order: str, remarked: Sequence[str] = ()) -> list[dict[str, Any]]:
    """Lines in order: a tank with its `place`, or `{"empty": names}` for a run of empty ones. `order` "cost" puts the
    dearest in GM first and all empty tanks last. Tanks in `remarked` have a line of their own even when empty."""
    rows: list[dict[str, Any]] = []
    run: list[TankResult] = []
    for tank in in_ship_order(answer):
        if tank["state"] == "empty" and tank["tank"] not in remarked:
            run.append(tank)
            continue
        rows += _run(run, len(rows))
        run = []
        rows.append({**tank, "place": len(rows)})
    rows += _run(run, len(rows))
    if order != "cost":
        return rows
    return sorted(rows, key=lambda row: (-row.get("gm_loss", -1.0), row["place"]))


def _run(tanks: Sequence[TankResult], place: int) -> list[dict[str, Any]]:
    return [{"empty": names_in_pairs(tanks), "place": place}] if tanks else []


def names_in_pairs(tanks: Sequence[TankResult]) -> str:
    """Names with commas between them; port and starboard of the same name as one pair."""
    names = [t["name"] for t in tanks]
    shown, taken = [], set[str]()
    for tank in tanks:
        name, side = tank["name"], tank["side"]
        if name in taken:
            continue
        other = name.replace("port", "starboard") if side == "port" else ""
        if other and other != name and other in names:
            taken.add(other)
            name = name.replace("port", "pair")
        shown.append(name)
    return ", ".join(shown)


def cost_words(tank: TankResult, shown: str) -> str:
    """What a tank costs, or "small" where a rule leaves its moment out."""
    return "small" if tank["exempt_moment"] and not tank["gm_loss"] else shown
