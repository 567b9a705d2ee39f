"""What an operator watches besides requests: worker processes, waiting writes, the database and its feed."""

import asyncio

import anyio
from anyio import to_thread

from service.actions.records.lifecycle import RecordState, state_of_records
from service.actions.records.transactions import Records
from service.running.metrics import Metrics
from service.running.worker_pool import WorkerPool
from service.running.writer_queue import WriterQueue

SECONDS_BETWEEN_LOOKS = 10


def watch_pool(metrics: Metrics, pool: WorkerPool) -> None:
    """Gauges of the worker processes."""
    metrics.watch("loading_workers", "Worker processes, those that start among them.", pool.started)
    metrics.watch("loading_workers_idle", "Worker processes that wait for a task.", pool.idle)


def watch_writes(metrics: Metrics, threads: anyio.CapacityLimiter, queue: WriterQueue) -> None:
    """Gauges of what goes on with the records."""
    metrics.watch(
        "loading_record_threads_in_use", "Requests using the database.", lambda: threads.borrowed_tokens
    )
    metrics.watch("loading_writes_waiting", "Writes waiting for the next transaction.", queue.waiting)


class RecordGauges:
    """Gauges of the records, looked at now and then: no scrape waits for a database."""

    def __init__(self, records: Records, metrics: Metrics) -> None:
        self._records, self._state = records, RecordState()
        shown = {
            ("loading_database_up", "1 where the database answers."): lambda: self._state.is_up,
            ("loading_feed_head", "Number of the last change."): lambda: self._state.feed_head,
            ("loading_feed_head_seconds", "Time of it, since 1970."): lambda: self._state.feed_seconds,
            ("loading_webhooks_waiting", "Messages to webhooks not yet delivered."): lambda: (
                self._state.outbox
            ),
        }
        for (name, words), value in shown.items():
            metrics.watch(name, words, value)

    async def look(self) -> None:
        """Look once."""
        self._state = await to_thread.run_sync(state_of_records, self._records)

    async def keep_looking(self) -> None:
        """Look again and again."""
        while True:
            await asyncio.sleep(SECONDS_BETWEEN_LOOKS)
            await self.look()
