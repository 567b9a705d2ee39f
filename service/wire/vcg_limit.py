"""Greatest VCG and least GM over drafts and trims: the question and its answer."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field
from typing_extensions import TypedDict

from service.wire.assessment import RuleSetEdition, UnitNames, VesselReference
from service.wire.condition import WindAddition
from service.wire.fields import (
    MAX_SMALL_LIST,
    Density,
    Document,
    Length,
    LoadLineMark,
    Position,
    RuleSetName,
    UnitSystem,
    VesselId,
    exactly_one_of,
)
from service.wire.quantity import Length as LengthFigure
from service.wire.quantity import Mass, OptionalLength
from service.wire.vessel import Vessel

MAX_DRAFTS, MAX_TRIMS = 60, 10


class VcgLimitsQuestion(Document):
    """Drafts and trims at which the greatest VCG is asked for."""

    units: UnitSystem = Field(
        description="System of every number here and in the answer.", examples=["metric"]
    )
    drafts: list[Length] = Field(
        min_length=1,
        max_length=MAX_DRAFTS,
        description="Moulded drafts amidships; m or ft.",
        examples=[[4.0, 6.0]],
    )
    trims: list[Position] = Field(
        default=[0.0],
        min_length=1,
        max_length=MAX_TRIMS,
        description="Trims, positive by the stern; m or ft.",
        examples=[[0.0]],
    )
    water_density: Density = Field(description="t/m³ in both systems.", examples=[1.025])
    rule_sets: list[RuleSetName] | None = Field(
        default=None,
        min_length=1,
        max_length=MAX_SMALL_LIST,
        description="Rule sets to find the limits by, instead of the vessel's own.",
        examples=[["is-code-2008-a-2.2"]],
    )
    wind_additions: list[WindAddition] | None = Field(
        default=None, max_length=MAX_SMALL_LIST, description="Lateral areas beside her wind profile."
    )
    load_line_mark: LoadLineMark | None = Field(
        default=None, description="Mark in force, for rules that read it; load lines are not judged here."
    )
    free_surface: Literal["none"] = Field(
        default="none", description="VCG here is that of the fluid: the correction is in it."
    )


class VcgLimitsRequest(VcgLimitsQuestion):
    """A vessel, either her document or the id of one the service holds, and the drafts and trims asked for."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("vessel", "vessel_id"))

    vessel: Vessel | None = Field(default=None, description="The vessel document. Give this or `vessel_id`.")
    vessel_id: VesselId | None = Field(default=None, description="Id of a vessel that the service holds.")
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of that vessel; the latest when absent."
    )


class VcgCriterion(TypedDict):
    """One criterion by itself. It holds from `lowest_vcg` (0 unless it fails at a small VCG) to `max_vcg`, null
    unless found."""

    id: str
    rule_set: str
    title: str
    max_vcg: OptionalLength
    min_gm: OptionalLength
    lowest_vcg: LengthFigure
    status: Literal["found", "holds_throughout", "fails_throughout", "not_computable"]
    reason: str | None


class VcgRow(TypedDict):
    """One draft and trim. `max_vcg` is null where no criterion limits her, where none is low enough, or where a
    criterion cannot be judged; `governing` is the criterion that decides."""

    draft: LengthFigure
    trim: LengthFigure
    displacement: Mass
    km: LengthFigure
    max_vcg: OptionalLength
    min_gm: OptionalLength
    governing: str | None
    criteria: list[VcgCriterion]


class VcgEnvelope(TypedDict):
    """The least of a draft over the trims; null where that of a trim is not known."""

    draft: LengthFigure
    max_vcg: OptionalLength
    trim: OptionalLength
    governing: str | None


class VcgProvenance(TypedDict):
    """What made this answer."""

    calculation_version: str
    vessel: VesselReference
    rule_sets: list[RuleSetEdition]


class VcgLimits(TypedDict):
    """Greatest VCG of the fluid, with her weight amidships, by draft and trim; drafts first, trims within."""

    units: UnitNames
    rows: list[VcgRow]
    envelope: list[VcgEnvelope]
    provenance: VcgProvenance
    caution: str
