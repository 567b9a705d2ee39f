"""Sending a request, again where that may help, and reading its answer."""

import uuid
from collections.abc import Iterator
from types import TracebackType
from typing import Any, Self

import httpx

from service.client.answers import File, StoredRecord
from service.client.attempts import (
    ATTEMPTS,
    LOST,
    NOT_SENT,
    json_of,
    may_pass,
    no_answer,
    pause_before,
    refusal_of,
)
from service.client.documents import JSON, Document, Parameters, text_of
from service.client.synchronous.iteration import sleep
from service.client.workbooks import file_of


class Connection:
    """The connections to one service. Use it as a context manager, or call `close`."""

    def __init__(
        self,
        base_url: str,
        *,
        key: str | None = None,
        timeout: float = 60.0,
        attempts: int = ATTEMPTS,
        transport: httpx.BaseTransport | None = None,
    ) -> None:
        """`base_url`: where the service is, `https://HOST`, with the path before `/v1` where a proxy puts one there.
        `key`: the access key, for installations that have keys. `timeout`: seconds without a byte. `attempts`: how
        often a call is made at most. `transport`: another way to send, as for certificates of your own
        (`httpx.HTTPTransport(verify=...)`)."""
        self._attempts = attempts
        self._timeout = timeout
        self._http = httpx.Client(
            base_url=base_url,
            timeout=timeout,
            transport=transport,
            trust_env=False,
            headers={} if key is None else {"Authorization": f"Bearer {key.strip()}"},
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

    def _get(self, path: str, params: Parameters | None = None, *, wait: float = 0.0) -> Any:
        """The document at an address. wait: seconds for which the service may hold the question back."""
        return json_of(self._send("GET", path, params=params, timeout=self._timeout + wait))

    def _ask(self, path: str, question: Document, params: Parameters | None = None) -> Any:
        """The answer to a document of which nothing is kept."""
        headers = {"Content-Type": JSON}
        return json_of(self._send("POST", path, params=params, content=text_of(question), headers=headers))

    def _read(self, path: str, params: Parameters | None = None) -> StoredRecord[Any]:
        return stored_record(self._send("GET", path, params=params))

    def _write(
        self,
        method: str,
        path: str,
        content: Document,
        params: Parameters | None = None,
        *,
        etag: str | None = None,
        idempotency_key: str | None = None,
        media_type: str = JSON,
    ) -> StoredRecord[Any]:
        """Keep something, once however often the request is sent."""
        headers = {"Content-Type": media_type, "Idempotency-Key": idempotency_key or uuid.uuid4().hex}
        if etag is not None:
            headers["If-Match"] = etag
        return stored_record(
            self._send(method, path, params=params, content=text_of(content), headers=headers)
        )

    def _download(self, path: str, media_type: str, params: Parameters | None = None) -> File:
        return file_of(self._send("GET", path, params=params, headers={"Accept": media_type}))

    def _pages(self, path: str, params: Parameters) -> Iterator[Any]:
        """The items of a list, page after page."""
        page = self._get(path, params)
        for item in page["items"]:
            yield item
        while page["next"] is not None:
            page = self._get(page["next"])
            for item in page["items"]:
                yield item

    def _send(self, method: str, path: str, *, repeatable: bool = True, **arguments: Any) -> httpx.Response:
        request = self._http.build_request(method, path, **arguments)
        return self._attempt(request, repeatable=repeatable)

    def _attempt(
        self, request: httpx.Request, *, stream: bool = False, repeatable: bool = True
    ) -> httpx.Response:
        """Send; where it may help, wait and send again. Not repeatable: never where the service may have it already."""
        attempt = 1
        while True:
            try:
                response = self._http.send(request, stream=stream)
                if response.is_success:
                    return response
                response.read()
            except httpx.TransportError as error:
                if attempt >= self._attempts or not isinstance(error, LOST if repeatable else NOT_SENT):
                    raise no_answer(request, error) from error
                pause = pause_before(attempt)
            else:
                pause = pause_before(attempt, response.headers.get("Retry-After", ""))
                if (
                    attempt >= self._attempts
                    or pause is None
                    or not may_pass(response, repeatable=repeatable)
                ):
                    raise refusal_of(response)
                response.close()
            sleep(pause or 0.0)
            attempt += 1


def stored_record(answer: httpx.Response) -> StoredRecord[Any]:
    """The record in an answer, with its tag."""
    return StoredRecord(json_of(answer), answer.headers.get("ETag", ""))
