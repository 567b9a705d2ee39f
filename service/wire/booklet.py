"""What was read of a workbook: a booklet or a condition, with everything that is wrong and what it changes."""

from typing import Annotated, Any, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.proof import Proof
from service.wire.vessel_record import DocumentChange

MAX_PROBLEMS = 500


class SheetRead(TypedDict):
    """One sheet that was read."""

    name: Annotated[str, Field(description="Its name in the file.")]
    sheet: Annotated[str, Field(description="Which sheet of a booklet it is.")]
    lines: int
    figures: int
    problems: int


class CellProblem(TypedDict):
    """One cell, line or sheet of a workbook, and what is wrong with it or worth saying about it."""

    sheet: Annotated[str, Field(description="Name of the sheet in the file; empty for the file as a whole.")]
    row: Annotated[int | None, Field(description="From 1; null where no row is meant.")]
    column: Annotated[str | None, Field(description="Letter of the column; null where none is meant.")]
    heading: str
    value: Annotated[str, Field(description="What stands there, shortened.")]
    code: str
    message: Annotated[str, Field(description="The whole sentence, with the place in it.")]
    pointer: Annotated[
        str | None, Field(description="JSON pointer (RFC 6901) into the document; null where there is none.")
    ]


class BookletDoubt(TypedDict):
    """A place to look up in the printed booklet again, and the cell it was read from."""

    code: str
    path: str
    found: float | None
    expected: float | None
    message: str
    cell: Annotated[str | None, Field(description="Where it was read, such as Hydrostatics!B5.")]


class BookletReading(TypedDict):
    """A booklet as it was read. Nothing is kept by reading it."""

    kind: Annotated[
        Literal["whole", "part"], Field(description="`part`: only the sheets that are in it change anything.")
    ]
    can_be_kept: bool
    document_digest: Annotated[str | None, Field(description="SHA-256 of the document's RFC 8785 form.")]
    same_as_revision: Annotated[
        int | None, Field(description="The kept revision that holds the same; null where it differs.")
    ]
    sheets: list[SheetRead]
    problems: Annotated[list[CellProblem], Field(description="At most 500.")]
    problems_not_listed: int
    notes: list[CellProblem]
    changes: Annotated[
        list[DocumentChange], Field(description="Against the kept revision; empty for a new ship.")
    ]
    changes_truncated: bool
    removed: Annotated[
        list[str],
        Field(
            description="Tanks, holds and openings that would be gone: to be confirmed with `confirm=removed`."
        ),
    ]
    doubts: list[BookletDoubt]
    proof: Proof | None
    document: Annotated[
        dict[str, Any] | None, Field(description="As far as it could be read; null where nothing could.")
    ]


class ConditionReading(TypedDict):
    """A condition as it was read from the mate's sheet, with its assessment where it can be judged."""

    can_be_kept: bool
    sheets: list[SheetRead]
    problems: list[CellProblem]
    problems_not_listed: int
    notes: list[CellProblem]
    document: dict[str, Any] | None
    assessment: dict[str, Any] | None
