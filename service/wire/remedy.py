"""What would help: targets for a condition, and fillings of tanks at which they hold."""

from typing import Annotated, Any, Literal, NotRequired

from pydantic import ConfigDict, Field
from typing_extensions import TypedDict

from service.wire.assessment import Assessment, UnitNames, VesselReference
from service.wire.condition import Condition
from service.wire.fields import (
    MAX_SMALL_LIST,
    Contents,
    Document,
    LimitPercent,
    Note,
    Percent,
    TankId,
    VesselId,
    exactly_one_of,
)
from service.wire.limit import BOUND_UNITS, Bound, LimitedQuantity
from service.wire.quantity import Mass, OptionalDegrees, OptionalLength
from service.wire.record import Verdict
from service.wire.sensitivity import MAX_TANKS_ASKED
from service.wire.vessel import Vessel

MAX_TARGETS, MAX_REMEDIES, MAX_SLACK = 30, 10, 500
TargetTolerance = Annotated[float, Field(ge=0, le=1e6, json_schema_extra=BOUND_UNITS)]


class Target(Document):
    """A figure that has to hold: exactly one of equal, at_least and at_most."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("equal", "at_least", "at_most"))

    quantity: Literal[LimitedQuantity, "margin"] = Field(
        description="The figure. `list`: signed where it has to be `equal`, else to either side. "
        "`propeller_immersion`: percent of the diameter. `margin`: that of `criterion`.",
        examples=["trim"],
    )
    criterion: Note | None = Field(default=None, description="Id of the criterion, with `margin` only.")
    equal: Bound | None = Field(
        default=None, description="m, t, degrees, percent or ft, LT; a margin in the unit of its criterion."
    )
    at_least: Bound | None = Field(default=None, description="In the same unit.")
    at_most: Bound | None = Field(default=None, description="In the same unit.")
    tolerance: TargetTolerance | None = Field(
        default=None,
        description="How far it may miss; in the same unit. Absent: nothing for a limit, for `equal` 0.005 m of a "
        "length, 0.05 degree, 1 t, 0.1 percent, a thousandth of another unit.",
    )


class FillLimit(Document):
    """Between which percent of its capacity a tank may be filled."""

    tank: TankId = Field(description="Id of the tank.", examples=["DB2P"])
    least: Percent = Field(default=0.0, description="Percent of capacity.", examples=[10.0])
    most: LimitPercent = Field(default=100.0, description="Percent of capacity.", examples=[95.0])


class RemediesQuestion(Document):
    """A condition, what has to hold, and what may be changed."""

    condition: Condition = Field(description="What is aboard.")
    mode: Literal["single", "shift"] = Field(
        description="`single`: for each tank the least change that does, nothing else moved. `shift`: the least mass "
        "moved among the tanks.",
        examples=["single"],
    )
    tanks: list[TankId] | None = Field(
        default=None,
        min_length=1,
        max_length=MAX_TANKS_ASKED,
        description="Tanks that may change; every ballast tank when absent.",
    )
    conserve: list[Contents] | None = Field(
        default=None,
        max_length=MAX_SMALL_LIST,
        description="Contents that are only shifted among the tanks, never taken on or pumped out; all but ballast "
        "when absent.",
    )
    fill_limits: list[FillLimit] | None = Field(
        default=None, max_length=MAX_TANKS_ASKED, description="Limits of the fillings that may be proposed."
    )
    targets: list[Target] | None = Field(
        default=None, max_length=MAX_TARGETS, description="What has to hold beside the criteria."
    )
    ignore_criteria: bool = Field(
        default=False,
        description="`true`: the criteria that bind her are no targets; the answer says so first.",
    )
    count: Annotated[int, Field(ge=1, le=MAX_REMEDIES)] = Field(
        default=MAX_REMEDIES, description="Most remedies of mode `single` in the answer."
    )
    most_slack_tanks: Annotated[int, Field(ge=0, le=MAX_SLACK)] | None = Field(
        default=None, description="How many tanks may be slack afterwards, all of hers counted."
    )


class RemediesRequest(RemediesQuestion):
    """A vessel, either her document or the id of a stored one, and the question."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("vessel", "vessel_id"))

    vessel: Vessel | None = Field(default=None, description="The vessel document. Give this or `vessel_id`.")
    vessel_id: VesselId | None = Field(default=None, description="Id of a stored vessel.")
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of that vessel; the latest when absent."
    )


class OnTheWay(TypedDict):
    """The state of least GM that is passed while the tanks change; `at_mass`: what is in the tank then, in mode `shift`
    what has been moved."""

    gm_corrected: OptionalLength
    list: OptionalDegrees
    at_mass: Mass


class Worst(TypedDict):
    """The target or criterion nearest to its limit, or farthest beyond it (negative)."""

    pointer: Annotated[str, Field(description="`targets/<place>` or `criteria/<id>`.")]
    margin: float | None
    unit: str


class Remedy(TypedDict):
    """One tank changed, and the whole assessment of the condition then."""

    tank: str
    name: str
    mass_from: Mass
    mass_to: Mass
    moved: Mass
    verdict: Verdict
    on_the_way: OnTheWay
    worst: Worst | None
    condition: Annotated[dict[str, Any], Field(description="The condition document to review.")]
    assessment: Assessment


TankShift = TypedDict("TankShift", {"tank": str, "name": str, "from": Mass, "to": Mass, "mass": Mass})
"""One tank of a shift: the mass in it before and after, and the difference."""


class Remedies(TypedDict):
    """What would help. Nothing is saved: `condition` is a document to review.

    Mode `single`: `remedies` by mass moved; where there is none, `closest` is what comes nearest. Mode `shift`:
    `outcome`; solved: `moved`, `changes`, `condition` and `assessment`; conflict: the targets, criteria and limits that
    cannot hold together, none of which can be left out (`conflict`), and the least by which each target would have to
    give way (`relaxed`)."""

    criteria_ignored: bool
    mode: Literal["single", "shift"]
    units: UnitNames
    not_checked: Annotated[
        list[str], Field(description="Criteria that could not be judged before: no targets.")
    ]
    remedies: NotRequired[list[Remedy]]
    closest: NotRequired[Remedy | None]
    outcome: NotRequired[Literal["solved", "conflict", "not_found"]]
    rounds: NotRequired[int]
    moved: NotRequired[Mass | None]
    changes: NotRequired[list[TankShift]]
    on_the_way: NotRequired[OnTheWay | None]
    worst: NotRequired[Worst | None]
    condition: NotRequired[dict[str, Any] | None]
    assessment: NotRequired[Assessment | None]
    conflict: NotRequired[list[str]]
    relaxed: NotRequired[dict[str, float]]
    method: str
    vessel: VesselReference
    calculation_version: str
    caution: str
