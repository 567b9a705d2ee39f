"""Traces reach a collector, which is read with OpenTelemetry's own messages; without an address there are none."""

import gzip
import json
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

from opentelemetry.proto.collector.trace.v1.trace_service_pb2 import ExportTraceServiceRequest
from opentelemetry.proto.trace.v1.trace_pb2 import Span

from service.app import create_app
from tests.api.in_process import in_process
from tests.api.office import condition_document, settings_for, vessel_document


@contextmanager
def collector() -> Iterator[tuple[str, list[Span]]]:
    """Its address, and the spans that it was sent."""
    spans: list[Span] = []

    class Collector(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            if self.headers.get("Content-Encoding") == "gzip":
                body = gzip.decompress(body)
            sent = ExportTraceServiceRequest.FromString(body)
            spans.extend(s for r in sent.resource_spans for scope in r.scope_spans for s in scope.spans)
            self.send_response(200)
            self.end_headers()

        def log_message(self, *given: object) -> None:
            pass

    with HTTPServer(("127.0.0.1", 0), Collector) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/v1/traces", spans
        server.shutdown()
        thread.join()


def test_a_request_is_a_trace_of_where_its_time_went(tmp_path: Path) -> None:
    parent = b"00-" + b"a" * 32 + b"-" + b"b" * 16 + b"-01"  # W3C Trace Context, section 3.2.2
    with collector() as (url, spans):
        with in_process(settings_for(f"sqlite:///{tmp_path}/records.db", traces_url=url)) as app:
            kind = (b"content-type", b"application/json")
            entered = app.ask("POST", "/v1/vessels", json.dumps(vessel_document()).encode(), [kind])
            assert entered.status == 201
            id = json.loads(entered.body)["vessel"]
            request = json.dumps({"vessel_id": id, "condition": condition_document()}).encode()
            assert app.ask("POST", "/v1/assessments", request, [kind, (b"traceparent", parent)]).status == 200
            assert app.ask("GET", "/readyz").status == 200
        named = {span.name: span for span in spans}  # sent at the latest when the service ends
    assert {"POST /v1/vessels", "POST /v1/assessments", "calculation", "records"} <= set(named)
    assert not any("readyz" in name for name in named)
    asked = named["POST /v1/assessments"]
    assert asked.trace_id.hex() == "a" * 32
    assert asked.parent_span_id.hex() == "b" * 16
    below = [span for span in spans if span.parent_span_id == asked.span_id]
    assert "calculation" in {span.name for span in below}
    attributes = {pair.key: pair.value for pair in asked.attributes}
    assert attributes["http.route"].string_value == "/v1/assessments"
    assert attributes["http.response.status_code"].int_value == 200


def test_nothing_is_traced_without_an_address(tmp_path: Path) -> None:
    app = create_app(settings_for(f"sqlite:///{tmp_path}/records.db"))
    assert not app._native_telemetry.enabled()
