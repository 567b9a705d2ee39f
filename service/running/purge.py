"""Forgets what is kept for a time only, and tells readers whose sign-in grows old, in the background of a server."""

import asyncio
from typing import Final

import structlog
from anyio import to_thread

from service.actions.keep_unfinished import forget_unfinished
from service.actions.keep_unfinished_booklet import forget_unfinished_booklets
from service.actions.notices.send_mail import forget_old_mails
from service.actions.notices.sign_ins import forget_old_sign_ins, remind_of_sign_in
from service.actions.records.lifecycle import forget_old_answers
from service.actions.records.transactions import Records
from service.actions.webhooks.deliver import forget_old_deliveries
from service.wire.refusal import Refusal

SECONDS_BETWEEN: Final = 3600.0
EVERY_HOUR: Final = (
    *(forget_old_answers, forget_unfinished, forget_unfinished_booklets),
    *(forget_old_deliveries, forget_old_mails),
    *(forget_old_sign_ins, remind_of_sign_in),
)


async def keep_purging(records: Records) -> None:
    """Forget old answers, unfinished work, what was sent and old sign-ins, now and every hour; a database that is away
    is asked again later."""
    while True:
        try:
            for work in EVERY_HOUR:
                await to_thread.run_sync(work, records)
        except Refusal as refused:
            structlog.get_logger().warning("purge_failed", reason=refused.detail)
        except Exception as fault:  # noqa: BLE001 - as where no thread can be started: tried again later
            structlog.get_logger().error("purge_failed", fault=repr(fault))
        await asyncio.sleep(SECONDS_BETWEEN)
