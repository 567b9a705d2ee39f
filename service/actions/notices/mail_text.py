"""What stands in a mail to a reader: plain text (RFC 5322), with the caution, where to look and how to stop."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import parseaddr
from typing import Final
from urllib.parse import urlencode

from service.actions.notices.mail_reader import code_of, stop_token
from service.storage import (
    ANOTHER_VERDICT,
    CONFIRM,
    IN_FORCE,
    NEEDS_REVIEW,
    RENEW,
    RETURNED,
    Mail,
    MailReader,
)
from service.wire.assessment import CAUTION
from service.wire.change import Change
from service.wire.verdict_words import load_line_margin, stability_margin, verdict_words

MOST_SUBJECT: Final = 150


@dataclass(frozen=True)
class Told:
    """One change as it is told: `vessel` and `title` by name, `note` of a review."""

    mail: Mail
    change: Change
    vessel: str
    title: str
    note: str | None


@dataclass(frozen=True)
class Letterhead:
    """What all mails share. url: where people reach the pages, without a slash at its end."""

    sender: str
    url: str
    pepper: bytes


def mail_of(
    head: Letterhead, reader: MailReader, mails: Sequence[Mail], told: Sequence[Told], until: str | None
) -> EmailMessage:
    """The mail for rows of the outbox. Its id is that of their letter: tried again, it is the same mail. until: when
    mail to this reader ends unless it signs in, None for one with a key."""
    stop = f"{head.url}/stop-mail?" + urlencode(
        {"key": reader.key_id, "token": stop_token(head.pepper, reader)}
    )
    parts = []
    if any(CONFIRM in mail.why for mail in mails):
        parts.append(
            f"This address was given to be told of ships' loading conditions at {head.url}.\n\n"
            f"The code is {code_of(head.pepper, reader)}\n\n"
            f"Type it at {head.url}/notices within a day. Nothing else is sent before that. If you did not ask for "
            "this, do nothing."
        )
    if until is not None and any(RENEW in mail.why for mail in mails):
        parts.append(
            f"You are told of ships' loading conditions because of your last sign-in at {head.url}, and it is getting "
            f"old. Sign in before {_day(until)} and you are told further. Otherwise nothing more is sent after that, "
            "also if something happens."
        )
    parts += [_paragraph(each, head.url) for each in told]
    if told and until is not None:
        parts.append(f"This goes on until {_day(until)}; each sign-in at {head.url} renews it.")
    if told:
        parts.append(f"Choose what you are told, or stop: {head.url}/notices")
    parts += [f"Stop at once, without signing in:\n{stop}", CAUTION]
    message = EmailMessage(policy=SMTP)
    name, address = parseaddr(head.sender)
    message["From"] = Address(display_name=name, addr_spec=address)
    message["To"] = reader.address
    message["Subject"] = _subject(told, mails, until)
    domain = address.rpartition("@")[2] or "localhost"
    message["Message-ID"] = f"<{mails[0].letter}@{domain}>"
    message["Auto-Submitted"] = "auto-generated"  # RFC 3834
    message["List-Unsubscribe"] = f"<{stop}>"  # RFC 8058
    message["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    message.set_content("\n\n".join(parts) + "\n", cte="quoted-printable")
    return message


def _subject(told: Sequence[Told], mails: Sequence[Mail], until: str | None) -> str:
    if not told and until is not None and not any(CONFIRM in mail.why for mail in mails):
        return f"Loading conditions: sign in before {_day(until)} to be told further"
    if not told:
        return "Loading conditions: the code for this address"
    first = f"{told[0].vessel}: {_words(told[0])}"
    more = f", and {len(told) - 1} more" if len(told) > 1 else ""
    return _one_line(first)[: MOST_SUBJECT - len(more)] + more


def _paragraph(told: Told, url: str) -> str:
    change = told.change
    lines = [f"{_one_line(told.vessel)}, {_one_line(told.title)}: {_words(told)}."]
    if told.note:
        lines.append(f"“{_one_line(told.note)}”")
    if change["verdict"] is not None:
        parts = [verdict_words(change["verdict"], change["dangers"])]
        if margin := stability_margin(change["least_stability_margin"], "metric"):
            parts.append(f"least stability margin {margin}")
        if left := load_line_margin(change["load_line_margin"], "metric"):
            parts.append(left)
        lines.append("; ".join(parts) + ".")
    lines.append(f"{url}/conditions/{change['condition']}/revisions/{change['revision']}")
    return "\n".join(lines)


def _words(told: Told) -> str:
    """What happened, in the order in which it matters."""
    why, change = told.mail.why, told.change
    parts = []
    if ANOTHER_VERDICT in why and told.mail.previous_verdict:
        parts.append(f"{_verdict(told.mail.previous_verdict)} before, {_verdict(change['verdict'])} now")
    if RETURNED in why:
        words = f"revision {change['revision']}"
        parts.append(
            f"{words} returned" if change["event"] == "review" else f"{words} answers what was returned"
        )
    if NEEDS_REVIEW in why:
        parts.append(f"revision {change['revision']} needs review")
    if IN_FORCE in why:
        parts.append(f"in force, revision {change['revision']}")
    return "; ".join(parts)


def _verdict(verdict: str | None) -> str:
    return {"pass": "passes", "fail": "fails", "incomplete": "incomplete"}.get(verdict or "", "")


def _day(moment: str) -> str:
    """A time as its day: "12 March 2026 (UTC)"."""
    at = datetime.fromisoformat(moment)
    return f"{at.day} {at:%B %Y} (UTC)"


def _one_line(text: str) -> str:
    """A text without what would begin a new line or does not show."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
