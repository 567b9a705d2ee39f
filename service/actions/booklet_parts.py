"""The parts a booklet is typed in by: which sheets belong to each, and what a ship without it cannot be judged on."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from service.imports.layout import Sheet
from service.imports.tables import at
from service.imports.vessel_sheets import VESSEL_SHEETS


@dataclass(frozen=True)
class Part:
    """One page of typing. `cost`: what is missing as long as it says nothing; `needed`: no ship is added without it."""

    slug: str
    title: str
    sheets: tuple[Sheet, ...]
    cost: str
    needed: bool = False


def _part(slug: str, title: str, sheets: str, cost: str, *, needed: bool = False) -> Part:
    wanted = sheets.split()
    found = {sheet.slug: sheet for sheet in VESSEL_SHEETS}
    return Part(slug, title, tuple(found[name] for name in wanted), cost, needed)


PARTS: Final = (
    _part("ship", "Ship and particulars", "ship particulars", "nothing can be computed", needed=True),
    _part(
        "lightship",
        "Lightship",
        "lightship lightship-curve",
        "no displacement and no GM",
        needed=True,
    ),
    _part("hydrostatics", "Hydrostatics", "hydrostatics", "no drafts, trim or GM", needed=True),
    _part(
        "cross-curves",
        "Cross curves",
        "cross-curves cross-curves-timber",
        "no righting lever: areas, angles and weather are not judged",
    ),
    _part("tanks", "Tanks", "tanks", "conditions have weights only, and no free surface", needed=True),
    _part(
        "tank-tables",
        "Tank tables",
        "tank-tables printed-free-surface heeled-moments",
        "centres and free surface of slack tanks are those of full ones or estimates",
    ),
    _part(
        "holds",
        "Holds and grain",
        "holds hold-grain hold-mass-limits tanks-in-way-of-holds",
        "grain is not judged",
    ),
    _part(
        "openings",
        "Openings",
        "openings opening-angles",
        "down-flooding is not known, and areas to it are not judged",
    ),
    _part("wind", "Wind and ice", "wind-profile icing-surfaces", "the weather criterion is not judged"),
    _part(
        "deck-edge",
        "Deck edge",
        "deck-edge-points deck-edge-angles",
        "the angle at which the deck goes under is not judged",
    ),
    _part("marks", "Marks and load lines", "draft-marks load-lines", "the load line is not judged"),
    _part(
        "limits",
        "GM limits and rules",
        "gm-limits limits rule-sets",
        "her own limits and the rules that bind her are not judged",
    ),
    _part(
        "bridge",
        "Propeller and bridge",
        "propeller-and-bridge obstructions air-draft-points",
        "propeller immersion, view ahead and air draft are not judged",
    ),
    _part(
        "strength",
        "Strength",
        "strength-limits sections adjacent-holds",
        "shear force, bending and masses in two holds together are not judged",
    ),
    _part("type", "Ship type", "ship-type passenger-spaces", "rules of her type are not judged"),
    _part(
        "conditions",
        "Printed conditions",
        "printed-conditions condition-tanks condition-weights condition-levers condition-grain condition-wind",
        "what is typed is not proved against her booklet",
    ),
)
_BY_SLUG: Final = {part.slug: part for part in PARTS}


def part_named(slug: str) -> Part | None:
    """The part of this name."""
    return _BY_SLUG.get(slug)


def sheet_of(part: Part, slug: str) -> Sheet | None:
    """The sheet of this name in a part."""
    return next((sheet for sheet in part.sheets if sheet.slug == slug), None)


def parents_of(sheet: Sheet, document: Mapping[str, Any]) -> list[tuple[str, int]]:
    """The entries that a child sheet has lines of, each with how many it has; empty for other sheets."""
    if sheet.parent is None or sheet.shape not in ("child", "matrix"):
        return []
    entries = at(document, sheet.parent.path) or ()
    return [
        (str(entry.get(sheet.parent.key, "")), _count(at(entry, sheet.target), sheet)) for entry in entries
    ]


def lines_of(sheet: Sheet, document: Mapping[str, Any]) -> int | None:
    """How many lines of a sheet the document has; None where it says nothing, 0 where it says that there are none."""
    if sheet.shape == "form":
        found = sum(at(document, entry.path) is not None for entry in sheet.entries if entry.path)
        return found or None
    if sheet.parent is not None:
        entries = [at(entry, sheet.target) for entry in at(document, sheet.parent.path) or ()]
        said = [entry for entry in entries if entry is not None]
        return sum(_count(entry, sheet) for entry in said) if said else None
    found_here = at(document, sheet.target)
    return None if found_here is None else _count(found_here, sheet)


def _count(value: Any, sheet: Sheet) -> int:
    if value is None:
        return 0
    if sheet.matrix is not None and isinstance(value, Mapping):
        return len(value.get(sheet.matrix.rows) or ())
    return len(value) if hasattr(value, "__len__") else 1
