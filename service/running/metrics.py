"""Counts and times for an operator, in the exposition format of Prometheus. One registry per application."""

from collections.abc import Callable

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, ProcessCollector, generate_latest

MEDIA_TYPE = "text/plain; version=0.0.4; charset=utf-8"
_SECONDS = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0)
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


class Metrics:
    """What is counted. Labels are route templates, never addresses, so their number is bounded."""

    def __init__(self) -> None:
        self._registry = CollectorRegistry()
        ProcessCollector(registry=self._registry)
        self._requests = Counter(
            "loading_requests", "Requests answered.", ("method", "route", "status"), registry=self._registry
        )
        self._seconds = Histogram(
            "loading_request_seconds",
            "Time to answer.",
            ("route",),
            registry=self._registry,
            buckets=_SECONDS,
        )
        self._observed: dict[tuple[str, str, int], tuple[Counter, Histogram]] = {}
        self.batch_lines = Counter(
            "loading_batch_lines", "Lines of batches answered.", ("outcome",), registry=self._registry
        )
        self.webhook_attempts = Counter(
            "loading_webhook_attempts", "Attempts to send to webhooks.", ("outcome",), registry=self._registry
        )
        self.mails = Counter(
            "loading_mails",
            "Attempts to hand mail to the mail server.",
            ("outcome",),
            registry=self._registry,
        )
        self.refused_busy = Counter(
            "loading_refused_busy", "Requests refused because all slots were taken.", registry=self._registry
        )
        self.calculations = Gauge(
            "loading_calculations", "Calculations running or waiting for a slot.", registry=self._registry
        )
        self.batches = Gauge("loading_batches", "Batches being answered.", registry=self._registry)

    def watch(self, name: str, words: str, value: Callable[[], float]) -> None:
        """Show as a gauge what `value` gives at the time. Called on the event loop: it may not wait."""
        Gauge(name, words, registry=self._registry).set_function(value)

    def observe(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count one request; a method we do not know is counted as `other`."""
        labels = (method if method in _METHODS else "other", route, status)
        found = self._observed.get(labels)
        if found is None:
            found = self._requests.labels(*map(str, labels)), self._seconds.labels(route)
            self._observed[labels] = found
        found[0].inc()
        found[1].observe(seconds)

    def exposition(self) -> bytes:
        """All values as text."""
        return generate_latest(self._registry)
