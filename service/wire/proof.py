"""The proof of a vessel's data: her printed conditions computed again, figure by figure."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

ProofState = Literal["none", "thin", "proved", "off", "incomplete"]
FigureState = Literal["within_tolerance", "within_printing", "off", "not_computed"]

PROOF_CAUTION = (
    "A proof shows that her data give what her booklet prints for these conditions; it is no approval, and it says "
    "nothing of tables that no printed condition reaches."
)


class ProvedFigure(TypedDict):
    """One printed figure beside the computed one, in the units and axes of the vessel document."""

    figure: str
    place: Annotated[str, Field(description="JSON pointer (RFC 6901) into the vessel document")]
    title: Annotated[str, Field(description="Name of the figure for people.")]
    printed: float
    computed: float | None
    deviation: Annotated[float | None, Field(description="Computed less printed.")]
    allowed: Annotated[float | None, Field(description="How far it may deviate.")]
    share: Annotated[float | None, Field(description="Deviation as a share of what is allowed.")]
    source: Annotated[str, Field(description="Where the tolerance comes from.")]
    state: Annotated[
        FigureState,
        Field(
            description="`within_printing`: beyond the tolerance, but within half a unit of the last digit the booklet "
            "prints of this figure."
        ),
    ]


class ProvedCondition(TypedDict):
    """One printed condition computed again."""

    name: str
    page: str | None
    state: Literal["proved", "off", "incomplete"]
    figures: list[ProvedFigure]
    why: Annotated[list[str], Field(description="What keeps it from being proved, in words.")]


class ProofCoverage(TypedDict):
    """What the printed conditions reach, and what no printed condition proves."""

    tanks_never_loaded: list[str]
    displacements: Annotated[list[float], Field(description="Least and greatest; empty without conditions.")]
    drafts: Annotated[list[float], Field(description="Least and greatest draft amidships.")]
    trims: Annotated[list[float], Field(description="Least and greatest, by the stern.")]
    phases: list[str]
    cross_curve_rows: Annotated[
        str | None,
        Field(
            description="Rows of the cross curves beside which a printed condition lies, such as `6 of 15`."
        ),
    ]


class Proof(TypedDict):
    """Her printed conditions computed again from her data."""

    vessel: str | None
    revision: int | None
    state: Annotated[
        ProofState,
        Field(
            description="`none`: no printed conditions. `off`: a figure contradicts its printed one. `incomplete`: "
            "some could not be computed. `thin`: fewer than four conditions (IACS UR L5)."
        ),
    ]
    words: str
    figures: Annotated[int, Field(description="Printed figures that were compared.")]
    off: Annotated[int, Field(description="Figures that contradict their printed ones.")]
    conditions: list[ProvedCondition]
    coverage: ProofCoverage
    calculation_version: str
    caution: str


class ProofSummary(TypedDict):
    """What every answer says of the proof of its vessel's data."""

    state: ProofState
    conditions: Annotated[int, Field(description="Printed conditions.")]
