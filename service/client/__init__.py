"""A thin client of the service: typed by the published language, needing nothing but it and httpx."""

import json
import time
import uuid
from collections.abc import Iterable, Iterator, Mapping
from types import TracebackType
from typing import Any, Literal, Self, cast

import httpx

from service.client.answers import LineProblem, StoredRecord, Version
from service.client.attempts import may_pass, pause, problem_of
from service.client.errors import CutOff, Refused, ServiceError, Unreachable
from service.wire.assessment import Assessment, AssessmentSummary
from service.wire.change import Change, Changes
from service.wire.comparison import Comparison
from service.wire.condition_record import ConditionLine
from service.wire.fields import UnitSystem
from service.wire.finding import FindingKinds
from service.wire.fleet import FleetLine
from service.wire.review import Decision, Review
from service.wire.rule_set import RuleSetDescription, RuleSetList
from service.wire.state import ConditionState, VesselState
from service.wire.vessel_record import VesselLine

__all__ = [
    "BatchAnswer",
    "CutOff",
    "Document",
    "LineProblem",
    "Refused",
    "ServiceClient",
    "ServiceError",
    "StoredRecord",
    "Unreachable",
    "Version",
]

LINES_PER_REQUEST = 500
BYTES_PER_REQUEST = 16_000_000
_ATTEMPTS = 4
_LOST = (httpx.NetworkError, httpx.RemoteProtocolError)
_JSON, _MERGE_PATCH = "application/json", "application/merge-patch+json"


BatchAnswer = Assessment | AssessmentSummary | LineProblem
Document = Mapping[str, Any] | bytes
"""A request document, or its text as UTF-8 JSON."""


class ServiceClient:
    """Talks to one service. Use it as a context manager, or call `close`.

    Where the service is busy, the key asks too often or the connection is lost, a call is made again, four times in
    all; between two it waits as long as `Retry-After` says, and gives up at once where that is more than a minute. No
    change is made twice: each goes out under a name of its own (`Idempotency-Key`).
    """

    def __init__(
        self,
        base_url: str,
        *,
        key: str | None = None,
        timeout: float = 60.0,
        transport: httpx.BaseTransport | None = None,
    ) -> None:
        """`key`: the access key, for installations that have keys."""
        self._http = httpx.Client(
            base_url=base_url,
            timeout=timeout,
            transport=transport,
            trust_env=False,
            headers={} if key is None else {"Authorization": f"Bearer {key}"},
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections."""
        self._http.close()

    def version(self) -> Version:
        """What is running."""
        return cast(Version, self._get("/version"))

    def finding_kinds(self) -> FindingKinds:
        """What an assessment may point out besides the criteria."""
        return cast(FindingKinds, self._get("/v1/findings"))

    def rule_sets(self) -> RuleSetList:
        """Every rule set the service knows."""
        return cast(RuleSetList, self._get("/v1/rule-sets"))

    def rule_set(self, name: str) -> RuleSetDescription:
        """One rule set by its public name. Raises `Refused` for an unknown one."""
        return cast(RuleSetDescription, self._get(f"/v1/rule-sets/{name}"))

    def assess(
        self, request: Document, *, units: UnitSystem | None = None, working: bool = False
    ) -> Assessment:
        """The assessment of one request, with its working if asked for. Raises `Refused` or `Unreachable`."""
        answer = self._send(
            "POST",
            "/v1/assessments",
            params=_parameters(units=units, working="true" if working else None),
            content=_text(request),
            headers={"Content-Type": "application/json"},
        )
        return cast(Assessment, answer.json())

    def assess_batch(
        self,
        requests: Iterable[Document],
        *,
        detail: Literal["full", "summary"] = "full",
        units: UnitSystem | None = None,
    ) -> Iterator[BatchAnswer]:
        """An answer per request, in order, as they come in; a refused one is a `LineProblem`.

        Any number of requests: they are taken from the iterator and sent a few hundred at a time, so neither side
        ever holds them all. Raises `CutOff` when answers are missing at the end.
        """
        sent = 0
        for lines in _slices(requests):
            yield from self._batch(lines, sent, _parameters(detail=detail, units=units))
            sent += len(lines)

    def add_vessel(
        self, document: Document, *, reason: str | None = None, name: str | None = None
    ) -> StoredRecord:
        """Enter a vessel. `name` lets the same call be made again, also by another process: it enters her once."""
        return self._write("POST", "/v1/vessels", document, _parameters(reason=reason), name=name)

    def vessel(self, id: str) -> StoredRecord:
        """A vessel's latest data."""
        return _stored_record(self._send("GET", f"/v1/vessels/{id}"))

    def revise_vessel(
        self, id: str, document: Document, etag: str, *, reason: str | None = None
    ) -> StoredRecord:
        """Keep a new revision of a vessel's data, made from the state `etag`. Raises `Refused` when it is stale."""
        return self._write("PUT", f"/v1/vessels/{id}", document, _parameters(reason=reason), etag=etag)

    def add_condition(
        self, vessel: str, document: Document, *, reason: str | None = None, name: str | None = None
    ) -> StoredRecord:
        """Enter a condition of a vessel. `name` as in `add_vessel`."""
        path = f"/v1/vessels/{vessel}/conditions"
        return self._write("POST", path, document, _parameters(reason=reason), name=name)

    def condition(self, id: str, *, units: UnitSystem | None = None) -> StoredRecord:
        """A condition's latest revision."""
        return _stored_record(self._send("GET", f"/v1/conditions/{id}", params=_parameters(units=units)))

    def revise_condition(
        self, id: str, document: Document, etag: str, *, reason: str | None = None, patch: bool = False
    ) -> StoredRecord:
        """Keep a new revision of a condition; with `patch` the document is a merge patch (RFC 7396)."""
        method, media_type = ("PATCH", _MERGE_PATCH) if patch else ("PUT", _JSON)
        path = f"/v1/conditions/{id}"
        return self._write(
            method, path, document, _parameters(reason=reason), etag=etag, media_type=media_type
        )

    def set_condition_state(
        self, id: str, state: ConditionState, etag: str, reason: str | None = None
    ) -> StoredRecord:
        """Take a condition in force, put it aside, withdraw it or work on it again, from the state `etag`."""
        document = {"state": state} | _parameters(reason=reason)
        return self._write("PUT", f"/v1/conditions/{id}/state", document, {}, etag=etag)

    def set_vessel_state(self, id: str, state: VesselState, reason: str | None = None) -> StoredRecord:
        """Withdraw a vessel, or make her active again."""
        document = {"state": state} | _parameters(reason=reason)
        return self._write("PUT", f"/v1/vessels/{id}/state", document, {})

    def comparison(
        self,
        id: str,
        since: int | None = None,
        to: int | None = None,
        *,
        units: UnitSystem | None = None,
        reassess: bool = False,
    ) -> Comparison:
        """What changed between two revisions of a condition, and what it did."""
        numbers = {"from": since, "to": to}
        params = {name: str(number) for name, number in numbers.items() if number is not None}
        params |= _parameters(units=units, reassess="true" if reassess else None)
        return cast(Comparison, self._send("GET", f"/v1/conditions/{id}/comparison", params=params).json())

    def review(
        self,
        id: str,
        revision: int,
        decision: Decision,
        note: str | None = None,
        *,
        in_force: bool = False,
        name: str | None = None,
    ) -> Review:
        """Accept a revision of a condition, or return it; with `in_force` she sails with it from now on."""
        path = f"/v1/conditions/{id}/revisions/{revision}/reviews"
        document: dict[str, Any] = {"decision": decision} | _parameters(note=note)
        document |= {"in_force": True} if in_force else {}
        kept = self._write("POST", path, document, {}, name=name)
        return cast(Review, kept.record)

    def vessels(self, **filters: str) -> Iterator[VesselLine]:
        """Every vessel the key may see."""
        return cast(Iterator[VesselLine], self._pages("/v1/vessels", filters))

    def conditions(self, vessel: str | None = None, **filters: str) -> Iterator[ConditionLine]:
        """Conditions of one vessel or of all, by filters of the list."""
        path = "/v1/conditions" if vessel is None else f"/v1/vessels/{vessel}/conditions"
        return cast(Iterator[ConditionLine], self._pages(path, filters))

    def fleet(self, **filters: str) -> Iterator[FleetLine]:
        """Every vessel with the condition she sails with."""
        return cast(Iterator[FleetLine], self._pages("/v1/fleet", filters))

    def changes(self, after: int = 0) -> Iterator[Change]:
        """Every change kept after the one with the number `after`; ends when there are no more for now."""
        more = True
        while more:
            found: Changes = self._send("GET", "/v1/changes", params={"after": str(after)}).json()
            yield from found["items"]
            after, more = found["after"], found["more"]

    def _pages(self, path: str, filters: Mapping[str, str]) -> Iterator[Any]:
        page = self._send("GET", path, params=filters).json()
        yield from page["items"]
        while page["next"] is not None:
            page = self._get(page["next"])
            yield from page["items"]

    def _write(
        self,
        method: str,
        path: str,
        document: Document,
        params: Mapping[str, str],
        *,
        etag: str | None = None,
        name: str | None = None,
        media_type: str = _JSON,
    ) -> StoredRecord:
        headers = {"Content-Type": media_type, "Idempotency-Key": name or uuid.uuid4().hex}
        if etag is not None:
            headers["If-Match"] = etag
        return _stored_record(
            self._send(method, path, params=params, content=_text(document), headers=headers)
        )

    def _batch(self, lines: list[bytes], before: int, params: dict[str, str]) -> Iterator[BatchAnswer]:
        """The answers to some lines; where the connection is lost within them, the rest is sent again."""
        answered = 0
        for attempt in range(1, _ATTEMPTS + 1):
            try:
                for answer in self._part(lines[answered:], before + answered, params):
                    answered += 1
                    yield answer
                return
            except _LOST as error:
                if answered == len(lines):
                    return
                if attempt == _ATTEMPTS:
                    raise CutOff("The connection was lost within a batch.") from error
                time.sleep(pause("", attempt) or 0.0)

    def _part(self, lines: list[bytes], before: int, params: dict[str, str]) -> Iterator[BatchAnswer]:
        """The answers to lines that are sent once. Raises CutOff, and what httpx raises when they stop coming."""
        request = self._http.build_request(
            "POST",
            "/v1/assessments/batch",
            params=params,
            content=b"\n".join(lines),
            headers={"Content-Type": "application/x-ndjson"},
        )
        response = self._attempt(request, stream=True)
        ended = False
        try:
            for line in _lines(response.iter_bytes()):
                answer = json.loads(line)
                if answer.get("type") == "end":
                    ended = answer["complete"] and answer["count"] == len(lines)
                    continue
                if "line" in answer:
                    answer["line"] += before
                yield answer
        except httpx.TimeoutException as error:
            raise CutOff("The answers to a batch stopped coming.") from error
        finally:
            response.close()
        if not ended:
            raise CutOff("The batch ended before every line was answered.")

    def _get(self, path: str) -> Any:
        return self._send("GET", path).json()

    def _send(self, method: str, path: str, **arguments: Any) -> httpx.Response:
        return self._attempt(self._http.build_request(method, path, **arguments), stream=False)

    def _attempt(self, request: httpx.Request, *, stream: bool) -> httpx.Response:
        """Send; where it may help, wait and send again."""
        for attempt in range(1, _ATTEMPTS + 1):
            last = attempt == _ATTEMPTS
            try:
                response = self._http.send(request, stream=stream)
                if response.is_success:
                    return response
                response.read()
            except httpx.TransportError as error:
                if last or not isinstance(error, _LOST):
                    raise Unreachable(f"No answer from {request.url.host}:{request.url.port}.") from error
                wait = pause("", attempt)
            else:
                wait = pause(response.headers.get("Retry-After", ""), attempt)
                if last or wait is None or not may_pass(response):
                    raise Refused(problem_of(response))
                response.close()
            time.sleep(wait or 0.0)
        raise AssertionError("unreachable")


def _stored_record(answer: httpx.Response) -> StoredRecord:
    return StoredRecord(answer.json(), answer.headers["ETag"])


def _parameters(**parameters: str | None) -> dict[str, str]:
    return {name: value for name, value in parameters.items() if value is not None}


def _text(request: Document) -> bytes:
    return request if isinstance(request, bytes) else json.dumps(request, ensure_ascii=False).encode("utf-8")


def _slices(requests: Iterable[Document]) -> Iterator[list[bytes]]:
    """Requests as lines, a few hundred at a time."""
    lines: list[bytes] = []
    size = 0
    for request in requests:
        line = b" ".join(_text(request).splitlines()).strip() or b"{}"
        if lines and (len(lines) == LINES_PER_REQUEST or size + len(line) > BYTES_PER_REQUEST):
            yield lines
            lines, size = [], 0
        lines.append(line)
        size += len(line) + 1
    if lines:
        yield lines


def _lines(blocks: Iterable[bytes]) -> Iterator[bytes]:
    """Lines of a stream. Only the line feed ends a line here: JSON strings may hold other line breaks."""
    rest = b""
    for block in blocks:
        *lines, rest = (rest + block).split(b"\n")
        yield from lines
    if rest:
        yield rest
