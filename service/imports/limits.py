"""How large a file, and what is in it, may be. Every limit has its code; what goes over it is refused as a whole."""

MAX_FILE = 16_000_000
"""Bytes of a workbook or of a zip of CSV."""
MAX_TEXT_FILE = 4_000_000
"""Bytes of one table of text."""
MAX_PARTS = 300
MAX_UNPACKED = 48_000_000
"""Bytes of all parts that are read, counted while they are unpacked."""
MAX_SHEETS = 64
MAX_ROW, MAX_COLUMN = 50_000, 300
MAX_CELLS = 300_000
"""Cells with something in them."""
MAX_ELEMENTS = 1_000_000
MAX_TEXT = 8_000_000
"""Characters of all texts together."""
MAX_CELL_TEXT = 1_000
MAX_MARKUP = 1_000_000
"""Bytes of one piece of markup."""
MAX_DEPTH = 60

CHILD_MEMORY = 512 * 1024 * 1024
CHILD_PROCESSOR_SECONDS = 10
CHILD_WALL_SECONDS = 20
CHILD_ANSWER = 64_000_000
"""Bytes of the child's answer that are read."""


class FileRefused(Exception):
    """A file that cannot be read at all: a code of the catalogue, and nothing of the file's own words."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code
