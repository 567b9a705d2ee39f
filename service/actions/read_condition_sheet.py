"""Read a condition from the sheet a mate filled in: the document, everything that is wrong, and its assessment."""

from typing import Any

import orjson
from pydantic import ValidationError

from service.actions.assess import Assessor
from service.actions.cell_problems import add_errors, problem_rows, sheets_read
from service.imports.condition_sheets import keep_what_the_file_leaves_out
from service.imports.reader import Reading, read_condition
from service.wire.booklet import MAX_PROBLEMS, ConditionReading
from service.wire.condition import Condition
from service.wire.parse import UnreadableJson
from service.wire.problem import ProblemError, errors_of
from service.wire.refusal import Refusal

Document = dict[str, Any]


def read_condition_sheet(
    data: bytes,
    assessor: Assessor,
    vessel: dict[str, Any],
    units: str,
    axes: dict[str, str] | None,
    stored: Document | None = None,
) -> tuple[ConditionReading, Reading]:
    """A condition as it was read, judged where it can be. `vessel`: members of a request that name her, `units` and
    `axes`: hers, `stored`: the condition it replaces, of which stays what the file has no sheet for."""
    reading = read_condition(data, units, axes)
    document, assessment = reading.document, None
    if document is not None:
        if stored is not None:
            keep_what_the_file_leaves_out(document, stored, reading.found)
        assessment = _judged(reading, assessor, vessel, document)
    found: ConditionReading = {
        "can_be_kept": assessment is not None and not reading.problems,
        "sheets": sheets_read(reading),
        "problems": problem_rows(reading.problems),
        "problems_not_listed": max(0, len(reading.problems) - MAX_PROBLEMS),
        "notes": problem_rows(reading.notes),
        "document": document,
        "assessment": assessment,
    }
    return found, reading


def condition_in_sheet(data: bytes, units: str = "metric") -> bytes:
    """The condition a filled sheet holds, as JSON; `units` where the sheet says none.

    Raises UnreadableJson with the first problems where it cannot be read."""
    reading = read_condition(data, units)
    if reading.document is None or reading.problems:
        told = " ".join(problem.message for problem in reading.problems[:3])
        raise UnreadableJson("booklet_not_readable", told)
    return orjson.dumps(reading.document)


def _judged(
    reading: Reading, assessor: Assessor, vessel: dict[str, Any], document: Document
) -> Document | None:
    try:
        Condition.model_validate(document)
    except ValidationError as invalid:
        add_errors(reading, errors_of(invalid, (), 10 * MAX_PROBLEMS))
        return None
    try:
        answer = assessor.assessment({**vessel, "condition": document})
    except Refusal as refusal:
        if not refusal.errors:
            raise
        add_errors(reading, [_of_the_condition(error) for error in refusal.errors])
        return None
    add_errors(reading, ())
    return answer


def _of_the_condition(error: ProblemError) -> ProblemError:
    return {**error, "pointer": error["pointer"].removeprefix("/condition")}
