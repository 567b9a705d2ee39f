"""Keeps what the fleet shows complete, in the background of a server."""

import asyncio
from typing import Final

import structlog
from anyio import to_thread

from service.actions.records.transactions import Records
from service.actions.refresh_fleet import refresh_some
from service.wire.refusal import Refusal

SECONDS_BETWEEN: Final = 300.0
PAUSE: Final = 0.05


async def keep_fleet_fresh(records: Records) -> None:
    """Now and every five minutes; a database that is away is asked again later. In small steps with pauses, so that
    requests have the processor and a server may end in between."""
    skipped: set[str] = set()
    while True:
        done = 0
        try:
            done = await to_thread.run_sync(refresh_some, records, skipped)
        except Refusal as refused:
            structlog.get_logger().warning("fleet_refresh_failed", reason=refused.detail)
        except Exception as fault:  # noqa: BLE001 - as where no thread can be started: tried again later
            structlog.get_logger().error("fleet_refresh_failed", fault=repr(fault))
        await asyncio.sleep(PAUSE if done else SECONDS_BETWEEN)
