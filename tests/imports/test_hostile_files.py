"""Files made to harm whoever opens them: each has its answer, its time and its memory.

Times are of the child's own processor, so that a busy machine does not fail the test; memory is its peak."""

import contextlib
import io
import json
import random
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable
from typing import Any, NamedTuple

import pytest

from service.imports import cells
from service.imports.cells import pages_of
from service.imports.limits import MAX_FILE, FileRefused
from service.imports.writer import vessel_workbook
from tests.imports.books import book
from tests.imports.documents import box

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>'
WORKBOOK = (
    f'{HEAD}<workbook xmlns="{MAIN}" xmlns:r="{RELS}"><sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets>'
    "</workbook>"
)
TARGETS = (
    f'{HEAD}<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Id="r1" Type="{RELS}/worksheet" Target="worksheets/sheet1.xml"/>'
    f'<Relationship Id="r2" Type="{RELS}/sharedStrings" Target="sharedStrings.xml"/></Relationships>'
)


def packed(parts: dict[str, bytes], **more: Any) -> bytes:
    """A zip file of these parts."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, **more) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return file.getvalue()


def workbook(sheet: str | bytes = "", *, strings: bytes = b"", main: str = WORKBOOK, **more: bytes) -> bytes:
    """A workbook whose one sheet is this markup."""
    data = (
        sheet if isinstance(sheet, bytes) else f'{HEAD}<worksheet xmlns="{MAIN}">{sheet}</worksheet>'.encode()
    )
    parts = {
        "[Content_Types].xml": f"{HEAD}<Types/>".encode(),
        "xl/workbook.xml": main.encode(),
        "xl/_rels/workbook.xml.rels": TARGETS.encode(),
        "xl/worksheets/sheet1.xml": data,
        "xl/sharedStrings.xml": strings or f'{HEAD}<sst xmlns="{MAIN}"/>'.encode(),
    }
    return packed({**parts, **{name.replace("__", "/"): value for name, value in more.items()}})


def rows(count: int, width: int) -> bytes:
    row = "".join(f"<c><v>{i}</v></c>" for i in range(width))
    return (
        f'{HEAD}<worksheet xmlns="{MAIN}"><sheetData>'.encode()
        + f"<row>{row}</row>".encode() * count
        + b"</sheetData></worksheet>"
    )


def billion_laughs() -> bytes:
    lines = "".join(f'<!ENTITY e{i} "{f"&e{i - 1};" * 10}">' for i in range(1, 10))
    return (
        f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e0 "ha">{lines}]>'
        f'<worksheet xmlns="{MAIN}">&e9;</worksheet>'
    ).encode()


def external_entity() -> bytes:
    return (
        f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]>'
        f'<worksheet xmlns="{MAIN}">&e;</worksheet>'
    ).encode()


def text_in_many_cells() -> bytes:
    strings = f'<sst xmlns="{MAIN}"><si><t>{"x" * 1_000_000}</t></si></sst>'.encode()
    sheet = "<sheetData>" + "<row>" + '<c t="s"><v>0</v></c>' * 100_000 + "</row></sheetData>"
    return workbook(sheet, strings=strings)


def truncated() -> bytes:
    return vessel_workbook(box())[:-3000]


def turned() -> bytes:
    data = bytearray(vessel_workbook(box()))
    for at in range(200, len(data) - 200, 97):
        data[at] ^= 0x55
    return bytes(data)


def merges(count: int) -> bytes:
    refs = "".join(f'<mergeCell ref="A{i}:XFD{i + 100}"/>' for i in range(1, count))
    return workbook(
        f"<sheetData><row><c><v>1</v></c></row></sheetData>"
        f'<mergeCells>{refs}<mergeCell ref="A1:XFD1048576"/></mergeCells>'
    )


def encrypted_old() -> bytes:
    return (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
        + b"\0" * 600
        + "EncryptedPackage".encode("utf-16-le")
        + b"\0" * 600
    )


def lying_size() -> bytes:
    """A zip that says its part is small."""
    data = bytearray(workbook(rows(200_000, 3)))
    size = (len(rows(200_000, 3))).to_bytes(4, "little")
    while (at := data.find(size)) >= 0:
        data[at : at + 4] = (1000).to_bytes(4, "little")
    return bytes(data)


class Hostile(NamedTuple):
    """A file, its answer (None: it is read), and what its reading may cost."""

    name: str
    make: Callable[[], bytes]
    answer: str | None
    seconds: float = 2.0
    megabytes: int = 120
    takes_long: bool = False


FAR = (
    '<sheetData><row r="1"><c r="A1"><v>1</v></c></row>'
    '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>'
)
FILES = [
    Hostile("corner cells", lambda: workbook(FAR), None),
    Hostile("1 MB holding 1 GB", lambda: workbook(b" " * 400_000_000), "too_large"),
    Hostile("200 MB of rows", lambda: workbook(rows(2_400_000, 4)), "too_many_cells", 5.0, takes_long=True),
    Hostile(
        "3,000,000 numbers", lambda: workbook(rows(1_000_000, 3)), "too_many_cells", 5.0, takes_long=True
    ),
    Hostile(
        "400,000 numbers", lambda: workbook(rows(40_000, 10)), "too_many_cells", 8.0, 256, takes_long=True
    ),
    Hostile("wide rows", lambda: workbook(rows(3, 150_000)), "too_many_cells", 8.0, 256),
    Hostile("billion laughs", lambda: workbook(billion_laughs()), "forbidden_xml"),
    Hostile("external entity", lambda: workbook(external_entity()), "forbidden_xml"),
    Hostile(
        "parameter entity in the workbook",
        lambda: workbook(main='<?xml version="1.0"?><!DOCTYPE x [<!ENTITY % p "x">%p;]><workbook/>'),
        "forbidden_xml",
    ),
    Hostile(
        "an attribute of 30 MB",
        lambda: workbook(f'<worksheet xmlns="{MAIN}" x="{"y" * 30_000_000}"/>'.encode()),
        "forbidden_xml",
    ),
    Hostile("1 MB of text in 100,000 cells", text_in_many_cells, "too_much_text", 5.0),
    Hostile(
        "30,000 parts",
        lambda: packed({f"p{i}.xml": b"" for i in range(30_000)} | {"xl/workbook.xml": b""}),
        "too_many_parts",
        3.0,
    ),
    Hostile("1,000,000 levels", lambda: workbook(b"<a>" * 1_000_000), "forbidden_xml"),
    Hostile("5,000 merges", lambda: merges(5_000), None, 3.0),
    Hostile(
        "macros",
        lambda: packed({"xl/vbaProject.bin": b"x", "xl/workbook.xml": b""}),
        "macros",
    ),
    Hostile("a password", encrypted_old, "locked"),
    Hostile("an old workbook", lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 2000, "old_or_locked"),
    Hostile(
        "OpenDocument",
        lambda: packed(
            {"mimetype": b"application/vnd.oasis.opendocument.spreadsheet", "content.xml": b"<x/>"}
        ),
        "other_format",
    ),
    Hostile("a picture", lambda: b"\x89PNG\r\n\x1a\n" + b"\0" * 500, "not_a_workbook"),
    Hostile("cut short", truncated, "damaged"),
    Hostile("bytes turned", turned, "damaged"),
    Hostile("a zip in a zip", lambda: packed({"inner.zip": workbook()}), "not_a_workbook"),
    Hostile("names that climb", lambda: packed({"../../01 Ship.csv": b"Name of ship,x\r\n"}), None),
    Hostile("sizes that lie", lying_size, "damaged", 5.0),
    Hostile("nothing", lambda: b"   \n", "empty"),
    Hostile("an empty workbook", lambda: workbook("<sheetData/>"), "empty"),
    Hostile("65 sheets", lambda: book({f"S{i}": [["x"]] for i in range(65)}), "too_many_sheets", 3.0),
    Hostile("bytes of text", lambda: b"a,b\x00c\r\n", "not_text"),
    Hostile("one line of 4 MB", lambda: b'"' + b"x" * 3_999_000, None, 2.0),
    Hostile("300,000 fields and one", lambda: b"1,1,1,1,1,1,1,1,1,1\n" * 31_000, "too_many_cells", 3.0),
    Hostile("text of 5 MB", lambda: b"x,y\n" * 1_250_000, "too_large"),
    Hostile("larger than is read", lambda: b"PK" + b"\0" * MAX_FILE, "too_large"),
    Hostile(
        "a shared string that is not there",
        lambda: workbook('<sheetData><row><c t="s"><v>9</v></c></row></sheetData>'),
        "damaged",
    ),
    Hostile(
        "a cell reference of nonsense",
        lambda: workbook('<sheetData><row><c r="1A"><v>9</v></c></row></sheetData>'),
        "damaged",
    ),
    Hostile(
        "a row number of nonsense",
        lambda: workbook('<sheetData><row r="1e400"><c><v>9</v></c></row></sheetData>'),
        "damaged",
    ),
]

_MEASURED = (
    "import sys, resource; sys.path.insert(0, {root!r}); import os\n"
    "real, status = os._exit, open('/proc/self/status')\n"
    "def told(code):\n"
    "    used = resource.getrusage(resource.RUSAGE_SELF)\n"
    "    peak = next(line.split()[1] for line in status if line.startswith('VmHWM'))\n"
    "    sys.stderr.write(f'{{used.ru_utime + used.ru_stime}} {{peak}}'); sys.stderr.flush(); real(code)\n"
    "os._exit = told\n"
    "from service.imports.child import main; main()"
)


def read_and_measured(data: bytes) -> tuple[dict[str, Any], float, float]:
    """The child's answer, its processor seconds and its megabytes."""
    code = _MEASURED.format(root=cells.ROOT)
    command = [sys.executable, "-I", "-B", "-c", code, "S"]
    child = subprocess.run(command, input=data, capture_output=True, check=False)
    seconds, kilobytes = child.stderr.split()
    return json.loads(child.stdout), float(seconds), int(kilobytes) / 1024


@pytest.mark.parametrize(
    "file",
    [pytest.param(file, id=file.name, marks=[pytest.mark.long] if file.takes_long else []) for file in FILES],
)
def test_each_has_its_answer_and_costs_little(file: Hostile) -> None:
    answer, seconds, megabytes = read_and_measured(file.make())
    assert answer.get("refused") == file.answer
    assert seconds < file.seconds + 1.0  # what python and openpyxl take to start
    assert megabytes < file.megabytes


def test_a_cell_far_away_is_told() -> None:
    (page,) = pages_of(workbook(FAR))
    assert page.far == [(1048576, 16384)]
    assert page.rows[1][1].value == 1


def test_a_child_that_never_ends_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cells, "CHILD_WALL_SECONDS", 0.5)
    monkeypatch.setattr(cells, "_CODE", "import time; time.sleep(60) # {!r}")
    with pytest.raises(FileRefused) as refused:
        pages_of(b"a,b")
    assert refused.value.code == "took_too_long"


def test_a_child_that_dies_is_a_damaged_file(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cells, "_CODE", "import os; os._exit(3) # {!r}")
    with pytest.raises(FileRefused) as refused:
        pages_of(b"a,b")
    assert refused.value.code == "damaged"


_LOCKED = (
    "import sys; sys.path.insert(0, {root!r})\n"
    "from service.imports import child\n"
    "child._import_readers(books=True); child._lock()\n"
    "try: {attempt}\n"
    "except (OSError, MemoryError) as no: sys.stdout.write(type(no).__name__)\n"
    "else: sys.stdout.write('done')"
)


@pytest.mark.parametrize(
    "attempt",
    [
        "open('/etc/hosts')",
        "open('/dev/null', 'w')",
        "__import__('socket').socket()",
        "bytearray(1 << 30)",
        "sys.stdin.buffer.raw.__class__('/etc/hosts')",
    ],
)
def test_the_locked_child_can_open_nothing(attempt: str) -> None:
    code = _LOCKED.format(root=cells.ROOT, attempt=attempt)
    found = subprocess.run(
        [sys.executable, "-I", "-B", "-c", code], capture_output=True, check=False, text=True
    )
    assert found.stdout in ("OSError", "MemoryError", "PermissionError", "ImportError"), found


def test_junk_is_a_refusal_or_a_page() -> None:
    """Bytes of a workbook changed at random: never another exception."""
    chance = random.Random(5)
    whole = vessel_workbook(box())
    for _ in range(6):
        data = bytearray(whole)
        for _ in range(chance.randrange(1, 40)):
            data[chance.randrange(len(data))] = chance.randrange(256)
        with contextlib.suppress(FileRefused):
            assert pages_of(bytes(data))


def test_compressed_bombs_are_small() -> None:
    """What makes the list above a fair one: the files are far below the limit of a file."""
    assert len(zlib.compress(rows(1_000_000, 3))) < MAX_FILE
