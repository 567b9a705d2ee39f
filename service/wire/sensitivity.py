"""What a little more or less aboard does: the question and its answer."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field
from typing_extensions import TypedDict

from service.wire.assessment import UnitNames, VesselReference
from service.wire.condition import Condition
from service.wire.fields import Document, Name, Note, TankId, VesselId, exactly_one_of
from service.wire.quantity import Mass, OptionalDegrees, OptionalFigure, OptionalLength
from service.wire.record import Verdict
from service.wire.vessel import Vessel

MAX_TANKS_ASKED, MAX_WEIGHTS_ASKED, MAX_CRITERIA_ASKED = 100, 50, 200


class SensitivitiesQuestion(Document):
    """A condition, and what of it is asked for."""

    condition: Condition = Field(description="What is aboard.")
    tanks: list[TankId] | None = Field(
        default=None,
        min_length=1,
        max_length=MAX_TANKS_ASKED,
        description=f"Tanks to look at, aboard or empty; all of hers when absent, at most {MAX_TANKS_ASKED}.",
        examples=[["DB2P", "DB2S"]],
    )
    weights: list[Name] | None = Field(
        default=None,
        max_length=MAX_WEIGHTS_ASKED,
        description="Names of weights to look at; none when absent.",
        examples=[["Steel coils, hold 1"]],
    )
    criteria: list[Note] | None = Field(
        default=None,
        min_length=1,
        max_length=MAX_CRITERIA_ASKED,
        description="Ids of criteria whose margins are asked for; all that are judged when absent.",
        examples=[["is-code-2008-a-2.2.4"]],
    )


class SensitivitiesRequest(SensitivitiesQuestion):
    """A vessel, either her document or the id of a stored one, and the question."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("vessel", "vessel_id"))

    vessel: Vessel | None = Field(default=None, description="The vessel document. Give this or `vessel_id`.")
    vessel_id: VesselId | None = Field(default=None, description="Id of a stored vessel.")
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of that vessel; the latest when absent."
    )


Margins = Annotated[
    dict[str, float | None],
    Field(description="By id of the criterion, in the unit that `gains` names; null where it is not judged."),
]


class Effect(TypedDict):
    """Changes of the figures for one t or LT more (of a height: for one m or ft higher); null where not known."""

    gm_corrected: OptionalLength
    list: OptionalDegrees
    trim: OptionalLength
    draft_at_lcf: OptionalLength
    draft_forward: OptionalLength
    draft_midship: OptionalLength
    draft_aft: OptionalLength
    margins: Margins


class FailingThen(TypedDict):
    """A criterion that fails after a move, whichever criteria were asked for. `margin`: what is short or too much, with
    a minus, in its own unit; null where no figure could be had."""

    criterion: str
    title: str
    margin: OptionalFigure
    unit: str


class Jump(TypedDict):
    """The whole change when a tank is pressed up (to 100 %) or emptied, the jump of its free surface in it."""

    mass_change: Mass
    gm_corrected: OptionalLength
    list: OptionalDegrees
    margins: Margins
    verdict: Verdict
    failing: Annotated[
        list[FailingThen],
        Field(description="The criteria that count and fail then; empty unless the verdict is fail."),
    ]


class TankSensitivity(Effect):
    """One tank, per t or LT more in it over a difference of `step`. `kink`: a free surface appears or goes within a
    step; the effect is that on the side away from it, of an empty tank that of what follows once she is slack."""

    tank: str
    name: str
    mass: Mass
    state: Literal["empty", "slack", "at_limit", "pressed_up", "overfull"]
    step: Mass
    kink: bool
    press_up: Jump | None
    empty: Jump | None


class WeightSensitivity(TypedDict):
    """One weight: per t or LT more of it, and per m or ft that it is stowed higher."""

    weight: str
    mass: Mass
    per_mass: Effect
    per_height: Effect


class TankGain(TypedDict):
    """The move of a tank that gains most of a margin for what is moved: `per_mass` for each t or LT. `press_up` and
    `empty` are whole moves, with their mass and the whole change."""

    tank: str
    move: Literal["add", "take", "press_up", "empty"]
    per_mass: float
    mass_change: float | None
    change: float | None


class Gains(TypedDict):
    """The best three tanks for one criterion, best first; in the unit of the criterion."""

    criterion: str
    title: str
    unit: str
    margin: OptionalFigure
    tanks: list[TankGain]


class Sensitivities(TypedDict):
    """What a change of each tank and weight does to a condition. The margins are those of the criteria in `gains`."""

    units: UnitNames
    tanks: list[TankSensitivity]
    weights: list[WeightSensitivity]
    gains: list[Gains]
    verdict: Verdict
    gm_corrected: OptionalLength
    draft_at_lcf: OptionalLength
    method: str
    vessel: VesselReference
    calculation_version: str
    caution: str
