"""Streams of lines: many documents in, one answer a line out, in order."""

import json
from collections.abc import AsyncIterator
from typing import Any

import httpx

from service.client.asynchronous.connection import AsyncConnection
from service.client.asynchronous.iteration import Items, each, sleep
from service.client.attempts import BUSY, LOST, pause_before
from service.client.documents import NDJSON, Document, LineBuffer, LineGroup, Parameters, line_of
from service.client.errors import CutOff, StreamStopped


class AsyncLines(AsyncConnection):
    """Addresses that take one document a line."""

    async def _answers(self, path: str, documents: Items[Document], params: Parameters) -> AsyncIterator[Any]:
        """An answer a document, in order, as they come in; documents are taken and sent a few hundred at a time."""
        sent = 0
        group = LineGroup()
        async for document in each(documents):
            line = line_of(document)
            if not group.takes(line):
                async for answer in self._answers_to(path, group.lines, sent, params):
                    yield answer
                sent += len(group.lines)
                group = LineGroup()
            group.add(line)
        if group.lines:
            async for answer in self._answers_to(path, group.lines, sent, params):
                yield answer

    async def _answers_to(
        self, path: str, lines: list[bytes], before: int, params: Parameters
    ) -> AsyncIterator[Any]:
        """The answers to some lines; where the connection is lost within them or the service stops, the rest is sent
        again."""
        answered = 0
        attempt = 1
        while True:
            try:
                async for answer in self._once(path, lines[answered:], before + answered, params):
                    answered += 1
                    yield answer
                return
            except (*LOST, StreamStopped) as error:
                if answered == len(lines):
                    return
                if attempt >= self._attempts:
                    raise CutOff(f"The connection was lost within a stream of lines: {error}") from error
                await sleep(pause_before(attempt) or 0.0)
                attempt += 1

    async def _once(
        self, path: str, lines: list[bytes], before: int, params: Parameters
    ) -> AsyncIterator[Any]:
        """The answers to lines that are sent once. Raises CutOff, StreamStopped where the rest may be sent again, and
        what httpx raises when they stop coming."""
        headers = {"Content-Type": NDJSON, "Accept": NDJSON}
        request = self._http.build_request(
            "POST", path, params=params, content=b"\n".join(lines), headers=headers
        )
        response = await self._attempt(request, stream=True)
        ended, reason = False, None
        try:
            async for line in _lines_of(response):
                answer = json.loads(line)
                if answer.get("type") == "end":
                    ended = answer["complete"] and answer["count"] == len(lines)
                elif "line" not in answer and answer.get("type", "").startswith("/problems/"):
                    reason = answer  # of the stream, not of a line
                else:
                    if "line" in answer:
                        answer["line"] += before
                    yield answer
        except ValueError as error:
            raise CutOff("The stream broke off within an answer.") from error
        except httpx.TimeoutException as error:
            raise CutOff("The answers to a stream of lines stopped coming.") from error
        finally:
            await response.aclose()
        if not ended:
            why = f": {reason['detail']}" if reason else "."
            error_of = StreamStopped if reason and reason["status"] in BUSY else CutOff
            raise error_of(f"The stream ended before every line was answered{why}")


async def _lines_of(response: httpx.Response) -> AsyncIterator[bytes]:
    buffer = LineBuffer()
    async for block in response.aiter_bytes():
        for line in buffer.feed(block):
            yield line
    for line in buffer.finish():
        yield line
