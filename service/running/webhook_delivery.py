"""Sends messages to webhooks, in the background of a server: bounded in number, in time and in size.

Belongs to one event loop. It sleeps until something is due or this process, or by notification another one, has added
to the feed.
"""

import asyncio
import secrets
import ssl
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import Final, TypeVar

import anyio
import httpcore
import structlog
from anyio import to_thread

from service.actions.records.transactions import Records
from service.actions.webhooks.deliver import (
    Message,
    Outcome,
    Sender,
    headers_of,
    release_messages,
    take_messages,
)
from service.actions.webhooks.destination import Destinations
from service.running.guarded_connection import NotPermitted, guarded_pool
from service.running.metrics import Metrics
from service.wire.refusal import Refusal

T = TypeVar("T")
MOST_AT_ONCE: Final = 32
MOST_OF_A_WEBHOOK: Final = 4
FAILING: Final = 3
"""Failures in a row after which a webhook has one message at a time: a dead receiver takes no room from others."""
LONGEST_SLEEP: Final = 30.0
AFTER_A_FAULT: Final = 5.0
LEASE_BEYOND_TIMEOUT: Final = 10.0
USER_AGENT: Final = "loading-conditions-webhooks"


class WebhookDelivery:
    """The sender of one process."""

    def __init__(
        self,
        records: Records,
        pepper: bytes,
        destinations: Destinations,
        tls: ssl.SSLContext,
        metrics: Metrics,
        *,
        timeout: float,
        first_wait: float,
    ) -> None:
        """timeout: seconds from the name to the status of the answer. first_wait: see `Sender`."""
        self._records, self._pepper, self._metrics, self._timeout = records, pepper, metrics, timeout
        self._sender = Sender(secrets.token_hex(8), timeout + LEASE_BEYOND_TIMEOUT, first_wait)
        self._open = {
            b"http": partial(guarded_pool, destinations, "http", tls),
            b"https": partial(guarded_pool, destinations, "https", tls),
        }
        self._pools: dict[bytes, httpcore.AsyncConnectionPool] = {}
        self._sending: dict[asyncio.Task[Outcome], str] = {}
        self._failures: Counter[str] = Counter()
        self._woken = asyncio.Event()
        self._threads = anyio.CapacityLimiter(1)
        self._log = structlog.get_logger()

    def wake(self) -> None:
        """Look for messages soon: something was kept. To be called on the event loop."""
        self._woken.set()

    async def run(self, *, alone: bool) -> None:
        """Send until cancelled. alone: nobody else sends from these records, so that leases left over are nobody's."""
        outcomes: list[Outcome] = []
        self._pools = {scheme: opened() for scheme, opened in self._open.items()}
        try:
            if alone:
                with suppress(Refusal):
                    await self._in_thread(partial(release_messages, self._records, None))
            while True:
                try:
                    sleep = await self._turn(outcomes)
                    outcomes = []
                except Refusal as refused:  # the records are away; what was sent is noted later
                    self._log.warning("webhooks_wait", reason=refused.detail)
                    sleep = AFTER_A_FAULT
                outcomes += await self._wait(sleep)
        finally:
            with anyio.CancelScope(shield=True):
                await self._stop(outcomes)

    async def _turn(self, outcomes: list[Outcome]) -> float:
        """Note, take, begin to send; seconds to the next turn unless something happens."""
        for outcome in outcomes:
            self._count(outcome)
        sending = Counter(self._sending.values())

        def room(webhook: str) -> int:
            return self._most_of(webhook) - sending[webhook]

        messages, due = await self._in_thread(
            partial(
                take_messages,
                self._records,
                self._sender,
                list(outcomes),
                room,
                MOST_AT_ONCE - len(self._sending),
            )
        )
        for message in messages:
            task = asyncio.create_task(self._send(message))
            self._sending[task] = message.webhook.id
        if due is None:
            return LONGEST_SLEEP
        # What is due now and was not taken has no room: then a message that ends begins the next turn.
        return min(due, LONGEST_SLEEP) if due > 0 else LONGEST_SLEEP if self._sending else 0.05

    def _most_of(self, webhook: str) -> int:
        return MOST_OF_A_WEBHOOK if self._failures[webhook] < FAILING else 1

    def _count(self, outcome: Outcome) -> None:
        webhook = outcome.delivery.webhook
        if outcome.succeeded:
            self._failures.pop(webhook, None)
        else:
            self._failures[webhook] += 1
            self._log.warning(
                "webhook_failed", webhook=webhook, status=outcome.status, reason=outcome.error or ""
            )
        self._metrics.webhook_attempts.labels("delivered" if outcome.succeeded else "failed").inc()

    async def _wait(self, seconds: float) -> list[Outcome]:
        """Until a message ends, somebody wakes us, or the time is over; how messages ended."""
        woken = asyncio.create_task(self._woken.wait())
        try:
            await asyncio.wait([woken, *self._sending], timeout=seconds, return_when=asyncio.FIRST_COMPLETED)
        finally:
            woken.cancel()
        self._woken.clear()
        return self._ended()

    def _ended(self) -> list[Outcome]:
        done = [task for task in self._sending if task.done()]
        for task in done:
            del self._sending[task]
        return [task.result() for task in done if not task.cancelled()]

    async def _send(self, message: Message) -> Outcome:
        """One attempt. Never raises: whatever goes wrong is its outcome."""
        status, error = None, None
        try:
            async with asyncio.timeout(self._timeout):
                status = await self._status_of(message)
            if not 200 <= status < 300:
                error = f"The receiver answered {status}."
        except TimeoutError:
            error = f"The receiver did not answer within {self._timeout:g} s."
        except NotPermitted as refused:
            error = str(refused)
        except Exception as fault:  # noqa: BLE001 - whatever a receiver does ends an attempt, not the sender
            error = _words(fault)
        return Outcome(message.delivery, status, error)

    async def _status_of(self, message: Message) -> int:
        url = httpcore.URL(message.webhook.url)
        headers = [*headers_of(message, self._pepper).items(), ("User-Agent", USER_AGENT)]
        limits = dict.fromkeys(("connect", "read", "write", "pool"), self._timeout)
        async with self._pools[url.scheme].stream(
            "POST", url, headers=headers, content=message.body, extensions={"timeout": limits}
        ) as answer:
            return int(answer.status)  # its body is not read: the connection is closed instead

    async def _stop(self, outcomes: list[Outcome]) -> None:
        """Give everything back; messages that are half sent are sent again, under the same id."""
        outcomes = [*outcomes, *self._ended()]
        for task in self._sending:
            task.cancel()
        await asyncio.gather(*self._sending, return_exceptions=True)
        outcomes += self._ended()
        with suppress(Refusal):
            await self._in_thread(partial(release_messages, self._records, self._sender, outcomes))
        for pool in self._pools.values():
            await pool.aclose()

    async def _in_thread(self, work: Callable[[], T]) -> T:
        return await to_thread.run_sync(work, limiter=self._threads)


def _words(fault: Exception) -> str:
    """Why an attempt failed, for the owner of the webhook."""
    cause: BaseException | None = fault
    while cause is not None:
        if isinstance(cause, ssl.SSLCertVerificationError):
            return f"The certificate is not trusted: {cause.verify_message}."
        cause = cause.__cause__ or cause.__context__
    match fault:
        case httpcore.TimeoutException():
            return "The receiver did not answer in time."
        case httpcore.ConnectError():
            return "There was no connection to the receiver."
        case httpcore.ProtocolError() | httpcore.ReadError() | httpcore.WriteError():
            return "The receiver hung up, or answered something that is not HTTP."
    return f"The message could not be sent ({type(fault).__name__})."
