"""The digest of a kept record and the chain the digests form.

Rule, to be followed by anyone who checks a record in any language:

1. Take every field of the record except `digest`. Replace the texts `document` and `assessment` by the
   lower-case hexadecimal SHA-256 of their UTF-8 bytes. Absent values are null. Add `kind`: the name of the
   record (vessel_revision, condition_revision, review, condition_state, vessel_state, change).
2. Write that object in the JSON Canonicalization Scheme (RFC 8785).
3. The digest is the lower-case hexadecimal SHA-256 of those UTF-8 bytes.

The field `form` says which fields a record has. A condition_revision of form 2 has all of them; one of form 1 was
kept before `dangers` and the two margins were columns of their own (`SINCE_FORM_2`) and has no such fields. A change
of form 2 tells of a state and has `state` and `state_number`; all others are of form 1 and have no such fields. Every
other record is of form 1.

`previous` is the digest of the record before it in its own chain, null for the first: the revisions of one
vessel, the revisions of one condition, the reviews of one condition, the states of either, and the feed of changes.
The feed names the digest of every revision, review and state in the order they were kept, so one exported head of it
(its number and digest) fixes the whole of the records: with it, a cut tail and a chain rewritten from its
start are found as well.
"""

import hashlib
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from .canonical import canonical
from .errors import Broken

FORM = 1
"""Of vessel revisions, reviews, states, and changes that tell of no state."""

CONDITION_FORM = 2
"""Of the condition revisions that are kept now."""

SINCE_FORM_2 = (
    *("dangers", "least_margin", "least_margin_unit", "least_margin_criterion", "least_margin_gm"),
    *("least_margin_side", "load_line_draft", "load_line_mass"),
)
"""Fields of a condition revision that those of form 1 do not have."""

STATE_CHANGE_FORM = 2
"""Of the changes that tell of a state."""

_LARGE = ("document", "assessment")
_ADDED: dict[str, dict[int, tuple[str, ...]]] = {
    "condition_revision": {CONDITION_FORM: SINCE_FORM_2},
    "change": {STATE_CHANGE_FORM: ("state", "state_number")},
}
"""Fields that a kind of record has from a form on."""


def sha256(text: str) -> str:
    """Lower-case hexadecimal SHA-256 of the UTF-8 bytes of `text`."""
    return hashlib.sha256(text.encode()).hexdigest()


def digest(kind: str, record: Mapping[Any, Any], texts: Mapping[str, str] = MappingProxyType({})) -> str:
    """The digest of a record by the rule above. `record` holds all its fields; a field `digest` is left out, and so
    are the fields that a record of its form does not have. `texts`: digests of large texts that are known already.
    """
    absent = later_fields(kind, record)
    envelope = {name: value for name, value in record.items() if name != "digest" and name not in absent}
    for name in _LARGE:
        if name in envelope:
            envelope[name] = texts.get(name) or sha256(envelope[name])
    envelope["kind"] = kind
    return sha256(canonical(envelope))


def later_fields(kind: str, record: Mapping[Any, Any]) -> tuple[str, ...]:
    """The columns that a record of its form does not have as fields: they are null, and no digest covers them."""
    form = record.get("form")
    return tuple(
        name
        for since, names in _ADDED.get(kind, {}).items()
        if form is not None and form < since
        for name in names
    )


class Chain:
    """The walk along one chain: `follow` every record in order, `number` and `digest` are those of the last one."""

    def __init__(self, kind: str, id: str, counter: str = "number") -> None:
        self.kind, self.id, self._counter = kind, id, counter
        self.number: int = 0
        self.digest: str | None = None

    def follow(self, record: Mapping[Any, Any]) -> None:
        """Check that a record is the next link. Raises Broken with its number and what is wrong."""
        number = record[self._counter]
        if number != self.number + 1:
            raise Broken(self.kind, self.id, self.number + 1, f"missing, {number} follows {self.number}")
        if record["previous"] != self.digest:
            raise Broken(self.kind, self.id, number, "does not follow the record before it")
        if record["form"] not in (FORM, *_ADDED.get(self.kind, ())):
            raise Broken(self.kind, self.id, number, f"unknown rule of the digest: {record['form']}")
        if any(record.get(name) is not None for name in later_fields(self.kind, record)):
            raise Broken(self.kind, self.id, number, "has figures that its digest does not cover")
        try:
            found = digest(self.kind, record)
        except ValueError:
            raise Broken(self.kind, self.id, number, "holds what no record can hold") from None
        if found != record["digest"]:
            raise Broken(self.kind, self.id, number, "is not what its digest was taken of")
        self.number, self.digest = number, found
