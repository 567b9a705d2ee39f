"""What is wrong with a workbook, cell by cell, and what the reader left out or took as something else.

A problem keeps a workbook from being kept; a note keeps nothing back.
"""

from typing import Any, NamedTuple

MAX_PROBLEMS = 500
MAX_NOTES = 500
MAX_ECHO = 60

FILE_MESSAGES = {
    "too_large": "the file is larger than this service reads; save it without pictures, or give the sheets one by one.",
    "too_many_parts": "the file has more parts than a workbook of tables has.",
    "too_many_sheets": "the file has more than 64 sheets.",
    "too_many_cells": "the file has more than 300,000 cells; clear what lies outside the tables.",
    "too_much_text": "the file holds more text than tables of a ship do.",
    "took_too_long": "reading the file took too long.",
    "damaged": "the file is damaged, or is not what its name says; open it in the spreadsheet and save it again.",
    "forbidden_xml": "the file holds markup that no spreadsheet writes.",
    "macros": "the file holds macros; save it as a workbook without macros (.xlsx).",
    "locked": "the file is locked with a password; save it without one.",
    "old_or_locked": "the file is an old workbook (.xls) or is locked; save it as .xlsx without a password.",
    "other_format": "this is an OpenDocument file; save it as .xlsx.",
    "not_a_workbook": "this is no workbook and no folder of CSV files.",
    "not_text": "this is no text that could be read as a table.",
    "empty": "there is nothing in the file.",
}
"""What is wrong where nothing of a file can be read, by code."""

MESSAGES = {
    "missing_sheet": "the sheet {name} is needed.",
    "unknown_sheet": "no sheet of this name is known; is “{near}” meant?",
    "sheet_twice": "two sheets are the {name} sheet: {other} and this one.",
    "no_heading": "no line of headings was found; the headings are {headings}.",
    "missing_column": "the column {name} is needed.",
    "column_twice": "two columns are headed {name}.",
    "unknown_column": "no column of this heading is known; is “{near}” meant?",
    "line_twice": "this stands twice.",
    "empty_table": "nothing stands in this table; write “none” under the headings if there is none.",
    "far_cell": "something stands far outside the tables; clear it.",
    "beyond_table": "a figure stands beside the table, under no {noun}.",
    "other_heels": "all blocks of this sheet have the same heels; these are others.",
    "other_columns": "the table goes on below with the same {noun}s; these are others.",
    "other_units": "her booklet is kept in {kept}; a part of it has to be in the same.",
    "wrong_origin": "sheet Ship says that positions are from {origin}; this heading says {said}.",
    "wrong_unit": "“{unit}” is no unit of {name}.",
    "other_system": "sheet Ship says that the booklet is in {system} units; {unit} is not.",
    "missing_value": "{name} is needed here.",
    "not_a_number": "this is not a number.",
    "ambiguous_number": "this can be read as {point} or as {comma}; say on sheet Ship which decimal sign is typed, or "
    "format the column as numbers.",
    "mixed_decimal_signs": "the other figures of this sheet are typed with a decimal {sign}.",
    "not_whole": "this has to be a whole number.",
    "too_large": "this number is too large.",
    "too_long": "this text is longer than 1,000 characters.",
    "date_in_number": "the spreadsheet has turned this into a date; format the column as text or numbers and type it "
    "again.",
    "date_in_text": "the spreadsheet has turned this into a date; format the column as text and type it again.",
    "formula_error": "the formula shows an error instead of a value.",
    "formula_not_calculated": "this formula was never calculated; open the file in the spreadsheet and save it.",
    "feet_in_metric": "this is in feet and inches; the booklet is metric.",
    "inches_too_great": "a foot has 12 inches; the inches are 12 or more.",
    "sign_and_letter": "this has a minus sign and a letter; one of them says the direction.",
    "letter_without_midship": "the letter says forward or aft of midship; positions here are from {origin}.",
    "density_in_kg": "this looks like kg/m³; densities are in t/m³ (1.025).",
    "ditto": "a ditto mark is not read; type the figure.",
    "unknown_word": "this word is not known here; the words are: {words}.",
    "not_names": "this is not read as names; part them by semicolons, and put a name that holds one in quotes.",
    "not_groups": "this is not read as tanks in order; join the tanks of a group by + and part groups by semicolons: "
    "1P + 1S; 2P + 2S.",
    "not_a_day": "this is no day of the year; type it like 1 November.",
    "ambiguous_day": "this can be two days; type the month as a word: 1 November.",
    "not_a_date": "this is no date; type it like 2024-05-01, or 1 May 2024.",
    "ambiguous_date": "this can be two dates; type the month as a word: 1 May 2024.",
    "part_of_one": "this looks like a part of one; type percent (98), or format the cell as percent.",
    "no_name": "this line does not say what it is of; where it is a sum, write the word total in it.",
    "not_a_moment": "this is no time; type it in UTC like 2026-10-28 12:00.",
    "ambiguous_stage": "several stages have this name; give the number of the one that is meant.",
    "not_in_order": "the lines of this sheet are in order; this one is number {number}.",
    "missing_side": "the reading to {name} is needed too; a single reading belongs in its own column.",
    "one_or_both_sides": "give one reading, or those of port and starboard, not both.",
    "unknown_stage": "no stage of this number or name is on the sheet {sheet}{near}",
    "unknown_parent": "no {noun} of this name is on the sheet {sheet}{near}",
}
NOTE_MESSAGES = {
    "left_out": "left out: {what}.",
    "taken_as": "taken as {what}.",
    "unit_converted": "converted from {unit} to {to}.",
    "formulas": "{count} figures come from formulas; the values last calculated were taken.",
    "unknown_column": "this column is not read.",
    "unknown_sheet": "this sheet is not read.",
    "unknown_line": "this line is not read.",
    "id_from_number": "the number was taken as the text “{text}”; format the column as text to keep noughts.",
    "encoding": "the text was read as {encoding}.",
}


def column_letter(number: int) -> str:
    """A column as spreadsheets name it: 1 is A, 28 is AB."""
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


class Place(NamedTuple):
    """A cell, a line (no column) or a sheet (no row)."""

    sheet: str
    row: int | None = None
    column: int | None = None
    heading: str = ""

    @property
    def letter(self) -> str | None:
        """The column as spreadsheets name it."""
        return None if self.column is None else column_letter(self.column)

    @property
    def words(self) -> str:
        """As a person finds it: Hydrostatics!B5, Displacement [t]."""
        where = self.sheet
        if self.row is not None:
            where += f"!{self.letter or 'row '}{self.row}"
        return f"{where}, {self.heading}" if self.heading else where


class Problem(NamedTuple):
    """One thing that is wrong, or one note."""

    place: Place
    code: str
    message: str
    value: str = ""
    pointer: str | None = None

    def row(self) -> dict[str, Any]:
        """As it is published."""
        return {
            "sheet": self.place.sheet,
            "row": self.place.row,
            "column": self.place.letter,
            "heading": self.place.heading,
            "value": self.value,
            "code": self.code,
            "message": self.message,
            "pointer": self.pointer,
        }


def sentence(place: Place, value: str, words: str) -> str:
    """The whole sentence: where, what stands there, what is wrong."""
    return f"{place.words}: {f'“{value}”: ' if value else ''}{words}"


def shortened(value: Any) -> str:
    """What stands in a cell, as far as it is repeated."""
    text = value if isinstance(value, str) else f"{value:g}" if isinstance(value, float) else str(value)
    return text if len(text) <= MAX_ECHO else text[: MAX_ECHO - 1] + "…"


class Findings:
    """Problems and notes of one reading."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.notes: list[Problem] = []

    def problem(self, place: Place, code: str, value: Any = "", **words: Any) -> None:
        """Something is wrong. `words` fill the sentence; `unknown_tank` and its like share one."""
        template = MESSAGES.get(code) or MESSAGES["unknown_parent"]
        shown = shortened(value)
        self.problems.append(Problem(place, code, sentence(place, shown, template.format(**words)), shown))

    def note(self, place: Place, code: str, value: Any = "", **words: Any) -> None:
        """Something is worth saying."""
        shown = shortened(value)
        text = sentence(place, shown, NOTE_MESSAGES[code].format(**words))
        self.notes.append(Problem(place, code, text, shown))
