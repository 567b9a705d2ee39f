"""A booklet from a workbook, kept: a new vessel, or the next revision of one; and what is kept, as workbooks."""

import hashlib
import json
from dataclasses import dataclass
from typing import Any

import pydantic_core

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.keep_vessel import CheckedVessel, prepare_to_store
from service.actions.read_booklet import Stored, digest_of, read_booklet
from service.actions.records.entity_tag import require_tag
from service.actions.records.transactions import Records
from service.actions.show_vessel import vessel_tag
from service.imports import writer
from service.imports.reader import Reading as Reading
from service.imports.vessel_sheets import LAYOUT_EDITION, VESSEL_SHEETS, sheet_named
from service.wire.booklet import BookletReading
from service.wire.refusal import Refusal

MAX_FILE_NAME = 120


class NotReadable(Exception):
    """A workbook that cannot be kept, with its reading."""

    def __init__(self, detail: str, reading: BookletReading) -> None:
        super().__init__(detail)
        self.detail, self.reading = detail, reading


@dataclass(frozen=True)
class Sent:
    """What was sent: the bytes, the name of the file and, for one table of text, of its sheet."""

    data: bytes
    file_name: str = ""
    sheet: str = ""

    @property
    def audit_words(self) -> str:
        """File and digest, for the audit line."""
        name = "".join(c for c in self.file_name if c.isprintable())[:MAX_FILE_NAME] or "a workbook"
        return f"from {name}, SHA-256 {hashlib.sha256(self.data).hexdigest()}"


def known_sheet(name: str) -> str:
    """The name of a sheet as the layout has it. Raises Refusal for an unknown one."""
    sheet = sheet_named(name, VESSEL_SHEETS)
    if sheet is None:
        known = ", ".join(each.slug for each in VESSEL_SHEETS)
        raise Refusal("invalid_query", f"There is no sheet of this name; the sheets are {known}.")
    return sheet.name


def stored_vessel(
    records: Records,
    caller: Caller,
    id: str,
    number: int | None = None,
    expected: frozenset[str] | None = None,
) -> tuple[Stored, str]:
    """A kept revision of a vessel and its digest. Raises Refusal, stale where `expected` names another state."""
    caller.require_vessel(id)
    with records.reading() as tx:
        if expected is not None:
            head = tx.vessels.get(id)
            require_tag(vessel_tag(head), expected, head.head_number)
        kept = tx.vessels.revision(id, number)
    return Stored(pydantic_core.from_json(kept.document), kept.number), kept.digest


def booklet_to_keep(
    assessor: Assessor,
    sent: Sent,
    stored: Stored | None = None,
    *,
    expect_digest: str | None = None,
    confirmed: bool = False,
) -> CheckedVessel:
    """The vessel of a workbook, checked as a posted document is. Raises `NotReadable` and Refusal.

    expect_digest: that of the document a dry run showed. confirmed: what would be removed may go."""
    found, _ = read_booklet(sent.data, stored, sent.sheet)
    if not found["can_be_kept"] or found["document"] is None:
        raise NotReadable(f"The workbook has {_count(found)}.", found)
    if expect_digest is not None and expect_digest != found["document_digest"]:
        raise NotReadable(
            "The workbook is not the one that was shown: its document has another digest.", found
        )
    if found["removed"] and not confirmed:
        names = ", ".join(found["removed"][:5])
        raise NotReadable(f"It would remove {names}: send confirm=removed if that is meant.", found)
    return prepare_to_store(assessor, found["document"])


def _count(found: BookletReading) -> str:
    count = len(found["problems"]) + found["problems_not_listed"]
    return "1 problem" if count == 1 else f"{count} problems"


def vessel_file(document: dict[str, Any], form: str, sheets: str | None, separator: str) -> bytes:
    """A vessel document as a workbook (xlsx), a folder (zip) or one table (csv). Raises Refusal."""
    names = None
    if sheets:
        named = [sheet_named(name, VESSEL_SHEETS) for name in sheets.split(",")]
        if None in named:
            known_sheet(sheets.split(",")[named.index(None)])
        names = [sheet.slug for sheet in named if sheet is not None]
    if form == "csv":
        if names is None or len(names) != 1:
            raise Refusal("not_acceptable", "As CSV one sheet is sent: name it in `sheets`.")
        return writer.vessel_sheet_text(document, names[0], separator)
    if form == "zip":
        return writer.vessel_folder(document, names, separator)
    return writer.vessel_workbook(document, names)


def template_file(units: str) -> bytes:
    """An empty booklet."""
    return writer.booklet_template("us" if units == "us" else "metric")


def condition_file(
    vessel: dict[str, Any], condition: dict[str, Any] | None, form: str, separator: str
) -> bytes:
    """The sheet a mate fills in, blank or as kept."""
    if form == "zip":
        return writer.condition_folder(vessel, condition, separator)
    return writer.condition_workbook(vessel, condition)


def file_tag(digest: str, *parts: str | None) -> str:
    """The tag of a workbook: what it was made from, and how."""
    text = json.dumps([digest, LAYOUT_EDITION, *parts])
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def marked(reading: Reading) -> bytes:
    """The marked copy of what was sent."""
    from service.imports.marked import marked_copy

    return marked_copy(reading)


def kept_condition(
    records: Records, caller: Caller, id: str
) -> tuple[dict[str, Any], dict[str, Any], str, str]:
    """A kept condition's latest document, her vessel's document and id, and the digest of both."""
    with records.reading() as tx:
        head = tx.conditions.get(id)
        caller.require_vessel(head.vessel, "condition")
        kept = tx.conditions.revision(id, head.head_number)
        vessel = tx.vessels.revision(head.vessel, None)
    document = pydantic_core.from_json(kept.document)
    return (
        document,
        pydantic_core.from_json(vessel.document),
        head.vessel,
        digest_of(document) + vessel.digest,
    )


def sheet_choices() -> list[tuple[str, str]]:
    """Every sheet of a booklet: its name in an address, and its name for people."""
    return [(sheet.slug, sheet.name) for sheet in VESSEL_SHEETS]
