"""What the routes of one application share, built when it starts."""

from typing import Protocol

from service.api.calculation_slots import CalculationSlots
from service.api.desk import Desk
from service.api.metrics import Metrics


class State(Protocol):
    """The attributes of `app.state`."""

    desk: Desk
    slots: CalculationSlots
    metrics: Metrics
    max_json_depth: int
    max_line_bytes: int
    batch_chunk_lines: int
    calculation_version: str
    service_version: str
