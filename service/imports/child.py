"""The child process that opens files from outside: it imports what it needs, locks itself in, and only then looks.

    python -I -c "import sys; sys.path.insert(0, FOLDER); from service.imports.child import main; main()" NAME < file

It writes JSON to its standard output: {"sheets": [...]} or {"refused": code}. Nothing else of the service runs in it.
"""

import codecs
import gc
import importlib.util
import json
import os
import re
import resource
import sys
from typing import Any

from service.imports.limits import CHILD_MEMORY, CHILD_PROCESSOR_SECONDS, MAX_FILE, FileRefused

_BOOK = (b"[Content_Types].xml", b"xl/workbook.xml")
_OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_LOCKED = "EncryptedPackage".encode("utf-16-le")
_BINARY = (
    b"\x89PNG",
    b"\xff\xd8\xff",
    b"GIF8",
    b"%PDF",
    b"\x1f\x8b",
    b"Rar!",
    b"7z\xbc\xaf",
    b"BZh",
    b"\x7fELF",
)
_NUMBERED = re.compile(r"^[0-9]{1,3}[ ._-]+")


def main() -> None:
    """Read the file on the standard input and write its cells to the standard output."""
    gc.disable()  # cells are lists without cycles, and the process ends with its answer
    data = sys.stdin.buffer.read(MAX_FILE + 1)
    is_book = data.startswith(b"PK") and any(name in data for name in _BOOK)
    _import_readers(books=is_book)
    _lock()
    try:
        sheets = _sheets(data, sys.argv[-1])
        if not any(sheet["cells"] or sheet["far"] for sheet in sheets):
            raise FileRefused("empty")
        answer: dict[str, Any] = {"sheets": sheets}
    except FileRefused as refused:
        answer = {"refused": refused.code}
    except (MemoryError, RecursionError):
        answer = {"refused": "too_large"}
    text = json.dumps(answer, ensure_ascii=True, separators=(",", ":"))
    sys.stdout.write(text)
    sys.stdout.flush()
    os._exit(0)


def _import_readers(*, books: bool) -> None:
    """Everything the readers import, before no file can be opened any more."""
    for encoding in ("utf-8", "utf-16-le", "utf-16-be", "cp1252", "cp437"):
        codecs.lookup(encoding)
    importlib.import_module("service.imports.text_cells")
    importlib.import_module("service.imports.unpack")
    if books:
        for heavy in ("numpy", "lxml", "PIL", "pandas"):  # openpyxl takes them where they are
            sys.modules[heavy] = None  # type: ignore[assignment]
        _enter_openpyxl()
        importlib.import_module("service.imports.book_cells")


def _enter_openpyxl() -> None:
    """Its packages without what they import for those who write, draw or format: that takes longer than to read most
    workbooks."""
    for name in ("openpyxl", "openpyxl.cell", "openpyxl.reader", "openpyxl.styles"):
        spec = importlib.util.find_spec(name)
        assert spec is not None
        sys.modules[name] = importlib.util.module_from_spec(spec)
    package, xml = sys.modules["openpyxl"], importlib.import_module("openpyxl.xml")
    package.__dict__.update({"DEBUG": False, "DEFUSEDXML": xml.DEFUSEDXML, "LXML": xml.LXML})


def _lock() -> None:
    """No more memory, processor time, files or processes than a reading needs."""
    limits = (
        (resource.RLIMIT_AS, CHILD_MEMORY),
        (resource.RLIMIT_CPU, CHILD_PROCESSOR_SECONDS),
        (resource.RLIMIT_NOFILE, 3),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_NPROC, 0),
    )
    for kind, most in limits:
        resource.setrlimit(kind, (most, most))


def _sheets(data: bytes, name: str) -> list[dict[str, Any]]:
    if len(data) > MAX_FILE:
        raise FileRefused("too_large")
    if not data.strip():
        raise FileRefused("empty")
    if data.startswith(_OLD):
        raise FileRefused("locked" if _LOCKED in data else "old_or_locked")
    if data.startswith(_BINARY):
        raise FileRefused("not_a_workbook")
    if data.startswith(b"PK"):
        return _unpacked(data)
    from service.imports.text_cells import sheet_of_text

    return [sheet_of_text(data, name)]


def _unpacked(data: bytes) -> list[dict[str, Any]]:
    """The sheets of a workbook or of a zip of CSV files."""
    from service.imports.text_cells import sheet_of_text
    from service.imports.unpack import Parts

    parts = Parts(data)
    names = parts.names
    if any(name.lower().endswith("vbaproject.bin") for name in names):
        raise FileRefused("macros")
    if any(name.decode() in names for name in _BOOK):
        from service.imports.book_cells import sheets_of_book

        return sheets_of_book(parts)
    if "mimetype" in names or "content.xml" in names:
        raise FileRefused("other_format")
    tables = [
        name for name in names if name.lower().endswith((".csv", ".txt", ".tsv")) and "__MACOSX" not in name
    ]
    if not tables:
        raise FileRefused("not_a_workbook")
    return [sheet_of_text(parts.read(name), _table_name(name)) for name in sorted(tables)]


def _table_name(path: str) -> str:
    """The sheet a file of a folder is named after: `01 Ship.csv` is Ship."""
    name = path.replace("\\", "/").rpartition("/")[2]
    return _NUMBERED.sub("", name.rpartition(".")[0])[:100]
