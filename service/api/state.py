"""What the routes of one application share, built when it starts."""

from typing import Protocol

import anyio

from service.actions.access import Access
from service.actions.assess import AssessmentDesk
from service.actions.records import Records
from service.actions.worker_pool import WorkerPool
from service.api.calculation_slots import CalculationSlots
from service.api.gathering import Gathering
from service.api.keeping import Keeping
from service.api.metrics import Metrics
from service.api.rate_limit import RateLimit


class State(Protocol):
    """The attributes of `app.state`."""

    desk: AssessmentDesk
    batch_pool: WorkerPool
    round_pool: WorkerPool
    gathering: Gathering
    slots: CalculationSlots
    metrics: Metrics
    max_json_depth: int
    max_line_bytes: int
    batch_chunk_lines: int
    calculation_version: str
    service_version: str


class RecordState(Protocol):
    """The attributes of `app.state` that routes of kept records use beside those of `State`."""

    desk: AssessmentDesk
    slots: CalculationSlots
    records: Records
    access: Access
    rate_limit: RateLimit
    record_threads: anyio.CapacityLimiter
    gathering: Gathering
    keeping: Keeping
    in_flight: set[tuple[str, str]]
    max_page_size: int
    max_json_depth: int
