"""Workbooks opened and saved by LibreOffice (Debian's libreoffice-calc), then read: the same documents by digest.

Two ways: saved as xlsx, and saved as ods, opened again and saved as xlsx. The program writes numbers with 15
significant digits, so no document here has more. Some minutes.
"""

import json
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings

from service.demo import condition_names, demo_vessel_ids, read_condition
from service.imports.reader import Reading
from service.imports.reader import read_condition as read_condition_sheet
from service.imports.reader import read_vessel as read_vessel_file
from service.imports.writer import condition_workbook, vessel_workbook
from tests.imports.documents import Document, box, demo_ship, digest
from tests.imports.test_round_trip import awkward, rich_condition, rich_ship

WAYS = (("xlsx",), ("ods", "xlsx"))
SECONDS = 600
FILES_OF_A_CALL = 60


@dataclass(frozen=True)
class Sample:
    """A document, its workbook, and how a workbook of its kind is read."""

    document: Document
    workbook: bytes
    read: Callable[[bytes], Reading]


def run(rounds: int, first: int) -> dict[str, object]:
    """What came back by each way. rounds: how many awkward vessels besides; first: seed of their choice."""
    samples = {**_ships(), **_conditions(), **_awkward(rounds, first)}
    found: dict[str, object] = {"documents": len(samples)}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for way in WAYS:
            files = _written(folder / "as-written", samples)
            for step, form in enumerate(way):
                files = convert(files, form, folder / f"{'-'.join(way)}-{step}", folder / "profile")
            wrong = [told for file in files if (told := _difference(samples[file.stem], file.read_bytes()))]
            assert not wrong, f"by {' and '.join(way)}, {len(wrong)} of {len(samples)}: {wrong[:5]}"
            found[f"the same by {' and '.join(way)}"] = len(files)
    return found


def _ships() -> dict[str, Sample]:
    ships = {ship: demo_ship(ship) for ship in demo_vessel_ids()} | {"rich-ship": rich_ship()}
    return {name: _of_a_ship(ship) for name, ship in ships.items()}


def _of_a_ship(ship: Document) -> Sample:
    """A ship as she is kept, read as a new revision of herself: parts that no sheet carries stay."""

    def read(data: bytes) -> Reading:
        reading = read_vessel_file(data, ship)
        assert not reading.is_part
        return reading

    return Sample(ship, vessel_workbook(ship), read)


def _conditions() -> dict[str, Sample]:
    found = {"rich-condition": _of_a_condition(box(), rich_condition())}
    for id in demo_vessel_ids():
        ship = demo_ship(id)
        for name in condition_names(id):
            found[f"{id}.{name}"] = _of_a_condition(ship, json.loads(read_condition(id, name)))
    return {f"condition.{name}": sample for name, sample in found.items()}


def _of_a_condition(ship: Document, condition: Document) -> Sample:
    def read(data: bytes) -> Reading:
        return read_condition_sheet(data, ship["units"], ship.get("axes"))

    return Sample(condition, condition_workbook(ship, condition), read)


def _awkward(count: int, first: int) -> dict[str, Sample]:
    """Vessels full of what cells do not like, the same for the same seed."""
    found: list[Document] = []

    @seed(first)
    @settings(
        max_examples=count,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(awkward())
    def collect(document: Document) -> None:
        found.append(_with_15_digits(document))

    collect()
    return {f"awkward-{number}": _of_a_ship(document) for number, document in enumerate(found)}


def _with_15_digits(value: Any) -> Any:
    """The same document, its numbers as a spreadsheet program writes them."""
    if isinstance(value, dict):
        return {name: _with_15_digits(each) for name, each in value.items()}
    if isinstance(value, list):
        return [_with_15_digits(each) for each in value]
    return float(f"{value:.15g}") if isinstance(value, float) else value


def _written(folder: Path, samples: dict[str, Sample]) -> list[Path]:
    folder.mkdir(exist_ok=True)
    files = [folder / f"{name}.xlsx" for name in samples]
    for file, sample in zip(files, samples.values(), strict=True):
        file.write_bytes(sample.workbook)
    return files


def convert(files: Sequence[Path], form: str, folder: Path, profile: Path, *options: str) -> list[Path]:
    """The files opened by the program, and saved in another folder in this form. options: further ones of its own."""
    program = ["soffice", f"-env:UserInstallation=file://{profile}", "--headless", "--norestore", *options]
    for start in range(0, len(files), FILES_OF_A_CALL):
        some = [str(file) for file in files[start : start + FILES_OF_A_CALL]]
        command = [*program, "--convert-to", form, "--outdir", str(folder), *some]
        subprocess.run(command, check=True, capture_output=True, timeout=SECONDS)
    return [folder / f"{file.stem}.{form}" for file in files]


def _difference(sample: Sample, data: bytes) -> str:
    """What is not as it was, in words; empty where all is."""
    reading = sample.read(data)
    title = sample.document.get("title") or sample.document.get("name")
    if reading.problems:
        told = reading.problems[0]
        return f"{title}: {told.place.sheet} row {told.place.row} column {told.place.column}: {told.message}"
    if reading.document is None or digest(reading.document) != digest(sample.document):
        return f"{title}: {_first_difference(sample.document, reading.document, '')}"
    return f"{title}: {reading.notes[0].message}" if reading.notes else ""


def _first_difference(before: object, after: object, path: str) -> str:
    if isinstance(before, dict) and isinstance(after, dict):
        for name in [*before, *(name for name in after if name not in before)]:
            told = _first_difference(before.get(name), after.get(name), f"{path}/{name}")
            if told:
                return told
        return ""
    if isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        found = (_first_difference(a, b, f"{path}/{n}") for n, (a, b) in enumerate(zip(before, after)))
        return next(filter(None, found), "")
    return "" if before == after else f"{path} was {before!r:.80}, is {after!r:.80}"


def why_not() -> str | None:
    """What is missing to do this; None where nothing is."""
    return None if shutil.which("soffice") else "needs LibreOffice: Debian's libreoffice-calc-nogui"
