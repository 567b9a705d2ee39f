"""What a sheet of a workbook is made of. The sheets themselves stand in `vessel_sheets.py` and `condition_sheets.py`;
template, writer, reader and paste box are made from them and from nothing else.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Literal

Path = tuple[str | int, ...]
Kind = Literal[
    "number", "whole", "text", "id", "choice", "flag", "date", "moment", "day_of_year", "names", "groups"
]
WORDS: frozenset[Kind] = frozenset(("text", "id", "date", "moment", "day_of_year", "names", "groups"))
"""Kinds whose cells are formatted as text."""
LISTS: frozenset[Kind] = frozenset(("names", "groups"))
"""Kinds whose cells hold a list, which may go on in the lines below."""
Shape = Literal["form", "list", "child", "matrix", "columns", "lever_matrix"]

LIST_NONE = "none"
"""The word in the first cell under the headings that says: there are none."""
FOR_READING = "(for reading)"
"""Mark of columns that are there for a person and are never read back."""


@dataclass(frozen=True, eq=False)
class Entry:
    """One line of a form, or one column of a table.

    `path` leads from the document (forms and lines above tables) or from the row (columns) to the member. `choices`
    are the words of the published language with the words a person sees; `synonyms` lead from other words to them.
    `axis` says which sign letters mean something: x (F, A), y (P, S), trim (by the stern, by the head)."""

    heading: str
    path: Path
    kind: Kind = "number"
    quantity: str | None = None
    needed: bool = False
    also: tuple[str, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)
    synonyms: Mapping[str, str] = field(default_factory=dict)
    axis: Literal["", "x", "y", "trim"] = ""
    unit_elsewhere: bool = False
    """A line of the sheet says the unit, so that the heading does not."""
    before: str = ""
    """A word that people write before the text; it is taken off."""

    @cached_property
    def names(self) -> frozenset[str]:
        """Every heading it goes by, as `plain` gives it."""
        return frozenset(plain(name) for name in (self.heading, *self.also))

    @cached_property
    def words(self) -> dict[str, str]:
        """The published word for each word a person may use, as `plain` gives it."""
        own = {plain(word): value for value, word in self.choices.items()}
        return {
            **{plain(word): value for word, value in self.synonyms.items()},
            **{plain(value): value for value in self.choices},
            **own,
        }


@dataclass(frozen=True)
class Parent:
    """What the lines of a child sheet belong to: the list in the document, the member that names an entry, the heading
    of the column that holds this name, and the code of a name that is not there."""

    path: tuple[str, ...]
    key: str
    entry: Entry
    unknown: str
    sheet: str
    by_number: bool = False
    """The column holds the number of the entry, counted from 1; a name that stands once is understood too."""
    itself: str = ""
    """The word in that column for what holds the list, whose lines may stand in the same sheet."""


@dataclass(frozen=True)
class Grouped:
    """Rows of a list that are themselves lists: a column numbers the group, `members` belong to it, `rows` holds the
    rest."""

    number: Entry
    members: tuple[Entry, ...]
    rows: str


HEEL = Entry(
    "Heel",
    (),
    quantity="angle",
    needed=True,
    also=("heels", "heel deg", "heel degrees", "angle of heel", "heel angle", "heel in degrees"),
)
"""What stands across in most matrices."""


@dataclass(frozen=True)
class Matrix:
    """Figures by row and column. `rows`: member of the row values, `columns`: of what stands across, `values`: of the
    figures; `row` and `column` say what both are."""

    row: Entry
    rows: str
    columns: str
    values: str
    quantity: str
    others: str | None = None
    """Member with the same matrix for other values of the block's line."""
    column: Entry = HEEL


@dataclass(frozen=True, eq=False)
class Sheet:
    """One sheet. `target` is the list (or object) it fills: in the document, or in the entry a child belongs to."""

    name: str
    shape: Shape
    entries: tuple[Entry, ...] = ()
    target: tuple[str, ...] = ()
    lines: tuple[Entry, ...] = ()
    also: tuple[str, ...] = ()
    needed: bool = False
    must_say: bool = False
    """The list is needed: an empty table has to say `none`."""
    must_say_beside: tuple[str, ...] = ()
    """The list is needed wherever the document has this member."""
    parent: Parent | None = None
    block: Entry | None = None
    """The column that may stand as a line above each block instead."""
    grouped: Grouped | None = None
    matrix: Matrix | None = None
    mapping: bool = False
    """The target is an object: first column its names, second its values; further ones are members of values that are
    objects."""
    number: Entry | None = None
    """The first column, which counts the lines from 1."""
    title: str = ""
    reading: tuple[str, ...] = ()
    """Headings of columns for reading only."""
    sums: frozenset[str] = frozenset()
    """Words that alone make a line a sum: it is left out."""
    left_without: tuple[str, ...] = ()
    """A line without any of these members is left out."""

    @property
    def slug(self) -> str:
        """Its name in an address: `tank-tables`."""
        return self.name.lower().replace(" ", "-")

    @cached_property
    def names(self) -> frozenset[str]:
        """Every name it goes by, as `plain` gives it."""
        return frozenset(plain(name) for name in (self.name, self.slug, *self.also))

    @cached_property
    def columns(self) -> tuple[Entry, ...]:
        """Columns of the table, in the order of the template."""
        first = () if self.parent is None else (self.parent.entry,)
        if self.grouped is not None:
            return (self.grouped.number, *self.grouped.members, *self.entries)
        if self.number is not None:
            return (self.number, *self.entries)
        return (*first, *self.entries)

    @cached_property
    def by_name(self) -> dict[str, Entry]:
        """Columns by every name they go by."""
        return {name: entry for entry in reversed(self.columns) for name in entry.names}

    @cached_property
    def by_line(self) -> dict[str, Entry]:
        """Lines above the table (or of the form) by every name they go by."""
        lines = (*self.lines, *(() if self.block is None else (self.block,)))
        if self.shape == "form":
            lines = (*lines, *self.entries)
        return {name: entry for entry in reversed(lines) for name in entry.names}

    @cached_property
    def reserved(self) -> frozenset[str]:
        """Words that mean something at the left edge of this sheet."""
        corners = self.matrix.column.names if self.matrix is not None else ()
        own = (*self.by_name, *self.by_line, *corners, *self.sums, plain(self.name), plain(self.title))
        return frozenset(own) - {""}


_UNSPOKEN = re.compile(r"[\s\W_]+")


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """A heading or word as it is compared: no case, accents, spaces or punctuation; `%` as a word."""
    letters = unicodedata.normalize("NFKD", text).casefold().replace("%", "percent")
    return _UNSPOKEN.sub("", "".join(c for c in letters if not unicodedata.combining(c)))
