"""Conditions that are being typed, kept on the service under a name, so that ship, phone and office see the same."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, get_args

from pydantic_core import from_json

from service.actions.access import Caller
from service.actions.keep_unfinished import keep_unfinished, remove_unfinished, show_unfinished
from service.actions.records.transactions import Records
from service.pages.sheet.kept_values import settled
from service.translation.document_units import in_units
from service.wire.condition import Condition
from service.wire.fields import UnitSystem
from service.wire.refusal import Refusal
from service.wire.unfinished import NAME_PATTERN

Row = dict[str, Any]
_NAME: Final = re.compile(NAME_PATTERN)
NOTHING: Final = ("unknown_unfinished", "not_found")
FULL: Final = ("unfinished_too_large", "too_many_unfinished", "invalid_request")
"""Refusals that leave a condition unkept though it can be judged and saved."""


@dataclass(frozen=True)
class Kept:
    """What is kept: the document as far as it is typed, a tag that changes with it, when and by whom."""

    document: Row
    tag: str
    at: str
    by: str


class Newer(Exception):
    """Somebody else kept something since; None where it was removed."""

    def __init__(self, kept: Kept | None) -> None:
        super().__init__("newer")
        self.kept = kept


def is_name(text: str) -> bool:
    """Whether something can be kept under this name."""
    return bool(_NAME.match(text))


def address_of(line: Mapping[str, Any]) -> str:
    """Where one is gone on with: the sheet of its revision (`<condition>.<revision>`), or that of a new condition."""
    condition, _, number = line["name"].rpartition(".")
    if condition and number.isdecimal():
        return f"/conditions/{condition}/edit"
    return f"/vessels/{line['vessel']}/conditions/new?name={line['name']}"


def find(records: Records, caller: Caller, vessel: str, name: str, units: UnitSystem) -> Kept | None:
    """What is kept under a name, in the units of the sheet that shows it."""
    try:
        text, tag = show_unfinished(records, caller, vessel, name)
    except Refusal as refused:
        if refused.code not in NOTHING:
            raise
        return None
    return _kept_from(text, tag, units)


def keep(records: Records, caller: Caller, vessel: str, name: str, document: Row, seen: str) -> Kept:
    """Keep it in the place of what was seen (empty: nothing). Raises Newer, and Refusal (those in FULL among them)."""
    expected = frozenset((seen,)) if seen else None
    try:
        done, _ = keep_unfinished(records, caller, vessel, name, document, expected=expected)
    except Refusal as refused:
        if refused.code in ("stale", "precondition_required"):
            raise Newer(find(records, caller, vessel, name, document["units"])) from None
        raise
    return _kept_from(done.body, done.etag, document["units"])


def forget(records: Records, caller: Caller, vessel: str, name: str) -> None:
    """It is finished, or not wanted any more."""
    try:
        remove_unfinished(records, caller, vessel, name, expected=None)
    except Refusal as refused:
        if refused.code not in NOTHING:
            raise


def _kept_from(text: Any, tag: str | None, units: UnitSystem) -> Kept:
    """What is kept, in these units; what says none of its own is taken to be in them."""
    found = from_json(text)
    document = settled(found["document"])
    if document.get("units") not in get_args(UnitSystem):
        document["units"] = units
    document = {"tanks": [], "weights": [], **in_units(document, Condition, units)}
    return Kept(document, tag or str(found["number"]), found["updated"], found["author"]["name"])
