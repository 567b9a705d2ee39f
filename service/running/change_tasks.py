"""What a server does in the background about its feed: hears of other servers' changes, sends webhooks and mail."""

import asyncio
from collections.abc import AsyncGenerator
from contextlib import asynccontextmanager

import structlog

from service.actions.records.lifecycle import is_only_server, listen_for_changes
from service.actions.records.transactions import Records
from service.running.change_signal import ChangeSignal
from service.running.mail_delivery import MailDelivery
from service.running.webhook_delivery import WebhookDelivery
from service.wire.refusal import Refusal

SECONDS_TO_LISTEN_AGAIN = 2.0
SECONDS_AFTER_A_FAULT = 10.0


@asynccontextmanager
async def running_changes(
    records: Records, signal: ChangeSignal, delivery: WebhookDelivery, mail: MailDelivery | None
) -> AsyncGenerator[None]:
    """These tasks, for as long as the block runs. Leases are given back and what is known is noted at its end."""
    signal.attach(asyncio.get_running_loop())
    senders: list[WebhookDelivery | MailDelivery] = [delivery, *([] if mail is None else [mail])]
    signal.listeners += [sender.wake for sender in senders]
    records.heard.append(signal.heard)
    tasks = [
        asyncio.create_task(_listen(records, signal)),
        *(asyncio.create_task(_deliver(sender, alone=is_only_server(records))) for sender in senders),
    ]
    try:
        yield
    finally:
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        records.heard.remove(signal.heard)


async def _listen(records: Records, signal: ChangeSignal) -> None:
    while True:
        try:
            await listen_for_changes(records, signal.hear)
            return
        except Refusal:  # the connection is lost: what came meanwhile is heard when it is back
            pass
        except Exception as fault:  # noqa: BLE001 - as where no thread can be started: tried again
            structlog.get_logger().error("listening failed", fault=repr(fault))
        await asyncio.sleep(SECONDS_TO_LISTEN_AGAIN)


async def _deliver(delivery: WebhookDelivery | MailDelivery, *, alone: bool) -> None:
    """Send for ever; a fault of the sender is logged, and it begins anew."""
    while True:
        try:
            await delivery.run(alone=alone)
        except Exception as fault:  # noqa: BLE001 - senders come back by themselves
            structlog.get_logger().error(f"{type(delivery).__name__} failed", fault=repr(fault))
        await asyncio.sleep(SECONDS_AFTER_A_FAULT)
