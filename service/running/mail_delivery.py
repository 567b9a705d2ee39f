"""Sends mail to readers, in the background of a server, one at a time: no request ever waits for a mail server.

Belongs to one event loop; the talk with the server (RFC 5321) is in a thread. It sleeps until something is due or this
process, or by notification another one, has added to the feed.
"""

import asyncio
import secrets
import smtplib
import socket
import ssl
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from email.message import EmailMessage
from functools import partial
from typing import Final, Literal

import anyio
import structlog
from anyio import to_thread

from service.actions.notices.mail_text import Letterhead
from service.actions.notices.send_mail import Letter, MailSender, note_letter, release_mails, take_letter
from service.actions.notices.sign_ins import SignInRule
from service.actions.records.transactions import Records
from service.running.metrics import Metrics
from service.wire.refusal import Refusal

LONGEST_SLEEP: Final = 30.0
AFTER_A_FAULT: Final = 5.0
LEASE_BEYOND_TIMEOUT: Final = 30.0


@dataclass(frozen=True)
class MailServer:
    """Where mail is handed over. security: starttls and tls are never left out where the server does not offer them.
    timeout: seconds for a mail altogether. helo: what this service calls itself."""

    host: str
    port: int
    security: Literal["starttls", "tls", "none"]
    user: str
    password: str
    timeout: float
    context: ssl.SSLContext
    helo: str


class Conversation:
    """One mail handed to the server. `hang_up` ends it from another thread."""

    def __init__(self, server: MailServer) -> None:
        self._server = server
        self._smtp: smtplib.SMTP | None = None

    def send(self, to: str, message: EmailMessage) -> None:
        """Raises OSError, smtplib.SMTPException or ValueError where the server did not take it."""
        server = self._server
        watch = threading.Timer(server.timeout, self.hang_up)
        watch.daemon = True
        watch.start()
        try:
            smtp = self._smtp = self._opened()
            if server.security == "starttls":
                smtp.starttls(context=server.context)
            if server.user:
                smtp.login(server.user, server.password)
            smtp.send_message(message, to_addrs=[to])
            with suppress(OSError, smtplib.SMTPException):  # it has the mail already
                smtp.quit()
        finally:
            watch.cancel()
            if self._smtp is not None:
                self._smtp.close()

    def _opened(self) -> smtplib.SMTP:
        server = self._server
        if server.security == "tls":
            return smtplib.SMTP_SSL(
                server.host, server.port, server.helo, timeout=server.timeout, context=server.context
            )
        return smtplib.SMTP(server.host, server.port, server.helo, server.timeout)

    def hang_up(self) -> None:
        """Close the connection under the thread that talks."""
        sock = None if self._smtp is None else self._smtp.sock
        if sock is not None:
            with suppress(OSError):
                sock.shutdown(socket.SHUT_RDWR)


class MailDelivery:
    """The sender of one process."""

    def __init__(self, records: Records, sender: MailSender, server: MailServer, metrics: Metrics) -> None:
        self._records, self._sender, self._server, self._metrics = records, sender, server, metrics
        self._woken = asyncio.Event()
        self._threads = anyio.CapacityLimiter(1)
        self._log = structlog.get_logger()

    def wake(self) -> None:
        """Look for mail soon: something was kept. To be called on the event loop."""
        self._woken.set()

    async def run(self, *, alone: bool) -> None:
        """Send until cancelled. alone: nobody else sends from these records, so that leases left over are nobody's."""
        try:
            if alone:
                with suppress(Refusal):
                    await self._in_thread(release_mails, self._records, None)
            while True:
                await self._turn()
        finally:
            with anyio.CancelScope(shield=True), suppress(Refusal):
                await self._in_thread(release_mails, self._records, self._sender)

    async def _turn(self) -> None:
        self._woken.clear()
        try:
            letter, wait = await to_thread.run_sync(
                take_letter, self._records, self._sender, limiter=self._threads
            )
            if letter is None:
                await self._sleep(LONGEST_SLEEP if wait is None else min(wait, LONGEST_SLEEP))
                return
            error = await self._error_of(letter)
            self._count(error)
            await self._in_thread(note_letter, self._records, self._sender, letter, error)
        except Refusal as refused:  # the records are away
            self._log.warning("mail_waits", reason=refused.detail)
            await asyncio.sleep(AFTER_A_FAULT)

    async def _error_of(self, letter: Letter) -> str | None:
        """One attempt; why it failed, None where the server took the mail."""
        talk = Conversation(self._server)
        try:
            send = partial(talk.send, letter.to, letter.message)
            await to_thread.run_sync(send, limiter=self._threads, abandon_on_cancel=True)
        except asyncio.CancelledError:
            talk.hang_up()
            raise
        except Exception as fault:  # noqa: BLE001 - whatever a server does ends an attempt, not the sender
            return words_of(fault)
        return None

    def _count(self, error: str | None) -> None:
        if error is not None:
            self._log.warning("mail_failed", reason=error)
        self._metrics.mails.labels("failed" if error else "sent").inc()

    async def _sleep(self, seconds: float) -> None:
        with suppress(TimeoutError):
            await asyncio.wait_for(self._woken.wait(), seconds)

    async def _in_thread(self, work: Callable[..., None], *given: object) -> None:
        await to_thread.run_sync(partial(work, *given), limiter=self._threads)


def mail_delivery(
    records: Records,
    head: Letterhead,
    server: MailServer,
    metrics: Metrics,
    *,
    rule: SignInRule | None,
    gather: float,
    first_wait: float,
) -> MailDelivery:
    """The sender of this process. gather, first_wait: seconds, and rule: see `MailSender`."""
    lease = 2 * server.timeout + LEASE_BEYOND_TIMEOUT  # connecting has its own limit before the talk has
    sender = MailSender(secrets.token_hex(8), lease, gather, first_wait, head, rule)
    return MailDelivery(records, sender, server, metrics)


def words_of(fault: Exception) -> str:
    """Why an attempt failed, for the reader and the log: without the address, which the server may repeat."""
    match fault:
        case smtplib.SMTPRecipientsRefused():
            codes = sorted({code for code, _ in fault.recipients.values()})
            return f"The mail server refuses the address ({', '.join(map(str, codes))})."
        case smtplib.SMTPAuthenticationError():
            return f"The mail server does not take this service's name and password ({fault.smtp_code})."
        case smtplib.SMTPNotSupportedError():
            return "The mail server does not offer what is needed (STARTTLS, or signing in)."
        case smtplib.SMTPServerDisconnected():
            return "The mail server hung up, or took too long."
        case smtplib.SMTPResponseException():
            return f"The mail server refused the mail ({fault.smtp_code})."
        case ssl.SSLCertVerificationError():
            return f"The certificate of the mail server is not trusted: {fault.verify_message}."
        case TimeoutError():
            return "The mail server did not answer in time."
        case OSError():
            return "There was no connection to the mail server."
    return f"The mail could not be sent ({type(fault).__name__})."
