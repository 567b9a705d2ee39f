"""Lines of the answer to a stream of documents."""

from typing import Annotated, Literal, final

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.problem import Problem


@final
class LineProblem(Problem):
    """Why one line of a stream was refused."""

    line: Annotated[int, Field(description="Number of the line, from 1.")]


class StreamEnd(TypedDict):
    """The last line of an answer: without it the answer was cut off."""

    type: Literal["end"]
    count: Annotated[int, Field(description="How many lines were answered.")]
    failed: Annotated[int, Field(description="How many of them were refused.")]
    complete: Annotated[bool, Field(description="Whether every line that was sent was answered.")]
