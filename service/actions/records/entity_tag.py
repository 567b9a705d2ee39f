"""Tags of the present state of a record, which a writer names to show what he has seen.

A vessel's tag is the digest of her revision, and behind a dot how often her state was set. A condition's is the number
of its revision and how often its state was set, as `7.2`, and behind another dot how many reviews there are. The
digest of a condition's revision names that revision too, which holds across a restored backup.
"""

import re

from service.wire.refusal import Refusal

_OURS = re.compile(r"(\d{1,10}|[0-9a-f]{64})(\.\d{1,10}){0,2}")


def tag_of_condition(number: int, states: int, reviews: int) -> str:
    """The tag of a condition."""
    return f"{number}.{states}.{reviews}" if reviews else f"{number}.{states}"


def tag_of_vessel(digest: str, states: int) -> str:
    """The tag of a vessel."""
    return f"{digest}.{states}" if states else digest


def require_tag(present: str, expected: frozenset[str], number: int) -> None:
    """Refuse a writer who has seen another revision than the present one (RFC 9110, section 13.1.1).

    What was added to it since makes no difference: it changes nothing that he would overwrite.
    """
    _require(_parts(present)[:1], expected, present, number)


def require_revision(present: str, digest: str, expected: frozenset[str], number: int) -> None:
    """The same for a condition, whose revision may be named by its number or its digest."""
    if digest not in {_parts(tag)[0] for tag in expected}:
        _require(_parts(present)[:1], expected, present, number)


def require_state(present: str, expected: frozenset[str], number: int) -> None:
    """Refuse a writer who has seen another revision of a condition than the present one, or another state of it."""
    _require(_parts(present)[:2], expected, present, number)


def _require(wanted: list[str], expected: frozenset[str], present: str, number: int) -> None:
    if wanted not in [_parts(tag)[: len(wanted)] for tag in expected]:
        words = f"Somebody else changed it: it is at revision {number} now."
        if not any(_OURS.fullmatch(tag) for tag in expected):
            words = (
                f'`If-Match` names no state of this record; its `ETag` is `"{present}"` now, with the quotes.'
            )
        raise Refusal("stale", words, etag=present)


def _parts(tag: str) -> list[str]:
    return tag.split(".")
