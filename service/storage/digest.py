"""The digest of a kept record and the chain the digests form.

Rule (form 1), to be followed by anyone who checks a record in any language:

1. Take every field of the record except `digest`. Replace the texts `document` and `assessment` by the
lower-case
   hexadecimal SHA-256 of their UTF-8 bytes. Absent values are null. Add `kind`: the name of the record
   (vessel_revision, condition_revision, review, change).
2. Write that object in the JSON Canonicalization Scheme (RFC 8785).
3. The digest is the lower-case hexadecimal SHA-256 of those UTF-8 bytes.

`previous` is the digest of the record before it in its own chain, null for the first: the revisions of one
vessel, the revisions of one condition, the reviews of one condition, and the feed of changes. The feed
names the digest of every revision and review in the order they were kept, so one exported head of the feed
(its number and digest) fixes the whole of the records: with it, a cut tail and a chain rewritten from its
start are found as well.
"""

import hashlib
from collections.abc import Mapping
from typing import Any

import rfc8785

FORM = 1

_LARGE = ("document", "assessment")


def canonical(value: Any) -> str:
    """The canonical JSON text (RFC 8785) of plain dicts, lists, strings, numbers, booleans and None.

    Documents are handed to storage in this form. Raises ValueError for what JSON cannot carry (NaN,
    infinities, integers beyond 2**53, lone surrogates).
    """
    try:
        return rfc8785.dumps(value).decode()
    except (rfc8785.CanonicalizationError, UnicodeEncodeError) as error:
        raise ValueError(f"no canonical form: {error}") from error


def sha256(text: str) -> str:
    """Lower-case hexadecimal SHA-256 of the UTF-8 bytes of `text`."""
    return hashlib.sha256(text.encode()).hexdigest()


def digest(kind: str, record: Mapping[str, Any]) -> str:
    """The digest of a record by the rule above. `record` holds all its fields; a field `digest` is left
    out.
    """
    envelope = {name: value for name, value in record.items() if name != "digest"}
    for name in _LARGE:
        if name in envelope:
            envelope[name] = sha256(envelope[name])
    envelope["kind"] = kind
    return hashlib.sha256(rfc8785.dumps(envelope)).hexdigest()
