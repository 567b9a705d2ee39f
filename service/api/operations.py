"""Whether the service lives, is ready, what it is, and its counts."""

from typing import Any

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import Response

from service.api.description.answers import problems_of
from service.running import metrics
from service.web.parts import parts_of
from service.wire.health import Alive, Version
from service.wire.refusal import Refusal

API_VERSION = "1"
NOT_STORED = {"Cache-Control": "no-store"}

router = APIRouter(tags=["Operations"])


@router.get("/livez", summary="Whether the process answers; touches nothing else", response_model=Alive)
async def get_livez() -> Response:
    """Answered from the event loop without any input or output."""
    return Response(b'{"status":"ok"}', headers=NOT_STORED, media_type="application/json")


@router.get(
    "/readyz",
    summary="Whether requests should be sent here",
    response_model=Alive,
    responses=problems_of(503),
)
async def get_readyz(request: Request, response: Response) -> Any:
    """Ready once started, with every check of the installation passing."""
    for check in parts_of(request).readiness_checks:
        reason = await check()
        if reason is not None:
            raise Refusal("not_ready", reason, retry_after=1)
    response.headers.update(NOT_STORED)
    return {"status": "ok"}


@router.get("/version", summary="Versions of interface, calculation and software")
async def get_version(request: Request, response: Response) -> Version:
    """All three are independent of one another."""
    response.headers.update(NOT_STORED)
    parts = parts_of(request)
    return {
        "api_version": API_VERSION,
        "calculation_version": parts.calculation_version,
        "service_version": parts.service_version,
    }


@router.get(
    "/metrics",
    summary="Counts and times for monitoring",
    response_class=Response,
    responses={200: {"content": {"text/plain": {"schema": {"type": "string"}}}, "description": "Metrics."}},
)
async def get_metrics(request: Request) -> Response:
    """Exposition format of Prometheus."""
    parts = parts_of(request)
    if parts.metrics_port is not None:
        raise HTTPException(404)
    return Response(parts.metrics.exposition(), headers=NOT_STORED, media_type=metrics.MEDIA_TYPE)
