"""A condition as a form: the vessel's whole tank list with what is aboard, weights, water; and back to a document.

Field names: `title`, `voyage.number` ..., `q:<tank>` a quantity as it was typed, `b:<tank>` what it is (mass, volume,
fill, sounding, ullage), `c:<tank>` contents, `d:<tank>` density, `w:<n>:<field>` a weight. Members of the document
that the form does not show (axes, readings taken, wind additions) are carried over from the revision it started from.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from service.wire.figures import MINUS

Row = dict[str, Any]
QUANTITIES: Final = ("fill", "volume", "mass", "sounding", "ullage")
CONTENTS: Final = (
    "fuel_oil",
    "diesel_oil",
    "lubricating_oil",
    "fresh_water",
    "ballast",
    "cargo_liquid",
    "waste",
    "other",
)
CATEGORIES: Final = (
    "cargo",
    "deck_cargo",
    "stores",
    "crew",
    "passengers",
    "constant",
    "ice",
    "other",
    "removal",
)
BASES: Final = ("by_rule", "maximum_when_slack", "as_filled")
PHASES: Final = ("departure", "arrival", "at_sea", "in_port")
MARKS: Final = ("S", "T", "F", "TF", "W", "WNA")
WEIGHT_FIELDS: Final = ("name", "category", "mass", "lcg", "vcg", "tcg")
BLANK_WEIGHTS: Final = 3
MOST_WEIGHTS: Final = 5000
_NUMBER = re.compile(r"-?([0-9]+(\.[0-9]*)?|\.[0-9]+)\Z")
_LONGEST_NUMBER: Final = 24


@dataclass
class Read:
    """What a form says: a document, and what is wrong with it by the name of the field."""

    document: Row
    wrong: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class TankLine:
    """One tank of the form, as it was typed or as the document has it."""

    tank: Row
    quantity: str
    basis: str
    contents: str
    density: str
    bases: tuple[str, ...]


def empty_document(vessel: Row) -> Row:
    """A condition with nothing aboard, in the units of the vessel's booklet."""
    return {
        "units": vessel["units"],
        "title": "",
        "water_density": 1.025,
        "free_surface": {"basis": "by_rule"},
        "tanks": [],
        "weights": [],
    }


def fields_of(document: Row, vessel: Row) -> dict[str, str]:
    """A document as the fields of the form."""
    voyage = document.get("voyage") or {}
    fields = {
        "title": document["title"],
        "water_density": as_field(document["water_density"]),
        "basis": document["free_surface"]["basis"],
        "mark": document.get("load_line_mark") or "",
        **{f"voyage.{name}": voyage.get(name) or "" for name in ("number", "from", "to", "phase")},
    }
    for line in document["tanks"]:
        tank = line["tank"]
        basis = next(name for name in QUANTITIES if line.get(name) is not None)
        fields[f"q:{tank}"], fields[f"b:{tank}"] = as_field(line[basis]), basis
        fields[f"c:{tank}"] = line.get("contents") or ""
        fields[f"d:{tank}"] = "" if line.get("density") is None else as_field(line["density"])
    for n, weight in enumerate(document["weights"]):
        for name in WEIGHT_FIELDS:
            value = weight.get(name, 0.0)
            fields[f"w:{n}:{name}"] = value if isinstance(value, str) else as_field(value)
    return fields


def tank_lines(fields: Mapping[str, str], vessel: Row) -> list[TankLine]:
    """Every tank of the vessel in ship order, forward to aft, port, centre, starboard."""
    side = {"port": 0, "centre": 1, "starboard": 2}
    forward = (vessel.get("axes") or {}).get("x_positive", "forward") == "forward"
    ordered = sorted(
        vessel["tanks"],
        key=lambda t: (round(-t["lcg"] if forward else t["lcg"], 1), side[t["side"]], t["name"]),
    )
    return [
        TankLine(
            tank,
            fields.get(f"q:{tank['id']}", ""),
            fields.get(f"b:{tank['id']}", "fill"),
            fields.get(f"c:{tank['id']}", ""),
            fields.get(f"d:{tank['id']}", ""),
            bases_of(tank),
        )
        for tank in ordered
    ]


def bases_of(tank: Row) -> tuple[str, ...]:
    """What a quantity may be typed as: soundings and ullages only where her table has them."""
    rows = (tank.get("table") or {}).get("rows") or [{}]
    return tuple(
        name for name in QUANTITIES if name in ("fill", "volume", "mass") or rows[0].get(name) is not None
    )


def weight_lines(fields: Mapping[str, str], more: int = BLANK_WEIGHTS) -> list[dict[str, str]]:
    """The weights typed so far, and some blank ones; `n` is the number of the line."""
    used = sorted({n for name in fields if (n := _weight_number(name)) is not None})
    typed = [n for n in used if any(fields.get(f"w:{n}:{f}", "") for f in WEIGHT_FIELDS if f != "category")]
    start = max(typed, default=-1) + 1
    return [
        {"n": str(n), **{f: fields.get(f"w:{n}:{f}", "") for f in WEIGHT_FIELDS}}
        for n in (*typed, *range(start, start + more))
    ]


def read(fields: Mapping[str, str], base: Row, vessel: Row) -> Read:
    """The document that the form says, on top of what `base` has beside it."""
    document = {
        name: value
        for name, value in base.items()
        if name not in ("voyage", "load_line_mark", "tanks", "weights")
    }
    found = Read(document)
    document["title"] = fields.get("title", "").strip()
    if not document["title"]:
        found.wrong["title"] = "Give the condition a title."
    document["water_density"] = _number(found, fields, "water_density", required=True)
    document["free_surface"] = {"basis": fields.get("basis", "by_rule")}
    voyage = {n: fields.get(f"voyage.{n}", "").strip() for n in ("number", "from", "to", "phase")}
    if any(voyage.values()):
        document["voyage"] = {name: text for name, text in voyage.items() if text}
    if fields.get("mark"):
        document["load_line_mark"] = fields["mark"]
    document["tanks"] = _tanks(found, fields, base, vessel)
    document["weights"] = _weights(found, fields, base)
    return found


def _tanks(found: Read, fields: Mapping[str, str], base: Row, vessel: Row) -> list[Row]:
    known = [tank["id"] for tank in vessel["tanks"]]
    before = [line["tank"] for line in base["tanks"] if line["tank"] in known]
    lines = []
    for id in (*before, *(tank for tank in known if tank not in before)):
        if not fields.get(f"q:{id}", "").strip():
            continue
        basis = fields.get(f"b:{id}", "fill")
        line: Row = {"tank": id, basis if basis in QUANTITIES else "fill": _number(found, fields, f"q:{id}")}
        if fields.get(f"c:{id}"):
            line["contents"] = fields[f"c:{id}"]
        if fields.get(f"d:{id}", "").strip():
            line["density"] = _number(found, fields, f"d:{id}")
        lines.append(line)
    return lines


def _weights(found: Read, fields: Mapping[str, str], base: Row) -> list[Row]:
    lines = []
    for typed in weight_lines(fields, more=0):
        n = typed["n"]
        weight: Row = {"name": typed["name"], "category": typed["category"] or "cargo"}
        if not weight["name"]:
            found.wrong[f"w:{n}:name"] = "Name the weight."
        for name in ("mass", "lcg", "vcg"):
            weight[name] = _number(found, fields, f"w:{n}:{name}", required=True)
        weight["tcg"] = _number(found, fields, f"w:{n}:tcg") if typed["tcg"] else 0.0
        kept = base["weights"][int(n)] if int(n) < len(base["weights"]) else {}
        if kept.get("extent") and kept.get("name") == weight["name"]:
            weight["extent"] = kept["extent"]
        lines.append(weight)
    return lines


def _number(found: Read, fields: Mapping[str, str], name: str, required: bool = False) -> float:
    text = fields.get(name, "").strip().replace(MINUS, "-").replace("\u2009", "").replace(" ", "")
    if not text:
        if required:
            found.wrong[name] = "A number is needed here."
        return 0.0
    if "," in text:
        found.wrong[name] = (
            f"Write “{text[:20]}” with a point for the decimals and nothing between thousands."
        )
        return 0.0
    if len(text) > _LONGEST_NUMBER or not _NUMBER.match(text):
        found.wrong[name] = f"“{text[:20]}” is not a number."
        return 0.0
    return float(text)


def _weight_number(name: str) -> int | None:
    parts = name.split(":")
    if len(parts) == 3 and parts[0] == "w" and parts[1].isdecimal() and len(parts[1]) < 5:
        return int(parts[1]) if int(parts[1]) < MOST_WEIGHTS else None
    return None


def as_field(value: float) -> str:
    """A number as it is typed: no more digits than it has."""
    return repr(float(value)).removesuffix(".0")


def field_of(pointer: str, document: Row) -> str | None:
    """The field of the form that a refusal's place belongs to."""
    steps = pointer.removeprefix("/condition").split("/")[1:]
    if (
        len(steps) >= 2
        and steps[0] == "tanks"
        and steps[1].isdecimal()
        and int(steps[1]) < len(document["tanks"])
    ):
        tank = document["tanks"][int(steps[1])]["tank"]
        prefix = {"contents": "c", "density": "d"}.get(steps[2] if len(steps) > 2 else "", "q")
        return f"{prefix}:{tank}"
    if len(steps) >= 2 and steps[0] == "weights" and steps[1].isdecimal():
        return f"w:{steps[1]}:{steps[2] if len(steps) > 2 else 'mass'}"
    names = {
        "title": "title",
        "water_density": "water_density",
        "load_line_mark": "mark",
        "free_surface": "basis",
    }
    return names.get(steps[0]) if steps else None
