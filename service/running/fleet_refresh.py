"""Keeps what the fleet shows complete, in the background of a server."""

import asyncio
from typing import Final

import structlog
from anyio import to_thread

from service.actions.records.transactions import Records
from service.actions.refresh_fleet import refresh_fleet
from service.wire.refusal import Refusal

SECONDS_BETWEEN: Final = 300.0


async def keep_fleet_fresh(records: Records) -> None:
    """Now and every five minutes; a database that is away is asked again later."""
    while True:
        try:
            await to_thread.run_sync(refresh_fleet, records)
        except Refusal as refused:
            structlog.get_logger().warning("fleet_refresh_failed", reason=refused.detail)
        await asyncio.sleep(SECONDS_BETWEEN)
