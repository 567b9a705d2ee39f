"""Read a booklet from a workbook: the document, everything that is wrong, the doubts, the proof and what it changes.

Nothing is kept here."""

import hashlib
from dataclasses import dataclass
from typing import Any

import pydantic_core
from pydantic import ValidationError

from service.actions.cell_problems import CellFinder, add_errors, problem_rows, sheets_read
from service.actions.comparison.documents import document_changes
from service.imports.reader import Reading, read_vessel
from service.storage import canonical
from service.translation.booklet_doubts import booklet_doubts
from service.translation.prepared_vessel import prepare_model, validated
from service.translation.proof import proof_of
from service.wire.booklet import MAX_PROBLEMS, BookletDoubt, BookletReading
from service.wire.problem import errors_of
from service.wire.proof import Proof
from service.wire.refusal import Refusal
from service.wire.vessel import Vessel

MAX_CHANGES = 500
MAX_DOUBTS = 500
Document = dict[str, Any]


def prove_document(document: object) -> Proof:
    """The proof of a posted vessel document; raises Refusal where she cannot be calculated with."""
    model = validated(Vessel, document, ())
    return proof_of(model, (), prepare_model(model, ()))


@dataclass(frozen=True)
class Stored:
    """The kept revision that a workbook is read against."""

    document: Document
    revision: int


def read_booklet(
    data: bytes, stored: Stored | None = None, sheet: str = ""
) -> tuple[BookletReading, Reading]:
    """A booklet as it was read, and the cells it came from. `sheet`: name of the one table of text in `data`."""
    base = None if stored is None else stored.document
    reading = read_vessel(data, base, sheet)
    document = reading.document
    prepared, model = None, None
    if document is not None:
        prepared, model = _checked(reading, document)
    can_be_kept = prepared is not None and not reading.problems
    digest = None if document is None or not can_be_kept else digest_of(document)
    changes = (
        [] if base is None or document is None else document_changes(_canonical(base), _canonical(document))
    )
    found: BookletReading = {
        "kind": "part" if reading.is_part else "whole",
        "can_be_kept": can_be_kept,
        "document_digest": digest,
        "same_as_revision": stored.revision if stored and digest == digest_of(stored.document) else None,
        "sheets": sheets_read(reading),
        "problems": problem_rows(reading.problems),
        "problems_not_listed": max(0, len(reading.problems) - MAX_PROBLEMS),
        "notes": problem_rows(reading.notes),
        "changes": changes[:MAX_CHANGES],
        "changes_truncated": len(changes) > MAX_CHANGES,
        "removed": [] if base is None or document is None else removed(base, document),
        "doubts": [] if prepared is None or document is None else _doubts(reading, document, prepared),
        "proof": None if model is None or prepared is None else proof_of(model, (), prepared),
        "document": document,
    }
    return found, reading


def _checked(reading: Reading, document: Document) -> tuple[Any, Vessel | None]:
    """The vessel ready for calculation and her document; what keeps her from it goes to the reading's problems."""
    try:
        model = Vessel.model_validate(document)
    except ValidationError as invalid:
        add_errors(reading, errors_of(invalid, (), 10 * MAX_PROBLEMS))
        return None, None
    try:
        prepared = prepare_model(model, ())
    except Refusal as refusal:
        add_errors(reading, refusal.errors)
        return None, model
    add_errors(reading, ())
    return prepared, model


def _canonical(document: Document) -> Any:
    """A document as it is kept: a whole number is one number, however a cell gave it."""
    return pydantic_core.from_json(canonical(document))


def digest_of(document: Document) -> str:
    """SHA-256 of a document's canonical text."""
    return hashlib.sha256(canonical(document).encode()).hexdigest()


def removed(before: Document, after: Document) -> list[str]:
    """Tanks, holds and openings that a revision would not have any more, as a person names them."""
    found = []
    for members, noun, table in (
        ("tanks", "tank", "table"),
        ("holds", "hold", "grain"),
        ("openings", "opening", "immersion_angles"),
    ):
        kept = {entry.get("id") for entry in after.get(members) or ()}
        for entry in before.get(members) or ():
            if entry["id"] not in kept:
                found.append(f"{noun} {entry['id']}" + (" with its table" if entry.get(table) else ""))
    return found


def _doubts(reading: Reading, document: Document, prepared: Any) -> list[BookletDoubt]:
    finder = CellFinder(reading)
    found: list[BookletDoubt] = []
    for doubt in booklet_doubts(document, prepared)[:MAX_DOUBTS]:
        place = finder.cell(doubt["path"])
        found.append({**doubt, "cell": place._replace(heading="").words if place.sheet else None})
    return found
