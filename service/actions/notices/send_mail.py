"""Mails taken from the outbox under a lease, made, and what became of them noted.

Sending itself is not here: between taking and noting lies no transaction.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from email.message import EmailMessage
from typing import Final

from service.actions.notices.mail_text import Letterhead, Told, mail_of
from service.actions.notices.sign_ins import SignInRule, good_until, is_good
from service.actions.records.transactions import Records
from service.actions.show_fleet import feed_line
from service.storage import CONFIRM, RENEW, Mail, ReaderInScope, Transaction, as_text, later

MOST_OF_A_MAIL: Final = 50
WAITS: Final = (60, 300, 1800, 7200, 18_000, 36_000, 50_400, 72_000)
"""Seconds from each failed attempt to the next: nine attempts in two days."""
DAYS_REMEMBERED: Final = 30
JITTER: Final = 0.1


@dataclass(frozen=True)
class MailSender:
    """Who sends: `name` stands in the leases. gather_seconds: how long changes wait for others to go in one mail.
    retry_seconds: to a second attempt; later waits grow with it. rule: which sign-ins mail may follow; None for
    none."""

    name: str
    lease_seconds: float
    gather_seconds: float
    retry_seconds: float
    head: Letterhead
    rule: SignInRule | None


@dataclass(frozen=True)
class Letter:
    """A mail to be sent."""

    mails: Sequence[Mail]
    to: str
    message: EmailMessage


def take_letter(records: Records, sender: MailSender) -> tuple[Letter | None, float | None]:
    """The next mail that is due, taken under a lease; and in how many seconds something is due next, None where nothing
    waits. What may not be told any more is struck out."""
    with records.reading() as tx:
        clock = tx.deliveries.clock()
        gathered = later(clock, timedelta(seconds=-sender.gather_seconds))
        due, following = tx.mail.due(clock, gathered), tx.mail.next_attempt()
    for key_id in due:
        letter, is_struck_out = None, True
        while is_struck_out:  # what came after it has its turn
            letter, is_struck_out = _letter_to(records, sender, key_id, clock)
        if letter is not None:
            return letter, 0.0
    if following is None:
        return None, None
    waits = (datetime.fromisoformat(following) - datetime.fromisoformat(clock)).total_seconds()
    return None, waits if waits > 0 else max(sender.gather_seconds / 4, 0.05)


def _letter_to(records: Records, sender: MailSender, key_id: str, clock: str) -> tuple[Letter | None, bool]:
    """The oldest mail to a reader that is due, taken under a lease, None where there is none; and whether there was one
    of which nothing may be told any more."""
    until = later(clock, timedelta(seconds=sender.lease_seconds))
    with records.writing() as tx:
        claimed = tx.mail.claim(key_id, sender.name, clock=clock, until=until, most=MOST_OF_A_MAIL)
        reader = _working(tx, sender.rule, key_id, clock)
        mails = _allowed(tx, sender, claimed, reader)
        told = [] if reader is None else [_news_of(tx, mail) for mail in mails if mail.change is not None]
    if not mails or reader is None:
        return None, bool(claimed)
    ends = None if reader.sign_in is None else good_until(sender.rule, reader.sign_in)
    message = mail_of(sender.head, reader.reader, mails, told, ends)
    return Letter(mails, reader.reader.address, message), False


def note_letter(records: Records, sender: MailSender, letter: Letter, error: str | None) -> None:
    """Note how an attempt ended; error: why it failed, None where the server took the mail."""
    with records.writing() as tx:
        clock = tx.deliveries.clock()
        if error is None:
            tx.mail.finish(letter.mails, sender.name, {"state": "sent", "error": None})
            return
        spread = random.uniform(1 - JITTER, 1 + JITTER)  # noqa: S311 - spreads load; the same for what goes together
        for mail in letter.mails:
            attempts = mail.attempts + 1
            values = {"attempts": attempts, "error": error[:200]}
            if attempts > len(WAITS):
                values["state"] = "dead"
            else:
                wait = WAITS[attempts - 1] / WAITS[0] * sender.retry_seconds
                values["next_attempt"] = later(clock, timedelta(seconds=wait * spread))
            tx.mail.finish([mail], sender.name, values)


def release_mails(records: Records, sender: MailSender | None) -> None:
    """Give back the leases of a sender that stops; of everybody where it is None."""
    with records.writing() as tx:
        tx.mail.release(None if sender is None else sender.name)


def forget_old_mails(records: Records) -> int:
    """Forget what was sent `DAYS_REMEMBERED` ago; how many."""
    with records.writing() as tx:
        before = datetime.fromisoformat(tx.now) - timedelta(days=DAYS_REMEMBERED)
        return tx.mail.purge(as_text(before))


def _working(tx: Transaction, rule: SignInRule | None, key_id: str, clock: str) -> ReaderInScope | None:
    """The reader, where its key works or its sign-in is good."""
    reader = tx.mail.working(clock).get(key_id)
    if reader is None or (reader.sign_in is not None and not is_good(rule, reader.sign_in, clock)):
        return None
    return reader


def _allowed(
    tx: Transaction, sender: MailSender, mails: Sequence[Mail], reader: ReaderInScope | None
) -> list[Mail]:
    """Those of the rows that the reader may still be told; the others are noted as dead."""

    def may(mail: Mail) -> bool:
        if reader is None:
            return False
        if CONFIRM in mail.why:
            return reader.reader.confirmed is None
        if RENEW in mail.why:  # a sign-in since has nothing to be reminded of
            return reader.sign_in is not None and reader.sign_in.reminded is not None
        return reader.reader.confirmed is not None and reader.sees(mail.vessel)

    refused = [mail for mail in mails if not may(mail)]
    if refused:
        words = "This reader may not be told of this any more."
        tx.mail.finish(refused, sender.name, {"state": "dead", "error": words})
    return [mail for mail in mails if may(mail)]


def _news_of(tx: Transaction, mail: Mail) -> Told:
    assert mail.change is not None
    change = tx.changes.get(mail.change)
    figures = tx.conditions.figures_in_feed(change.id - 1, change.id)
    place = (change.condition or "", change.revision)
    line = tx.conditions.lines([place]).get(place)
    note = None
    if change.event == "review" and change.condition is not None:
        reviews = tx.reviews.of(change.condition, change.revision)
        note = next((review.note for review in reviews if review.number == change.review), None)
    names = tx.vessels.names({change.vessel})
    return Told(
        mail,
        feed_line(change, figures),
        names.get(change.vessel, change.vessel),
        line.title if line is not None else "a condition",
        note,
    )
