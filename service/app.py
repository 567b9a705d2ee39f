"""The application: every part built when it starts and handed to the routes, nothing at import."""

import asyncio
import sys
from collections.abc import AsyncGenerator, Callable, Sequence
from contextlib import AsyncExitStack, asynccontextmanager, closing, suppress
from dataclasses import fields
from functools import cache, partial
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import anyio
import structlog
from anyio import to_thread
from fastapi import FastAPI
from fastapi.telemetry import TelemetryConfig

from service.actions.access import Access
from service.actions.assess import Assessor
from service.actions.demo_vessel import demo_vessel_document, find_demo_vessel, ready_demo_vessel
from service.actions.enter_demo_ships import enter_demo_ships
from service.actions.notices.mail_text import Letterhead
from service.actions.notices.sign_ins import SignInRule
from service.actions.pepper import usable_pepper
from service.actions.records.lifecycle import (
    close_records,
    facts_of,
    open_records,
    why_not_ready,
)
from service.actions.records.transactions import Records
from service.actions.stored_conditions import StoredConditions
from service.actions.stored_vessels import StoredVessels
from service.actions.webhooks.destination import Destinations, networks_of
from service.api import (
    assessments,
    audit,
    bulk,
    changelog,
    changes,
    comparison,
    condition_workbooks,
    conditions,
    copies,
    findings,
    fleet,
    inclining_tests,
    keys,
    named_fleets,
    operations,
    points,
    reader_feed,
    reassessments,
    remedies,
    report,
    reviews,
    revisions,
    rule_sets,
    sensitivities,
    states,
    uncertainty,
    unfinished,
    vcg_limits,
    vessel_checks,
    vessels,
    webhooks,
    workbooks,
)
from service.api.compression import Compression
from service.api.deprecation import DEPRECATIONS, Deprecations
from service.api.description import problem_pages, reference
from service.api.description.openapi import openapi_of
from service.api.methods import Methods
from service.api.metrics_server import metrics_server
from service.pages.compiled_templates import compile_templates
from service.pages.mount import add_pages
from service.pages.page import PageParts, Pages
from service.running.calculation_slots import CalculationSlots
from service.running.change_signal import ChangeSignal
from service.running.change_tasks import running_changes
from service.running.fleet_refresh import keep_fleet_fresh
from service.running.garbage_collection import collect_seldom
from service.running.gauges import RecordGauges, watch_pool, watch_writes
from service.running.guarded_connection import tls_context
from service.running.judging import JudgeQueue
from service.running.line_assessor import Workers
from service.running.mail_delivery import MailDelivery, MailServer, mail_delivery
from service.running.metrics import Metrics
from service.running.purge import keep_purging
from service.running.tracing import UNTRACED, Span, Traces, no_span
from service.running.webhook_delivery import WebhookDelivery
from service.running.worker_pool import WorkerPool
from service.running.writer_queue import WriterQueue
from service.settings import Settings
from service.translation.calculation_version import CALCULATION_VERSION
from service.web.identity_provider import IdentityProvider, ProviderSettings
from service.web.middleware import RequestMiddleware
from service.web.parts import Description, Parts, RecordParts
from service.web.problems import answer_with_problems
from service.web.rate_limit import RateLimit
from service.web.readings import Readings

SERVICE_VERSION = "0.1.0"
ALWAYS = (
    assessments.direct,
    assessments.router,
    sensitivities.router,
    remedies.router,
    uncertainty.router,
    vcg_limits.router,
    inclining_tests.router,
    rule_sets.router,
    findings.router,
    changelog.router,
    operations.router,
    problem_pages.router,
    reference.router,
)
WITH_RECORDS = (
    conditions.router,
    conditions.direct,
    bulk.router,
    workbooks.router,
    condition_workbooks.router,
    vessels.router,
    vessel_checks.router,
    revisions.router,
    points.router,
    comparison.router,
    copies.router,
    reviews.router,
    states.router,
    unfinished.router,
    reassessments.router,
    report.router,
    fleet.router,
    changes.router,
    reader_feed.router,
    webhooks.router,
    keys.router,
    named_fleets.router,
    audit.router,
)
UNKNOWN_KEYS_AT_ONCE = 30
ATOM_AT_ONCE = 10
SECONDS_OF_A_THREAD = 0.001
_PACKAGE = Path(__file__).parent
EXAMPLES = (_PACKAGE / "_examples", _PACKAGE.parent / "openapi_examples")
"""Where the examples of the description are: inside an installed package, or beside it in the source tree."""


def create_app(settings: Settings) -> FastAPI:
    """The service as these settings say. Calculations and storage are made when it starts."""
    metrics = Metrics()
    traces = Traces(settings.traces_url, SERVICE_VERSION) if settings.traces_url else None
    app = FastAPI(
        title="Loading conditions",
        version=SERVICE_VERSION,
        lifespan=partial(_run, settings, metrics, traces),
        telemetry=_telemetry(traces),
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
    )
    for router in (*ALWAYS, *(WITH_RECORDS if settings.database_url else ())):
        app.router.routes.extend(router.routes)  # flat: each router included costs every request a search
    answer_with_problems(app)
    if settings.database_url:
        add_pages(app)
    limits = dict.fromkeys(("/v1/assessments/batch", "/conditions/bulk"), settings.max_batch_bytes)
    app.add_middleware(Compression, body_limit=settings.max_body_bytes, body_limits=limits)
    app.add_middleware(Methods)
    app.add_middleware(Deprecations, rows=DEPRECATIONS)
    app.add_middleware(
        RequestMiddleware,
        metrics=metrics,
        body_limit=settings.max_body_bytes,
        body_limits=limits,
        workbook_limit=settings.max_workbook_bytes,
        access_log=settings.access_log,
    )
    return app


def _telemetry(traces: Traces | None) -> TelemetryConfig:
    """What FastAPI traces by itself: requests, where traces are sent anywhere."""
    return {
        "tracing": traces is not None,
        "tracer_provider": traces.provider if traces else None,
        "metrics": False,
        "logs": False,
        "operation_spans": False,
        "auto_configure": False,
        "exclude": lambda scope: scope["path"].startswith(UNTRACED),
    }


def describe(app: FastAPI) -> dict[str, Any]:
    """The OpenAPI document of an application."""
    return openapi_of(app, SERVICE_VERSION, next(filter(Path.is_dir, EXAMPLES), EXAMPLES[0]))


@asynccontextmanager
async def _run(
    settings: Settings, metrics: Metrics, traces: Traces | None, app: FastAPI
) -> AsyncGenerator[dict[str, Any]]:
    """The parts of the application, for as long as it runs."""
    sys.setswitchinterval(SECONDS_OF_A_THREAD)  # a thread that computes lets the event loop go on after that
    records = await _open_records(settings)
    pepper = await _pepper(settings, records) if records else b""
    async with AsyncExitStack() as stack:
        if records is not None:
            stack.callback(close_records, records)
        if traces is not None:
            stack.push_async_callback(to_thread.run_sync, traces.close)
        port = None
        if settings.metrics_address:
            port = await stack.enter_async_context(metrics_server(metrics, settings.metrics_address))
        parts = _parts(settings, metrics, records, app, pepper, port, traces.span if traces else no_span)
        stack.enter_context(closing(parts.workers.pool))
        if isinstance(parts, PageParts):
            stack.callback(parts.pages.reports.close)
        app.state.parts = parts
        stopping = [parts.slots.stopping.set]
        if records is not None and isinstance(parts, PageParts):
            if settings.demo:
                await to_thread.run_sync(enter_demo_ships, records, parts.assessor)
            gauges = RecordGauges(records, metrics)
            await gauges.look()
            for work in (
                *(keep_purging(records), keep_fleet_fresh(records), gauges.keep_looking()),
                compile_templates(parts.pages.environment),
            ):
                stack.push_async_callback(_ended, asyncio.create_task(work))
            await stack.enter_async_context(
                running_changes(
                    records,
                    parts.changes,
                    _webhook_delivery(settings, parts),
                    _mail_delivery(settings, parts),
                )
            )
            stopping.append(parts.changes.stop)
        watch_pool(metrics, parts.workers.pool)
        if isinstance(parts, PageParts):
            watch_writes(metrics, parts.record_threads, parts.writer_queue)
        collect_seldom()
        yield {"stopping": partial(_call_each, stopping)}


def _call_each(calls: Sequence[Callable[[], object]]) -> None:
    for call in calls:
        call()


def _parts(
    settings: Settings,
    metrics: Metrics,
    records: Records | None,
    app: FastAPI,
    pepper: bytes,
    metrics_port: int | None,
    span: Span,
) -> Parts:
    """Everything that routes and pages of this application share."""
    stored = None if records is None else StoredVessels(records)
    find = find_demo_vessel if stored is None else stored.find
    ready = ready_demo_vessel if stored is None else stored.ready
    document = demo_vessel_document if stored is None else stored.document
    assessor = Assessor(find, ready, document, json_depth=settings.max_json_depth)
    if records is not None:
        assessor = assessor.with_conditions_from(StoredConditions(records).find)
    parts = Parts(
        calculation_version=CALCULATION_VERSION,
        service_version=SERVICE_VERSION,
        max_json_depth=settings.max_json_depth,
        max_page_size=settings.max_page_size,
        max_line_bytes=settings.max_line_bytes,
        batch_chunk_lines=settings.batch_chunk_lines,
        assessor=assessor,
        workers=Workers(_pool(settings)),
        slots=CalculationSlots(
            settings.calculation_slots,
            settings.waiting_room,
            settings.max_batches,
            metrics,
            max_batches_per_key=settings.max_batches_per_key,
            span=span,
        ),
        metrics=metrics,
        metrics_port=metrics_port,
        span=span,
        access=Access(records, pepper),
        rate_limit=RateLimit(settings.rate_per_second, settings.rate_burst),
        unknown_keys=RateLimit(settings.unknown_keys_per_second, UNKNOWN_KEYS_AT_ONCE),
        record_threads=anyio.CapacityLimiter(settings.record_threads),
        describe=cache(lambda: Description(describe(app))),
        readiness_checks=() if records is None else (partial(to_thread.run_sync, why_not_ready, records),),
    )
    return parts if records is None else _with_records(parts, records, settings)


def _with_records(parts: Parts, records: Records, settings: Settings) -> PageParts:
    """The same with what only an application that stores records has."""
    shared = {field.name: getattr(parts, field.name) for field in fields(parts)}
    pages = Pages.new(asks_for_proof=settings.ask_for_proof)
    return PageParts(
        **shared,
        records=records,
        judge_queue=JudgeQueue(parts.assessor, parts.slots, parts.workers),
        writer_queue=WriterQueue(records, parts.record_threads, parts.span),
        in_flight=set(),
        readings=Readings(),
        changes=ChangeSignal(),
        destinations=Destinations(networks_of(settings.webhook_networks)),
        reader_rate=RateLimit(1, ATOM_AT_ONCE),
        set_report=pages.reports.pdf,
        public_url=settings.public_url.rstrip("/"),
        sends_mail=bool(settings.smtp_host),
        sign_in_rule=SignInRule(**rule) if (rule := settings.sign_in_rule()) else None,
        set_plan_report=pages.reports.plan_pdf,
        pages=pages,
        provider=_provider(settings),
    )


def _provider(settings: Settings) -> IdentityProvider | None:
    if not settings.oidc_issuer:
        return None
    secret = settings.oidc_client_secret
    return IdentityProvider(
        ProviderSettings(
            issuer=settings.oidc_issuer,
            client_id=settings.oidc_client_id,
            client_secret=None if secret is None else secret.get_secret_value(),
            redirect_url=settings.oidc_redirect_url,
            role_claim=settings.oidc_role_claim,
            roles=settings.roles_of_provider(),
            vessels_claim=settings.oidc_vessels_claim,
            fleets_claim=settings.oidc_fleets_claim,
            label=settings.oidc_label,
        )
    )


def _webhook_delivery(settings: Settings, parts: RecordParts) -> WebhookDelivery:
    return WebhookDelivery(
        parts.records,
        parts.access.pepper,
        parts.destinations,
        tls_context(settings.webhook_ca_file),
        parts.metrics,
        timeout=settings.webhook_timeout_seconds,
        first_wait=settings.webhook_retry_seconds,
    )


def _mail_delivery(settings: Settings, parts: RecordParts) -> MailDelivery | None:
    if not settings.smtp_host:
        return None
    context = tls_context(settings.smtp_ca_file)
    server = MailServer(
        context=context, helo=urlsplit(parts.public_url).hostname or "localhost", **settings.smtp()
    )
    head = Letterhead(settings.smtp_sender, parts.public_url, parts.access.pepper)
    waits = {"gather": settings.smtp_gather_seconds, "first_wait": settings.smtp_retry_seconds}
    return mail_delivery(parts.records, head, server, parts.metrics, rule=parts.sign_in_rule, **waits)


def _pool(settings: Settings) -> WorkerPool:
    workers = settings.worker_processes if settings.worker_processes > 1 else 0
    return WorkerPool(workers, settings.max_json_depth)


async def _open_records(settings: Settings) -> Records | None:
    if not settings.database_url:
        return None
    records = await to_thread.run_sync(open_records, settings.database_url, settings.record_threads)
    facts = await to_thread.run_sync(facts_of, records)
    if facts.warning:
        structlog.get_logger().warning("records", warning=facts.warning)
    return records


async def _pepper(settings: Settings, records: Records) -> bytes:
    """The pepper of the keys. Raises Refusal, with the records closed, where it is not theirs."""
    try:
        return await to_thread.run_sync(usable_pepper, records, settings.pepper(), settings.make_pepper)
    except BaseException:
        close_records(records)
        raise


async def _ended(task: asyncio.Task[None]) -> None:
    """Wait until a task in the background has come to its end: what it does in a thread is done then."""
    task.cancel()
    with suppress(asyncio.CancelledError):
        await task
