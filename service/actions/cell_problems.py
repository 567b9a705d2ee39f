"""What the checks of documents find, taken back to the cells of a workbook."""

from collections.abc import Iterable, Sequence
from functools import cached_property

from service.imports.problems import Place, Problem, sentence
from service.imports.reader import Reading
from service.wire.booklet import MAX_PROBLEMS, CellProblem, SheetRead
from service.wire.place_in_words import error_in_words
from service.wire.pointer import pointer_of
from service.wire.problem import ProblemError

WHOLE = Place("")


class CellFinder:
    """Finds the cell that a place of the document was read from."""

    def __init__(self, reading: Reading) -> None:
        self._document, self._origins = reading.document, reading.origins
        self._broken = {pointer_of(path) for path in reading.broken}
        self._taken = {_spot(problem.place) for problem in reading.problems}

    @cached_property
    def _cells(self) -> dict[str, Place]:
        """Every cell by its pointer: made when the first problem asks for one."""
        return {pointer_of(path): place for path, place in self._origins.items()}

    def cell(self, pointer: str) -> Place:
        """The cell of a place, or of what it is part of."""
        while pointer:
            if pointer in self._cells:
                return self._cells[pointer]
            pointer = pointer.rpartition("/")[0]
        return WHOLE

    def is_known(self, error: ProblemError) -> bool:
        """Whether the reader has told of this before, in the words of the sheet."""
        pointer = error["pointer"]
        if pointer in self._broken:
            return True
        inside = f"{pointer}/"
        if error["code"] in ("missing", "too_short", "list_type", "float_type") and any(
            broken.startswith(inside) or pointer.startswith(f"{broken}/") for broken in self._broken
        ):
            return True
        return pointer in self._cells and _spot(self._cells[pointer]) in self._taken

    def problem(self, error: ProblemError) -> Problem:
        """A problem of the document as one of its cell."""
        place = self.cell(error["pointer"])
        detail = error["detail"]
        if place.sheet:
            told = sentence(place, "", detail[:1].lower() + detail[1:])
        else:
            told = error_in_words(error["pointer"], detail, self._document)
        return Problem(place, error["code"], told, pointer=error["pointer"])

    def with_pointers(self, problems: Iterable[Problem]) -> list[Problem]:
        """The reader's own problems with the places of the document they are about."""
        pointers: dict[tuple[str, int | None, int | None], str] = {}
        for pointer, place in self._cells.items():
            pointers.setdefault(_spot(place), pointer)
        return [
            problem if problem.pointer else problem._replace(pointer=pointers.get(_spot(problem.place)))
            for problem in problems
        ]


def _spot(place: Place) -> tuple[str, int | None, int | None]:
    return place.sheet, place.row, place.column


def add_errors(reading: Reading, errors: Iterable[ProblemError]) -> None:
    """Add what the checks of the document found and the reader has not told."""
    errors = list(errors)
    if not errors and not reading.problems:
        return
    finder = CellFinder(reading)
    reading.problems += [finder.problem(error) for error in errors if not finder.is_known(error)]
    reading.problems = finder.with_pointers(reading.problems)
    reading.sort()


def problem_rows(problems: Sequence[Problem]) -> list[CellProblem]:
    """Problems as they are published, as many as are listed."""
    return [problem.row() for problem in problems[:MAX_PROBLEMS]]  # type: ignore[misc]


def sheets_read(reading: Reading) -> list[SheetRead]:
    """What each sheet gave."""
    wrong = [problem.place.sheet for problem in reading.problems]
    return [
        {
            "name": sheet.name,
            "sheet": sheet.sheet,
            "lines": sheet.lines,
            "figures": sheet.figures,
            "problems": wrong.count(sheet.name),
        }
        for sheet in reading.sheets
    ]
