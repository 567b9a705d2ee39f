"""What a sheet gives once it is read: values with the places they came from, before they become a document."""

from dataclasses import dataclass, field
from typing import Any

from service.imports.layout import Path, Sheet
from service.imports.page_reading import PageReading
from service.imports.problems import Place


@dataclass
class Line:
    """One entry of a list: its members (or the value itself), the row it stands in, where each member stands, and the
    members whose cells have a problem."""

    value: Any
    row: int
    places: dict[Path, Place] = field(default_factory=dict)
    broken: set[Path] = field(default_factory=set)


@dataclass
class Block:
    """Lines that belong to one entry of another list. `none`: the sheet says that there are none."""

    key: Any
    place: Place
    lines: list[Line] = field(default_factory=list)
    none: bool = False


@dataclass
class Grid:
    """A matrix: what its block line says, what stands across, its rows and the figures, with their places."""

    key: Any
    place: Place
    columns: list[Any]
    column_places: list[Place]
    rows: list[Any] = field(default_factory=list)
    row_places: list[Place] = field(default_factory=list)
    values: list[list[Any]] = field(default_factory=list)
    value_places: list[list[Place]] = field(default_factory=list)
    is_turned: bool = False

    def upright(self) -> "Grid":
        """The same with rows down and columns across, where it was typed turned."""
        if not self.is_turned:
            return self
        return Grid(
            self.key,
            self.place,
            self.rows,
            self.row_places,
            self.columns,
            self.column_places,
            [list(row) for row in zip(*self.values, strict=True)],
            [list(row) for row in zip(*self.value_places, strict=True)],
        )


@dataclass
class SheetData:
    """Everything one sheet says."""

    sheet: Sheet
    reading: PageReading
    members: dict[Path, tuple[Any, Place]] = field(default_factory=dict)
    """Lines above the table, or of a form, by their paths in the document."""
    lines: list[Line] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    grids: list[Grid] = field(default_factory=list)
    none: bool = False
    head: int | None = None
    """Row of the headings."""

    @property
    def is_blank(self) -> bool:
        """Whether the sheet says nothing at all."""
        has_members = any(value is not None for value, _ in self.members.values())
        return not (has_members or self.lines or self.blocks or self.grids or self.none)

    @property
    def counted(self) -> int:
        """How many lines of figures it holds."""
        if self.grids:
            return sum(len(grid.rows) for grid in self.grids)
        if self.blocks:
            return sum(len(block.lines) for block in self.blocks)
        return len(self.lines) or sum(value is not None for value, _ in self.members.values())
