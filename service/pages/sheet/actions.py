"""What one press of a button does to the fields of the sheet: all empty, all to the limit, one side as the other."""

from typing import Any, Final

from service.pages.sheet.form import fields_of
from service.pages.sheet.numbers import as_typed
from service.pages.sheet.posting import BESIDE
from service.pages.sheet.tanks import Shown, grouped

Row = dict[str, Any]
PREFIX: Final = "act:"
_TANK: Final = ("q", "k", "c", "d")


def apply(action: str, fields: dict[str, str], base: Row, vessel: Row) -> dict[str, str]:
    """The fields after an action (`act:empty:ballast`); unchanged where there is none of that name."""
    _, _, rest = action.partition(":")
    verb, _, contents = rest.partition(":")
    if verb == "undo":
        kept = {
            name: value
            for name, value in fields.items()
            if name in BESIDE or name in ("live", "keep", "synced")
        }
        return fields_of(base, vessel) | kept
    tanks = dict(grouped(vessel)).get(contents, [])
    changed = dict(fields)
    if verb == "empty":
        for tank in tanks:
            changed[f"q:{tank['id']}"] = changed[f"k:{tank['id']}"] = ""
    elif verb == "limit":
        for tank in tanks:
            text = as_typed(tank.get("normal_limit", 98.0))
            changed[f"q:{tank['id']}"] = text
            changed[f"k:{tank['id']}"] = Shown("fill", text, "fill", text).packed()
    elif verb in ("port", "starboard"):
        _same(changed, tanks, verb)
    return changed


def _same(fields: dict[str, str], tanks: list[Row], side: str) -> None:
    """Make the other side of each pair what `side` is."""
    by_id = {tank["id"]: tank for tank in tanks}
    for tank in tanks:
        partner = by_id.get(tank.get("pair") or "")
        if partner is not None and tank["side"] == side:
            for prefix in _TANK:
                fields[f"{prefix}:{partner['id']}"] = fields.get(f"{prefix}:{tank['id']}", "")
