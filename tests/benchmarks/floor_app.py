"""The service with two more routes that do no work: what the same stack costs around an assessment.

`POST /noop` reads and strictly parses the body and returns bytes made before; `POST /noop/batch` does that for every
line through the streaming answer of the service. Both stand in the application they are compared with, so that
server, middleware, logging, parser and memory are the same.

    python -m tests.benchmarks.floor_app PORT      serves on 127.0.0.1 until it is told to stop
"""

import json
import sys
from collections.abc import AsyncGenerator
from contextlib import asynccontextmanager
from functools import partial
from typing import Any

import uvicorn
from fastapi import FastAPI, Request
from starlette.responses import Response

from service.actions.assess import AnswerLength, Assessor, as_json, prepare_vessel
from service.api.batch.stream import BatchAnswer
from service.app import create_app
from service.cli.process_log import log_as_json
from service.cli.serve import server_options
from service.running.calculation_slots import CalculationSlots
from service.settings import Settings
from service.wire.fields import UnitSystem
from service.wire.parse import parse_json
from tests.benchmarks.reference_case import NAMED, request_bodies, vessel_document


class CannedAssessor:
    """In the place of the assessor that assesses: parses as strictly, answers with the same bytes every time."""

    def __init__(self, canned: bytes, json_depth: int, slots: CalculationSlots) -> None:
        self._canned, self._json_depth, self._slots = canned, json_depth, slots

    def answer(self, request: dict[str, Any], units: UnitSystem | None) -> bytes:
        """The canned bytes."""
        return self._canned

    async def answer_lines(
        self, lines: list[bytes], detail: AnswerLength, units: UnitSystem | None
    ) -> list[bytes | Exception]:
        """The canned bytes for every line, once it is parsed, in a thread."""
        return await self._slots.run_chunk(partial(self._parsed, lines))

    def _parsed(self, lines: list[bytes]) -> list[bytes | Exception]:
        answers: list[bytes | Exception] = []
        for line in lines:
            parse_json(line, max_depth=self._json_depth)
            answers.append(self._canned)
        return answers


def create_floor_app(settings: Settings) -> FastAPI:
    """The service as the settings say, with the routes that do no work."""
    app = create_app(settings)
    starts = app.router.lifespan_context

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncGenerator[None]:
        prepared = prepare_vessel(vessel_document())
        request = json.loads(request_bodies(1, seed=0, vessel=NAMED)[0])
        canned = as_json(Assessor(lambda vessel, revision: prepared).assessment(request))
        async with starts(app):
            app.state.canned = CannedAssessor(canned, settings.max_json_depth, app.state.parts.slots)
            yield

    app.router.lifespan_context = lifespan

    @app.post("/noop")
    async def post_noop(request: Request) -> Response:
        document = parse_json(await request.body(), max_depth=settings.max_json_depth)
        return Response(app.state.canned.answer(document, None), media_type="application/json")

    @app.post("/noop/batch")
    async def post_noop_batch(request: Request) -> Response:
        parts = app.state.parts
        return BatchAnswer(
            app.state.canned,
            parts.slots,
            parts.metrics,
            key="benchmark",
            detail="full",
            units=None,
            media_type="application/x-ndjson",
            max_line_bytes=parts.max_line_bytes,
            chunk_lines=parts.batch_chunk_lines,
        )

    return app


def main() -> None:
    """Serve with the settings of an installation; only the longest body is raised, for `/noop/batch`."""
    settings = Settings(port=int(sys.argv[1]), max_body_bytes=64_000_000)
    log_as_json(settings.log_level)
    uvicorn.run(create_floor_app(settings), **server_options(settings))


if __name__ == "__main__":
    main()
