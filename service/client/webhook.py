"""Verification of webhooks (Standard Webhooks, symmetric signatures `v1`)."""

import base64
import binascii
import hashlib
import hmac
import json
import time
from collections.abc import Mapping, Sequence
from typing import Any

from service.client.errors import WebhookRefused

TOLERANCE = 300.0
"""Seconds that the time of a webhook may lie beside the receiver's clock."""
_PREFIX = "whsec_"


def verify_webhook(
    body: bytes,
    headers: Mapping[str, str],
    secret: str | Sequence[str],
    *,
    tolerance: float = TOLERANCE,
    now: float | None = None,
) -> dict[str, Any]:
    """The event in the body of a webhook whose signature and time hold.

    `body`: the bytes as they came, not JSON that was read and written again. `secret`: that of the webhook
    (`whsec_...`), or several while one takes the place of another. `headers`: those of the request, in any spelling of
    their names. `tolerance`: seconds that the time of the webhook may lie beside the clock here, `now` where it is
    given. Deliveries may come twice: `webhook-id` is the same then.

    Raises WebhookRefused. Source: Standard Webhooks, "Verifying webhook authenticity".
    """
    given = {name.lower(): value for name, value in headers.items()}
    try:
        id, sent, signatures = (given[f"webhook-{name}"] for name in ("id", "timestamp", "signature"))
    except KeyError as missing:
        raise WebhookRefused(f"The header {missing} is missing.") from None
    if not sent.isascii() or not sent.isdigit() or len(sent) > 15:
        raise WebhookRefused("The time of the webhook is not a number of seconds.")
    if abs((time.time() if now is None else now) - int(sent)) > tolerance:
        raise WebhookRefused("The webhook is not from now.")
    content = b"%b.%b.%b" % (_bytes(id), sent.encode(), body)
    shown = [_bytes(each[3:]) for each in signatures.split(" ") if each.startswith("v1,")]
    secrets = [secret] if isinstance(secret, str) else secret
    if not any(hmac.compare_digest(_signature(each, content), one) for each in secrets for one in shown):
        raise WebhookRefused("No signature of the webhook holds.")
    try:
        event = json.loads(body)
    except ValueError:
        raise WebhookRefused("The body of the webhook is not JSON.") from None
    if not isinstance(event, dict):
        raise WebhookRefused("The body of the webhook is not an object.")
    return event


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogateescape")


def _signature(secret: str, content: bytes) -> bytes:
    """Base64 of the HMAC-SHA256 of `content`."""
    try:
        key = base64.b64decode(secret.strip().removeprefix(_PREFIX), validate=True)
    except binascii.Error:
        raise ValueError("The secret is not base64 behind `whsec_`.") from None
    return base64.b64encode(hmac.digest(key, content, hashlib.sha256))
