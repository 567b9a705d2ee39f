"""Webhooks are verified as the reference library of Standard Webhooks does it (package `standardwebhooks`)."""

import json
from datetime import UTC, datetime

import pytest
from standardwebhooks.webhooks import Webhook

from service.client import WebhookRefused, verify_webhook

SECRET, OTHER = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "whsec_YSBzZWNvbmQgc2VjcmV0LCAzMiBieXRlcyBsb25n"
ID, SENT = "msg_p5jXN8AQM9LWM0D4loKWxJek", 1_614_265_330
BODY = b'{"test": 2432232314}'


def headers(secret: str = SECRET, body: bytes = BODY, sent: int = SENT) -> dict[str, str]:
    """The headers of a delivery, signed by the reference library."""
    signature = Webhook(secret).sign(ID, datetime.fromtimestamp(sent, UTC), body.decode())
    return {"webhook-id": ID, "webhook-timestamp": str(sent), "webhook-signature": signature}


def test_the_example_of_the_specification() -> None:
    """Standard Webhooks, test vector of its reference libraries: value from memory, checked against the package."""
    given = headers()
    assert given["webhook-signature"] == "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
    assert verify_webhook(BODY, given, SECRET, now=SENT + 5.0) == json.loads(BODY)


def test_names_of_headers_in_any_spelling() -> None:
    given = {name.title(): value for name, value in headers().items()}
    assert verify_webhook(BODY, given, SECRET, now=SENT) == json.loads(BODY)


def test_several_signatures_and_several_secrets_while_one_takes_the_place_of_another() -> None:
    both = headers() | {
        "webhook-signature": f"v1a,other {headers(OTHER)['webhook-signature']} {headers()['webhook-signature']}"
    }
    for secret in (SECRET, OTHER, [OTHER, SECRET]):
        assert verify_webhook(BODY, both, secret, now=SENT)
    assert verify_webhook(BODY, headers(), [OTHER, SECRET], now=SENT)


@pytest.mark.parametrize("late", [-300, 300])
def test_five_minutes_beside_the_clock_are_allowed(late: int) -> None:
    assert verify_webhook(BODY, headers(), SECRET, now=SENT + late)
    with pytest.raises(WebhookRefused, match="not from now"):
        verify_webhook(BODY, headers(), SECRET, now=SENT + late * 1.01)


@pytest.mark.parametrize(
    "changed",
    [
        {"webhook-id": "msg_other"},
        {"webhook-timestamp": str(SENT + 1)},
        {"webhook-timestamp": "soon"},
        {"webhook-timestamp": "²"},
        {"webhook-signature": ""},
        {"webhook-signature": headers(OTHER)["webhook-signature"]},
        {"webhook-signature": headers()["webhook-signature"].replace("v1,", "v2,")},
        {"webhook-signature": headers()["webhook-signature"][:-4]},
        {"webhook-signature": "v1,ü"},
    ],
)
def test_what_was_changed_is_refused(changed: dict[str, str]) -> None:
    with pytest.raises(WebhookRefused):
        verify_webhook(BODY, headers() | changed, SECRET, now=SENT)


def test_another_body_and_missing_headers_are_refused() -> None:
    with pytest.raises(WebhookRefused):
        verify_webhook(BODY + b" ", headers(), SECRET, now=SENT)
    for missing in headers():
        given = {name: value for name, value in headers().items() if name != missing}
        with pytest.raises(WebhookRefused, match=missing):
            verify_webhook(BODY, given, SECRET, now=SENT)


@pytest.mark.parametrize("body", [b"[1]", b"not json"])
def test_a_body_that_is_no_event_is_refused(body: bytes) -> None:
    with pytest.raises(WebhookRefused):
        verify_webhook(body, headers(body=body), SECRET, now=SENT)


def test_a_secret_that_is_none_is_an_error_of_the_receiver() -> None:
    with pytest.raises(ValueError, match="base64"):
        verify_webhook(BODY, headers(), "whsec_not base64", now=SENT)


def test_a_secret_read_from_a_file_may_end_its_line() -> None:
    assert verify_webhook(BODY, headers(), f"{SECRET}\n", now=SENT) == json.loads(BODY)
