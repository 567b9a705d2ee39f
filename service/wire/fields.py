"""The constrained types the request documents are built from.

Every dimensioned type carries `x-units`, so that the published schema names its unit in both systems. Bounds
keep out what no ship can have and what would overflow later sums; they hold in both systems, so they are
generous. Only constraints that the compiled validator checks by itself are used: a Python function per field
would cost more than the whole calculation of a condition.
"""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, JsonValue

# C0 and C1 controls, line and paragraph separators, zero-width marks and the bidirectional controls (Unicode
# Standard Annex 9): a name with one of them can be shown as something it is not.
_HIDDEN = r"\x00-\x1f\x7f-\x9f\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
NAME_PATTERN = f"^[^{_HIDDEN}]*$"
TANK_ID_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9 ._/-]{0,63}$"
VESSEL_ID_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$"
RULE_SET_PATTERN = r"^[a-z0-9][a-z0-9.-]{0,63}$"
CHOSEN_ID_PATTERN = r"^[a-z0-9][a-z0-9-]{0,63}$"
DATE_PATTERN = r"^[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?$"
IMO_NUMBER_PATTERN = r"^[0-9]{7}$"

MAX_TANKS = 500
MAX_WEIGHTS = 5000
MAX_ROWS = 2000
MAX_HEELS = 200
MAX_TRIMS = 50
MAX_SMALL_LIST = 200
MAX_REASON = 500


def _units(metric: str, us: str | None = None) -> dict[str, dict[str, str]]:
    return {"x-units": {"metric": metric, "us": us or metric}}


def exactly_one_of(*members: str) -> dict[str, JsonValue]:
    """For the published schema: one of these members is given, and no other of them.

    Said by conditions, as generators of clients lose the type of an object beside `oneOf`. Checked, like every rule
    about more than one member, where the document is prepared for calculation."""
    first, *others = members
    given: dict[str, JsonValue] = {"required": [first]}
    if not others:
        return given
    none_besides: JsonValue = {"not": {"anyOf": [{"required": [member]} for member in others]}}
    return {"if": given, "then": none_besides, "else": exactly_one_of(*others)}


class Document(BaseModel):
    """Base of every request document: strict types, no unknown fields, finite numbers, immutable."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


UnitSystem = Literal["metric", "us"]
Name = Annotated[str, Field(min_length=1, max_length=200, pattern=NAME_PATTERN)]
Note = Annotated[str, Field(max_length=200, pattern=NAME_PATTERN)]
Reason = Annotated[str, Field(max_length=MAX_REASON, pattern=NAME_PATTERN)]
TankId = Annotated[str, Field(pattern=TANK_ID_PATTERN)]
VesselId = Annotated[str, Field(pattern=VESSEL_ID_PATTERN)]
ChosenId = Annotated[str, Field(pattern=CHOSEN_ID_PATTERN)]
Reference = Annotated[str, Field(min_length=1, max_length=100, pattern=NAME_PATTERN)]
ImoNumber = Annotated[str, Field(pattern=IMO_NUMBER_PATTERN)]
RuleSetName = Annotated[str, Field(pattern=RULE_SET_PATTERN)]

Length = Annotated[float, Field(gt=0, le=5000, json_schema_extra=_units("m", "ft"))]
NonNegativeLength = Annotated[float, Field(ge=0, le=5000, json_schema_extra=_units("m", "ft"))]
Position = Annotated[float, Field(ge=-5000, le=5000, json_schema_extra=_units("m", "ft"))]
Mass = Annotated[float, Field(ge=0, le=1e7, json_schema_extra=_units("t", "LT"))]
PositiveMass = Annotated[float, Field(gt=0, le=1e7, json_schema_extra=_units("t", "LT"))]
SignedMass = Annotated[float, Field(ge=-1e7, le=1e7, json_schema_extra=_units("t", "LT"))]
Volume = Annotated[float, Field(ge=0, le=1e9, json_schema_extra=_units("m³", "ft³"))]
PositiveVolume = Annotated[float, Field(gt=0, le=1e9, json_schema_extra=_units("m³", "ft³"))]
Area = Annotated[float, Field(ge=0, le=1e7, json_schema_extra=_units("m²", "ft²"))]
SecondMoment = Annotated[float, Field(ge=0, le=1e12, json_schema_extra=_units("m⁴", "ft⁴"))]
VolumeMoment = Annotated[float, Field(ge=-1e12, le=1e12, json_schema_extra=_units("m⁴", "ft⁴"))]
HeelingMoment = Annotated[float, Field(ge=0, le=1e12, json_schema_extra=_units("m⁴", "ft⁴"))]
MassMoment = Annotated[float, Field(ge=0, le=1e12, json_schema_extra=_units("t·m", "ft·LT"))]
MassPerLength = Annotated[float, Field(ge=0, le=1e6, json_schema_extra=_units("t/m", "LT/ft"))]
StowageFactor = Annotated[float, Field(ge=0.1, le=1000, json_schema_extra=_units("m³/t", "ft³/LT"))]
Immersion = Annotated[float, Field(gt=0, le=1e5, json_schema_extra=_units("t/cm", "LT/in"))]
TrimMoment = Annotated[float, Field(gt=0, le=1e8, json_schema_extra=_units("t·m/cm", "ft·LT/in"))]
Density = Annotated[float, Field(ge=0.5, le=2.0, json_schema_extra=_units("t/m³"))]
Percent = Annotated[float, Field(ge=0, le=1000, json_schema_extra=_units("%"))]
LimitPercent = Annotated[float, Field(gt=0, le=100, json_schema_extra=_units("%"))]
LeverArea = Annotated[float, Field(ge=-5000, le=5000, json_schema_extra=_units("m·rad", "ft·rad"))]
Angle = Annotated[float, Field(ge=-180, le=180, json_schema_extra=_units("degree"))]
HeelAngle = Annotated[float, Field(ge=0, le=90, json_schema_extra=_units("degree"))]
Knots = Annotated[float, Field(ge=0, le=100, json_schema_extra=_units("kn"))]
Seconds = Annotated[float, Field(gt=0, le=1000, json_schema_extra=_units("s"))]
Coefficient = Annotated[float, Field(gt=0, le=1)]
LoadLineMark = Literal["S", "T", "F", "TF", "W", "WNA", "LS", "LT", "LW", "LWNA", "LF", "LTF"]
Contents = Literal[
    "fuel_oil",
    "diesel_oil",
    "lubricating_oil",
    "fresh_water",
    "ballast",
    "cargo_liquid",
    "waste",
    "other",
]
"""Contents groups. Fuel, diesel and lubricating oil and fresh water are consumables."""


class Axes(Document):
    """How a document's positions are typed in; the service converts them to its own axes."""

    x_origin: Literal["aft_perpendicular", "midship", "forward_perpendicular"] = Field(
        description="Where x is zero. Midship is halfway between the perpendiculars.",
        examples=["aft_perpendicular"],
    )
    x_positive: Literal["forward", "aft"] = Field(
        description="Direction in which x grows.", examples=["forward"]
    )
    y_positive: Literal["port", "starboard"] = Field(
        description="Side on which y is positive.", examples=["port"]
    )


class Extent(Document):
    """Fore and aft ends of a space or a weight."""

    x_from: Position = Field(
        description="One end, from the x origin; m or ft, signed as the axes say.", examples=[22.4]
    )
    x_to: Position = Field(description="The other end, from the x origin; m or ft.", examples=[31.6])
