"""Tags of the present state of a record, which a writer names to show what he has seen."""

from service.wire.refusal import Refusal


def require_tag(present: str, expected: frozenset[str], number: int) -> None:
    """Refuse a writer who has seen another revision than the present one (RFC 9110, section 13.1.1).

    What was added to it since, as reviews are, makes no difference: it changes nothing that he would overwrite.
    """
    if _revision(present) not in map(_revision, expected):
        raise Refusal("stale", f"Somebody else changed it: it is at revision {number} now.", etag=present)


def _revision(tag: str) -> str:
    """The part of a tag that names the revision: its digest, before what counts additions to it."""
    return tag.partition(".")[0]
