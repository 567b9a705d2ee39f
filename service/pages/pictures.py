"""Which picture a criterion stands under, by the key of what it measures, and its short name there.

A key says what is measured, the same in every document: no words are read here.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from service.wire.assessment import Assessment, Criterion

GM, FLOATS, LEVER, WIND, HEELS, STRENGTH, VIEWS = (
    "gm",
    "floats",
    "lever",
    "wind",
    "heels",
    "strength",
    "views",
)
PICTURES: Final = (GM, FLOATS, LEVER, WIND, HEELS, STRENGTH, VIEWS)
OWN_CURVES: Final = "vessel-gm-limits"
LOAD_LINES: Final = "load-lines"
AFLOAT: Final = "afloat"


@dataclass(frozen=True)
class Measured:
    """Where a measured quantity is shown and what it is called in a list of criteria."""

    picture: str
    name: str


MEASURED: Final[Mapping[str, Measured]] = {
    "gm": Measured(GM, "GM, free surface taken off"),
    "gm_corrected": Measured(GM, "GM"),
    "positive_gm": Measured(GM, "GM above zero"),
    "vcg": Measured(GM, "KG against her own curve"),
    "draft_midship": Measured(FLOATS, "Draft amidships"),
    "draft_low_side": Measured(FLOATS, "Draft on the low side"),
    "draft_forward": Measured(FLOATS, "Draft forward"),
    "draft_aft": Measured(FLOATS, "Draft aft"),
    "draft_greatest": Measured(FLOATS, "Greatest draft"),
    "trim": Measured(FLOATS, "Trim"),
    "list": Measured(FLOATS, "List"),
    "displacement": Measured(FLOATS, "Displacement"),
    "equilibrium": Measured(FLOATS, "She comes to rest"),
    "opening_height": Measured(FLOATS, "Lowest opening above the water"),
    "freeboard_least": Measured(FLOATS, "Least freeboard"),
    "stern_freeboard": Measured(FLOATS, "Freeboard at the stern"),
    "lifting_freeboard": Measured(FLOATS, "Freeboard while lifting"),
    "ballast_draft_midship": Measured(FLOATS, "Draft amidships in ballast"),
    "ballast_trim": Measured(FLOATS, "Trim in ballast"),
    "propeller_immersion": Measured(VIEWS, "Propeller immersion"),
    "air_draft": Measured(VIEWS, "Air draft"),
    "hidden_sea": Measured(VIEWS, "Sea hidden ahead"),
    "area_to_30": Measured(LEVER, "Area to 30°"),
    "area_to_40": Measured(LEVER, "Area to 40°, or to flooding"),
    "area_30_to_40": Measured(LEVER, "Area from 30° to 40°"),
    "area_to_least_angle": Measured(LEVER, "Area to the least of the angles named"),
    "area_to_maximum": Measured(LEVER, "Area to the greatest lever"),
    "total_area": Measured(LEVER, "Area to flooding"),
    "greatest_lever": Measured(LEVER, "Greatest lever"),
    "greatest_lever_from_30": Measured(LEVER, "Greatest lever at 30° or more"),
    "angle_of_maximum": Measured(LEVER, "Angle of the greatest lever"),
    "positive_range": Measured(LEVER, "Range of positive levers"),
    "down_flooding": Measured(LEVER, "Down-flooding angle"),
    "steady_wind_angle": Measured(WIND, "Heel under steady wind"),
    "weather_areas": Measured(WIND, "Area b against area a"),
    "wind_heel": Measured(WIND, "Heel under wind"),
    "grain_heel": Measured(HEELS, "Heel when grain shifts"),
    "grain_residual_area": Measured(HEELS, "Area left when grain shifts"),
    "crowding_heel": Measured(HEELS, "Heel when passengers crowd to one side"),
    "turning_heel": Measured(HEELS, "Heel in a turn"),
    "lifting_heel": Measured(HEELS, "Heel under the load"),
    "loss_of_load": Measured(HEELS, "Areas when the load is lost"),
    "escort_heel": Measured(HEELS, "Heel under escort"),
    "escort_areas": Measured(HEELS, "Areas under escort, whole curve"),
    "escort_areas_to_20": Measured(HEELS, "Areas under escort, to 20°"),
    "self_tripping_areas": Measured(HEELS, "Areas when she trips herself"),
    "tow_tripping_angle": Measured(HEELS, "Heel when the tow trips her"),
    "towing_residual_area": Measured(HEELS, "Area left under the towline"),
    "shear_force": Measured(STRENGTH, "Shear force at the read-out points"),
    "bending_moment": Measured(STRENGTH, "Bending moment at the read-out points"),
    "between_stations": Measured(STRENGTH, "The greatest between them"),
    "hold_mass": Measured(STRENGTH, "Mass in a hold"),
}
"""Every key of the rule documents; a test walks the catalogue."""

NO_BREAK: Final = "\u00a0"
_BEFORE_NUMBER: Final = re.compile(r" (?=[^ ]*[0-9])")

_NAMES_BY_SET: Final[Mapping[tuple[str, str], str]] = {
    (OWN_CURVES, "gm"): "GM against her own curve",
    ("46-cfr-170.170", "gm"): "GM against beam wind",
}


def picture_of(criterion: Criterion) -> str:
    """The picture a criterion stands under; the levers for a key that is not known."""
    known = MEASURED.get(criterion["key"])
    return LEVER if known is None else known.picture


def short_name(criterion: Criterion) -> str:
    """What a criterion is called where its picture stands beside it; its title where no shorter name is known."""
    own = _NAMES_BY_SET.get((criterion["rule_set"], criterion["key"]))
    if own is not None:
        return own
    known = MEASURED.get(criterion["key"])
    return criterion["title"] if known is None else known.name


def clause_of(criterion: Criterion) -> str:
    """Its clause, as it stands behind the name; empty for what no document asks."""
    if criterion["rule_set"] == AFLOAT:
        return ""
    return "her booklet" if criterion["rule_set"] == OWN_CURVES else unbroken(criterion["clause"])


def unbroken(clause: str) -> str:
    """A clause with a space that does not break before its number, so that no line parts the two."""
    return _BEFORE_NUMBER.sub(NO_BREAK, clause)


def criterion_named(answer: Assessment, id: str) -> str:
    """A criterion of the answer as people say it, with its clause; its id where the answer has no such criterion."""
    row = next((c for c in answer["criteria"] if c["id"] == id), None)
    if row is None:
        return id
    clause = clause_of(row)
    return f"{short_name(row)}, {clause}" if clause else short_name(row)


def under(answer: Assessment, picture: str) -> list[Criterion]:
    """The criteria of a picture: those that count and fail first, then what was not decided, then the rest in the order
    of the answer; what does not apply last."""
    rank = {"fail": 0, "not_computable": 1, "outside_validity": 1, "pass": 2, "not_applicable": 4}
    found = [c for c in answer["criteria"] if picture_of(c) == picture]
    return sorted(found, key=lambda c: rank[c["verdict"]] if c["counts"] else 3)
