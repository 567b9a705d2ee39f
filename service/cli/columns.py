"""Plain text in columns and folded sentences, as the command line prints them."""

import textwrap
from collections.abc import Sequence

WIDTH = 110
CELL = 46


def folded(text: str, start: str) -> list[str]:
    """Lines of at most `WIDTH` characters, the first after `start`, the others as far in."""
    return textwrap.wrap(
        text, WIDTH, initial_indent=start, subsequent_indent=" " * len(start), break_on_hyphens=False
    )


def table(head: Sequence[str], rows: Sequence[Sequence[str]], sides: str) -> str:
    """Columns as wide as they need to be (`l` left, `r` right); long sentences are folded within their column."""
    everything = [[_fold_cell(cell) for cell in row] for row in ([list(head), *rows] if head else rows)]
    widths = [max((len(line) for row in everything for line in row[i]), default=0) for i in range(len(sides))]
    lines = []
    for row in everything:
        for height in range(max(len(cell) for cell in row)):
            cells = [
                (cell[height] if height < len(cell) else "").rjust(width) if side == "r"
                else (cell[height] if height < len(cell) else "").ljust(width)
                for cell, width, side in zip(row, widths, sides, strict=True)
            ]  # fmt: skip
            lines.append(f"  {'  '.join(cells)}".rstrip())
    return "\n".join(lines)


def _fold_cell(text: str) -> list[str]:
    return textwrap.wrap(text, CELL, break_on_hyphens=False) or [""]
