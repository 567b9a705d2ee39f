"""Vessels posted inside requests: prepared once, and recognised when they come again.

A client that posts a whole vessel with every condition posts the same bytes every time. So her text is cut out of the
request and looked up by its SHA-256; where it is known, neither parser nor validation sees it again. Where it is not,
the parsed document is looked up by a digest of its contents: the same document in other words is recognised too.

Why a text that was cut out may stand for the parsed member: `cut` gives a text only where `"vessel":` is the first
member of the request or the last one. A known text is a complete JSON object, read strictly before. The rest of the
request, with `null` in the place of that text, must be strict JSON as well. An object ends at its own closing brace
only, so the request is read in one way: its vessel is exactly that object.
"""

import hashlib
import marshal
from typing import Any, NamedTuple

from service.actions.cache import Cache
from service.storage import canonical
from service.translation.prepared_vessel import PreparedVessel, prepare_vessel
from service.wire.parse import UnreadableJson, parse_json

_MEMBER, _NEXT = b'"vessel"', b'"condition"'
_SPACE = b" \t\r\n"


class Cut(NamedTuple):
    """A request in two: the text that stands at its member `vessel`, and the request with null in that place."""

    vessel: bytes
    rest: bytes


def cut(request: bytes) -> Cut | None:
    """The request in two where its vessel is seen at once; None where it is not, or where there is none.

    Where it ends is guessed. A wrong guess gives a text that no vessel has, so it is never recognised."""
    at = request.find(_MEMBER)
    if at < 0:
        return None
    before = request[:at].rstrip(_SPACE)
    start = _after_colon(request, at + len(_MEMBER))
    if start is None or before[-1:] not in (b"{", b","):
        return None
    first = before.strip(_SPACE) == b"{"
    end = _end_before(request, start, request.rfind(_NEXT)) if first else 0
    if not end:  # the last member: what closes the request is not hers
        whole = request.rstrip(_SPACE)
        if not whole.endswith(b"}"):
            return None
        end = len(whole[:-1].rstrip(_SPACE))
    if end <= start or request[end - 1 : end] != b"}":
        return None
    return Cut(request[start:end], request[:start] + b"null" + request[end:])


def _after_colon(request: bytes, at: int) -> int | None:
    """Where the object begins that follows a colon at `at`; None where something else does."""
    window = request[at : at + 64]
    value = window.lstrip(_SPACE)
    if not value.startswith(b":"):
        return None
    value = value[1:].lstrip(_SPACE)
    return at + len(window) - len(value) if value.startswith(b"{") else None


def _end_before(request: bytes, start: int, following: int) -> int:
    """Where the vessel ends if the member at `following` comes next; 0 where it does not."""
    if following < start:
        return 0
    end = request.rfind(b"}", start, following) + 1
    return end if request[end:following].strip(_SPACE) == b"," else 0


class InlineVessels:
    """The vessels that were posted last, prepared. Safe to use from several threads."""

    def __init__(self, keep: int, json_depth: int) -> None:
        self._json_depth = json_depth
        self._by_text = Cache[bytes, PreparedVessel](keep)
        self._by_document = Cache[bytes, PreparedVessel](keep)

    def recognised(self, text: bytes) -> PreparedVessel | None:
        """The prepared vessel of a text that was remembered."""
        return self._by_text.get(hashlib.sha256(text).digest())

    def remember(self, text: bytes, document: object, prepared: PreparedVessel) -> None:
        """Recognise the text from now on, if it is indeed the text of `document`."""
        try:
            if parse_json(text, max_depth=self._json_depth - 1) != document:
                return
        except UnreadableJson:
            return
        self._by_text.put(hashlib.sha256(text).digest(), prepared)

    def prepare(self, document: object, root: tuple[str | int, ...]) -> PreparedVessel:
        """A vessel document made ready, from memory where an equal one was seen before; raises Refusal."""
        key = _fingerprint(document)
        prepared = self._by_document.get(key)
        if prepared is None:
            prepared = prepare_vessel(document, root, canonical=canonical)
            self._by_document.put(key, prepared)
        return prepared


def _fingerprint(document: Any) -> bytes:
    """A key that equal documents share: they were parsed from JSON, so marshal is total and exact."""
    return hashlib.sha256(marshal.dumps(document, 2)).digest()
