"""The application: every part built when it starts and handed to the routes, nothing at import."""

import gc
from collections.abc import AsyncGenerator
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import FastAPI

from service.actions.assess import AssessmentDesk
from service.actions.demo_vessel import find_demo_vessel
from service.actions.version import CALCULATION_VERSION
from service.api import assessments, operations, problem_pages, reference, rule_sets
from service.api.calculation_slots import CalculationSlots
from service.api.envelope import Envelope
from service.api.metrics import Metrics
from service.api.openapi import openapi_of
from service.api.problems import answer_with_problems
from service.settings import Settings

SERVICE_VERSION = "0.1.0"
EXAMPLES = Path(__file__).parent.parent / "openapi_examples"


def create_app(settings: Settings) -> FastAPI:
    """The service as these settings say. Calculations and storage are made when it starts."""
    metrics = Metrics()

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncGenerator[None]:
        state = app.state
        state.desk = AssessmentDesk(find_demo_vessel, json_depth=settings.max_json_depth)
        state.slots = CalculationSlots(
            settings.calculation_slots, settings.waiting_room, settings.max_batches, metrics
        )
        state.readiness_checks = []
        # What was built so far lives as long as the process: taken out of the collector's sight, it costs nothing.
        gc.collect()
        gc.freeze()
        yield

    app = FastAPI(
        title="Loading conditions",
        version=SERVICE_VERSION,
        lifespan=lifespan,
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
    )
    state = app.state
    state.metrics = metrics
    state.max_json_depth = settings.max_json_depth
    state.max_line_bytes = settings.max_line_bytes
    state.batch_chunk_lines = settings.batch_chunk_lines
    state.calculation_version = CALCULATION_VERSION
    state.service_version = SERVICE_VERSION
    state.describe = lambda: openapi_of(app, SERVICE_VERSION, EXAMPLES)
    for part in (assessments, rule_sets, operations, problem_pages, reference):
        app.include_router(part.router)
    answer_with_problems(app)
    app.add_middleware(
        Envelope,
        metrics=metrics,
        body_limit=settings.max_body_bytes,
        body_limits={"/v1/assessments/batch": settings.max_batch_bytes},
        access_log=settings.access_log,
    )
    return app
