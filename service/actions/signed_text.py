"""Small documents that a browser keeps for us: signed, so that nobody can make or change one, and good for a while."""

import base64
import binascii
import hmac
import json
import time
from typing import Any


def signed_text(secret: bytes, document: dict[str, Any], seconds: float) -> str:
    """The document as text that only holders of `secret` can make. Whoever has it can read it."""
    held = {**document, "until": int(time.time() + seconds)}
    text = base64.urlsafe_b64encode(json.dumps(held, separators=(",", ":")).encode()).decode().rstrip("=")
    return f"{text}.{_signature(secret, text)}"


def signed_document(secret: bytes, text: str) -> dict[str, Any] | None:
    """The document in such a text; None where it was not made with `secret`, or its time is over."""
    body, _, signature = text.rpartition(".")
    if not secret or not text.isascii() or not hmac.compare_digest(signature, _signature(secret, body)):
        return None
    try:
        document: dict[str, Any] = json.loads(base64.urlsafe_b64decode(body + "=" * (-len(body) % 4)))
    except (ValueError, binascii.Error):
        return None
    return document if document.pop("until") > time.time() else None


def _signature(secret: bytes, text: str) -> str:
    return hmac.digest(secret, text.encode(), "sha256").hex()
