"""The application: every part built when it starts and handed to the routes, nothing at import."""

import asyncio
from collections.abc import AsyncGenerator
from contextlib import asynccontextmanager, closing
from functools import partial
from pathlib import Path

import anyio
import structlog
from anyio import to_thread
from fastapi import FastAPI

from service.actions.access import Access
from service.actions.assess import Assessor
from service.actions.demo_vessel import find_demo_vessel, ready_demo_vessel
from service.actions.enter_demo_ships import enter_demo_ships
from service.actions.garbage import settle
from service.actions.records import Records
from service.actions.refusal import Refusal
from service.actions.start import close_records, facts_of, forget_old_answers, open_records, why_not_ready
from service.actions.stored_vessels import StoredVessels
from service.actions.version import CALCULATION_VERSION
from service.actions.worker_pool import WorkerPool
from service.api import (
    assessments,
    audit,
    changes,
    comparison,
    condition_workbooks,
    conditions,
    fleet,
    keys,
    operations,
    problem_pages,
    reassessments,
    reference,
    reviews,
    revisions,
    rule_sets,
    vessel_checks,
    vessels,
    workbooks,
)
from service.api.calculation_slots import CalculationSlots
from service.api.envelope import Envelope
from service.api.judging import JudgeQueue
from service.api.line_assessor import Workers
from service.api.metrics import Metrics
from service.api.openapi import openapi_of
from service.api.problems import answer_with_problems, log_unexpected, problem_of
from service.api.rate_limit import RateLimit
from service.api.readings import Readings
from service.api.writer_queue import WriterQueue
from service.pages.mount import add_pages
from service.settings import Settings

SERVICE_VERSION = "0.1.0"
ALWAYS = (
    assessments.direct,
    assessments.router,
    rule_sets.router,
    operations.router,
    problem_pages.router,
    reference.router,
)
WITH_RECORDS = (
    conditions.router,
    conditions.direct,
    workbooks.router,
    condition_workbooks.router,
    vessels.router,
    vessel_checks.router,
    revisions.router,
    comparison.router,
    reviews.router,
    reassessments.router,
    fleet.router,
    changes.router,
    keys.router,
    audit.router,
)
SECONDS_BETWEEN_PURGES = 3600
EXAMPLES = Path(__file__).parent.parent / "openapi_examples"


def create_app(settings: Settings) -> FastAPI:
    """The service as these settings say. Calculations and storage are made when it starts."""
    metrics = Metrics()
    app = FastAPI(
        title="Loading conditions",
        version=SERVICE_VERSION,
        lifespan=partial(_run, settings, metrics),
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
    )
    state = app.state
    state.metrics = metrics
    state.max_json_depth = settings.max_json_depth
    state.max_page_size = settings.max_page_size
    state.max_line_bytes = settings.max_line_bytes
    state.batch_chunk_lines = settings.batch_chunk_lines
    state.calculation_version = CALCULATION_VERSION
    state.service_version = SERVICE_VERSION
    state.describe = lambda: openapi_of(app, SERVICE_VERSION, EXAMPLES)
    for router in (*ALWAYS, *(WITH_RECORDS if settings.database_url else ())):
        app.router.routes.extend(router.routes)  # flat: each router included costs every request a search
    answer_with_problems(app)
    if settings.database_url:
        add_pages(app, problem_of, log_unexpected)
    app.add_middleware(
        Envelope,
        metrics=metrics,
        body_limit=settings.max_body_bytes,
        body_limits={"/v1/assessments/batch": settings.max_batch_bytes},
        workbook_limit=settings.max_workbook_bytes,
        access_log=settings.access_log,
    )
    return app


@asynccontextmanager
async def _run(settings: Settings, metrics: Metrics, app: FastAPI) -> AsyncGenerator[None]:
    """What the routes share, for as long as the application runs."""
    state = app.state
    records = await _opened(settings)
    stored = None if records is None else StoredVessels(records)
    find = find_demo_vessel if stored is None else stored.find
    ready = ready_demo_vessel if stored is None else stored.ready
    state.records = records
    state.access = Access(records, settings.pepper() if records else b"")
    state.assessor = Assessor(find, ready, json_depth=settings.max_json_depth)
    workers = settings.worker_processes if settings.worker_processes > 1 else 0
    state.workers = Workers(WorkerPool(workers, settings.max_json_depth))
    state.record_threads = anyio.CapacityLimiter(settings.record_threads)
    state.rate_limit = RateLimit(settings.rate_per_second, settings.rate_burst)
    state.in_flight = set()
    state.readings = Readings()
    state.slots = CalculationSlots(
        settings.calculation_slots, settings.waiting_room, settings.max_batches, metrics
    )
    state.readiness_checks = []
    if records is not None and settings.demo:
        await to_thread.run_sync(enter_demo_ships, records, state.assessor)
    settle()
    with closing(state.workers.pool):
        if records is None:
            yield
            return
        state.judge_queue = JudgeQueue(state.assessor, state.slots, state.workers)
        state.writer_queue = WriterQueue(records, state.record_threads)
        state.readiness_checks.append(partial(to_thread.run_sync, why_not_ready, records))
        purging = asyncio.create_task(_purge(records))
        try:
            yield
        finally:
            purging.cancel()
            close_records(records)


async def _opened(settings: Settings) -> Records | None:
    if not settings.database_url:
        return None
    records = await to_thread.run_sync(open_records, settings.database_url, settings.record_threads)
    facts = await to_thread.run_sync(facts_of, records)
    if facts.warning:
        structlog.get_logger().warning("records", warning=facts.warning)
    return records


async def _purge(records: Records) -> None:
    """Forget old answers now and every hour; a database that is away for a while is asked again later."""
    while True:
        try:
            await to_thread.run_sync(forget_old_answers, records)
        except Refusal as refused:
            structlog.get_logger().warning("purge_failed", reason=refused.detail)
        await asyncio.sleep(SECONDS_BETWEEN_PURGES)
