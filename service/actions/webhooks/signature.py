"""Secrets and signatures of webhooks.

A secret is made from the pepper and a salt, so that a stolen copy of the database signs nothing.
Source: Standard Webhooks 1.0.0, "Signature scheme": v1, HMAC-SHA256 of `id.timestamp.body`.
"""

import hmac
import secrets
from base64 import b64encode

from service.storage import Webhook

PREFIX = "whsec_"
SALT_BYTES = 24


def new_salt() -> str:
    """What makes one secret of a webhook another one."""
    return secrets.token_hex(SALT_BYTES)


def secret_of(pepper: bytes, webhook: str, salt: str) -> str:
    """The secret of a webhook as its receiver keeps it: 256 bits."""
    return PREFIX + b64encode(_key(pepper, webhook, salt)).decode("ascii")


def signatures(pepper: bytes, webhook: Webhook, id: str, timestamp: int, body: bytes, now: str) -> str:
    """The value of `webhook-signature`: one signature for each secret that holds at `now`, the newest first."""
    salts = [webhook.salt]
    if webhook.former_salt is not None and webhook.former_until is not None and webhook.former_until > now:
        salts.append(webhook.former_salt)
    signed = f"{id}.{timestamp}.".encode("ascii") + body
    return " ".join(
        "v1," + b64encode(hmac.digest(_key(pepper, webhook.id, salt), signed, "sha256")).decode("ascii")
        for salt in salts
    )


def _key(pepper: bytes, webhook: str, salt: str) -> bytes:
    return hmac.digest(pepper, f"secret of webhook {webhook} {salt}".encode("ascii"), "sha256")
