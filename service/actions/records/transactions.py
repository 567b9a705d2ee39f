"""The kept records as actions use them: transactions, and the errors of storage as refusals.

An action reads in `reading()` and writes in `writing()`. Whatever stands after the `with` block of `writing()` is
done once the commit is: answers are made there and never inside.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import TypeVar

from service.actions.vessel_heads import VesselHeads
from service.storage import (
    Busy,
    Conflict,
    NotFound,
    OwnRevision,
    Stale,
    Storage,
    StorageError,
    Transaction,
    Unavailable,
    as_text,
)
from service.wire.refusal import Refusal

T = TypeVar("T")

_NOUNS = {
    "vessel": ("unknown_vessel", "vessel"),
    "condition": ("unknown_condition", "condition"),
    "vessel_revision": ("unknown_revision", "revision of the vessel"),
    "condition_revision": ("unknown_revision", "revision of the condition"),
    "key": ("unknown_key", "key"),
    "fleet": ("unknown_fleet", "fleet"),
    "unfinished": ("unknown_unfinished", "unfinished condition"),
    "unfinished_booklet": ("unknown_unfinished", "unfinished booklet"),
    "webhook": ("unknown_webhook", "webhook"),
}


class Records:
    """The storage of a running service, giving transactions whose errors are refusals."""

    def __init__(self, storage: Storage) -> None:
        self.storage = storage
        self.vessel_heads = VesselHeads(storage)
        self.heard: list[Callable[[], None]] = []
        """Called, by any thread, when a transaction of this process added to the feed and is committed."""

    @contextmanager
    def reading(self) -> Iterator[Transaction]:
        """A snapshot to read."""
        with storage_refusals(), self.storage.transaction() as tx:
            yield tx

    @contextmanager
    def writing(self) -> Iterator[Transaction]:
        """The one writing transaction; kept when the block is left, undone by an exception."""
        vessels = None
        try:
            with storage_refusals(), self.storage.transaction(write=True) as tx:
                vessels = tx.vessels
                yield tx
        finally:
            if vessels is not None and vessels.wrote:
                self.vessel_heads.forget()
        if tx.changes.recorded:
            for heard in self.heard:
                heard()


def write_together(records: Records, works: Sequence[Callable[[Transaction], T]]) -> list[T | Exception]:
    """What each of `works` makes in one writing transaction, in order, or what it was refused with.

    One commit for all of them. When one fails that has written already, nothing of them is kept and each is done
    again in a transaction of its own, so that only the one that fails does. When the records fail, all do.
    """
    try:
        with records.writing() as tx:
            return [_refused_or_done(tx, work) for work in works]
    except Exception as failed:  # met again below, and told to the caller it belongs to
        if isinstance(failed, Refusal) and failed.retry_after is not None:
            raise
    done: list[T | Exception] = []
    for work in works:
        try:
            with records.writing() as tx:
                made = work(tx)
            done.append(made)
        except Exception as fault:  # noqa: BLE001 - told to its caller alone
            done.append(fault)
    return done


def _refused_or_done(tx: Transaction, work: Callable[[Transaction], T]) -> T | Refusal:
    """What `work` makes, or its refusal where it was refused before it wrote anything."""
    tx.statements.wrote = False
    try:
        with storage_refusals():
            return work(tx)
    except Refusal as refused:
        if tx.statements.wrote or refused.retry_after is not None:
            raise
        return refused


@contextmanager
def storage_refusals() -> Iterator[None]:
    """Let errors of storage leave the block as refusals."""
    try:
        yield
    except StorageError as error:
        raise _refusal(error) from error


def not_found(kind: str, number: int | None = None) -> Refusal:
    """The same words for what is not there and for what the caller may not see."""
    code, noun = _NOUNS[kind]
    if number is not None:
        noun = noun.replace(" of ", f" {number} of ", 1)
    return Refusal(code, f"There is no {noun} at this address.")


def moment_text(moment: datetime | None) -> str | None:
    """A time somebody asks for, as kept times are written; None stays None."""
    if moment is None:
        return None
    if not 1900 <= moment.year <= 2999:
        raise Refusal("invalid_query", "Times lie between the years 1900 and 2999.")
    return as_text(moment)


def _refusal(error: StorageError) -> Refusal:
    match error:
        case NotFound():
            return not_found(error.kind, error.number)
        case Stale():
            words = f"Somebody else changed it: it is at revision {error.number} now."
            return Refusal("stale", words, etag=error.digest)
        case OwnRevision():
            return Refusal("own_revision", "A revision is reviewed by somebody other than its author.")
        case Conflict():
            return Refusal("conflict", f"{error.detail[:1].upper()}{error.detail[1:]}.")
        case Busy():
            words = f"Nothing was stored: {error.reason}."
            return Refusal("records_busy", words, retry_after=error.retry_after)
        case Unavailable():
            words = f"Nothing was stored: {error.reason}."
            return Refusal("records_unavailable", words, retry_after=error.retry_after)
    return Refusal("records_damaged", f"The records do not hold: {error}.")
