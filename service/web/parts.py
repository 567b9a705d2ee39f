"""What API and pages of one application share: built once when it starts, typed, and never exchanged."""

import hashlib
import json
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import anyio
from starlette.requests import Request

from service.actions.access import Access
from service.actions.assess import Assessor
from service.actions.notices.sign_ins import SignInRule
from service.actions.records.transactions import Records
from service.actions.webhooks.destination import Destinations
from service.running.calculation_slots import CalculationSlots
from service.running.change_signal import ChangeSignal
from service.running.judging import JudgeQueue
from service.running.line_assessor import Workers
from service.running.metrics import Metrics
from service.running.tracing import Span
from service.running.writer_queue import WriterQueue
from service.web.rate_limit import RateLimit
from service.web.readings import Readings
from service.wire.review import Review


@dataclass(frozen=True)
class Description:
    """The OpenAPI document, its text and the tag of that."""

    document: dict[str, Any]

    @cached_property
    def text(self) -> bytes:
        """As it is sent."""
        return json.dumps(self.document, ensure_ascii=False).encode("utf-8")

    @cached_property
    def etag(self) -> str:
        """Changes with the release alone."""
        return hashlib.sha256(self.text).hexdigest()


@dataclass(frozen=True)
class Parts:
    """The parts of every application.

    describe: the description of the service, made at the first call. readiness_checks: each gives the reason why
    requests should not be sent here, None where there is none. unknown_keys: counts by address. metrics_port: of the
    address that `/metrics` has to itself, None where it is beside the API."""

    calculation_version: str
    service_version: str
    max_json_depth: int
    max_page_size: int
    max_line_bytes: int
    batch_chunk_lines: int
    assessor: Assessor
    workers: Workers
    slots: CalculationSlots
    metrics: Metrics
    metrics_port: int | None
    span: Span
    access: Access
    rate_limit: RateLimit
    unknown_keys: RateLimit
    record_threads: anyio.CapacityLimiter
    describe: Callable[[], Description]
    readiness_checks: tuple[Callable[[], Awaitable[str | None]], ...]


@dataclass(frozen=True)
class RecordParts(Parts):
    """The parts of an application that stores records.

    in_flight: key and name of each repeatable request that is being answered.
    readings: where workbooks are read, two at a time. changes: tells that the feed grew. destinations: where webhooks
    may be sent to. reader_rate: of those who read the feed as Atom. set_report: a revision's report as PDF, of what
    `actions/report_data.py` reads. set_plan_report: that of its whole plan. public_url: where people reach the pages,
    empty where nobody said. sends_mail: whether there is a mail server. sign_in_rule: which sign-ins mail may
    follow, None where there is no provider."""

    records: Records
    judge_queue: JudgeQueue
    writer_queue: WriterQueue
    in_flight: set[tuple[str, str]]
    readings: Readings
    changes: ChangeSignal
    destinations: Destinations
    reader_rate: RateLimit
    set_report: Callable[[dict[str, Any], list[Review], int, dict[str, Any]], bytes]
    set_plan_report: Callable[[dict[str, Any], list[Review], int, dict[str, Any]], bytes]
    public_url: str
    sends_mail: bool
    sign_in_rule: SignInRule | None


def parts_of(request: Request) -> Parts:
    """The parts of the application that a request came to."""
    parts: Parts = request.app.state.parts
    return parts


def record_parts_of(request: Request) -> RecordParts:
    """The same for routes that exist only where records are stored."""
    parts: RecordParts = request.app.state.parts
    return parts
