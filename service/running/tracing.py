"""Traces for OpenTelemetry: a span for each request, and below it where its time goes. Off unless an address is set."""

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from typing import Any

EXPORT_SECONDS = 5
NAME = "loading-conditions"
UNTRACED = ("/livez", "/readyz", "/metrics", "/sign-in", "/feed", "/stop-mail")
"""Beginnings of paths without a span: health checks, and addresses that carry what a sign-in is proved with."""

Span = Callable[[str], AbstractContextManager[Any]]
"""Begins a span of this name below the present one."""


def no_span(name: str) -> AbstractContextManager[Any]:
    """What stands in the place of a span where nothing is traced."""
    return _NOTHING


_NOTHING = nullcontext()


class Traces:
    """Sends spans to a collector, OTLP over HTTP. Variables `OTEL_*` of the OpenTelemetry specification hold for the
    rest: headers, sampling."""

    def __init__(self, url: str, version: str) -> None:
        """Raises ImportError where the extra `otel` is not installed."""
        from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
        from opentelemetry.sdk.resources import Resource
        from opentelemetry.sdk.trace import TracerProvider
        from opentelemetry.sdk.trace.export import BatchSpanProcessor

        exporter = OTLPSpanExporter(endpoint=url, timeout=EXPORT_SECONDS)
        resource = Resource.create({"service.name": NAME, "service.version": version})
        self._processor = BatchSpanProcessor(exporter)
        self.provider = TracerProvider(resource=resource, shutdown_on_exit=False)
        self.provider.add_span_processor(self._processor)
        self._tracer = self.provider.get_tracer(NAME)

    def span(self, name: str) -> AbstractContextManager[Any]:
        """Begin a span below the present one; nothing where the request has none."""
        from opentelemetry.trace import get_current_span

        if not get_current_span().is_recording():
            return _NOTHING
        return self._tracer.start_as_current_span(name)

    def close(self) -> None:
        """Send what is left; waits at most a few seconds for a collector that does not answer."""
        self.provider.shutdown()
