"""What people type into small fields of pages, held to the same rules as what programs send."""

import re
import secrets
from typing import Final

from pydantic import TypeAdapter, ValidationError

from service.wire.fields import MAX_REASON
from service.wire.typed_reason import TypedReason

_REASON: Final = TypeAdapter(TypedReason)
_ONCE: Final = re.compile(r"[A-Za-z0-9_-]{1,60}")
WRONG_REASON: Final = f"A reason has at most {MAX_REASON} characters, and none that do not show."


def wrong_reason(text: str) -> str | None:
    """What is wrong with a reason, None where nothing is."""
    try:
        _REASON.validate_python(text)
    except ValidationError:
        return WRONG_REASON
    return None


def one_line(text: str) -> str:
    """A text whose lines stand one after the other."""
    return text.replace("\r\n", " ").replace("\n", " ")


def once_of(text: str | None) -> str:
    """The name of one showing of a form, so that it is kept once; a new one where none of ours was sent."""
    return text if text and _ONCE.fullmatch(text) else secrets.token_urlsafe(16)
