"""What the routes of one application share, built when it starts."""

from typing import Protocol

import anyio

from service.actions.access import Access
from service.actions.assess import Assessor
from service.actions.records import Records
from service.api.calculation_slots import CalculationSlots
from service.api.judging import JudgeQueue
from service.api.line_assessor import Workers
from service.api.metrics import Metrics
from service.api.rate_limit import RateLimit
from service.api.readings import Readings
from service.api.writer_queue import WriterQueue


class State(Protocol):
    """The attributes of `app.state`."""

    assessor: Assessor
    workers: Workers
    slots: CalculationSlots
    metrics: Metrics
    max_json_depth: int
    max_line_bytes: int
    batch_chunk_lines: int
    calculation_version: str
    service_version: str


class RecordState(Protocol):
    """The attributes of `app.state` that routes of kept records use beside those of `State`."""

    assessor: Assessor
    slots: CalculationSlots
    records: Records
    access: Access
    rate_limit: RateLimit
    record_threads: anyio.CapacityLimiter
    judge_queue: JudgeQueue
    writer_queue: WriterQueue
    in_flight: set[tuple[str, str]]
    readings: Readings
    max_page_size: int
    max_json_depth: int
