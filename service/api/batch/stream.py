"""A batch: one JSON document per line in, one answer per line out, in order.

Request and answer stream at the same time. One task takes in what the client sends, at once and all of it, into a
spool; another takes lines from the spool, has them computed in chunks and sends the answers. Were the body read
only as fast as answers are taken, a client that sends everything before it reads anything would wait for ever as
soon as both directions are full.
"""

import asyncio
from collections.abc import Iterator
from itertools import islice

import anyio
import anyio.lowlevel
from anyio.streams.memory import MemoryObjectReceiveStream, MemoryObjectSendStream
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from service.actions.assess import AnswerLength
from service.api.batch.lines import Line, LineSplitter
from service.api.batch.spool import Spool
from service.running.calculation_slots import RETRY_AFTER_SECONDS, CalculationSlots
from service.running.line_assessor import LineAssessor
from service.running.metrics import Metrics
from service.web.problems import encoded, log_unexpected, met, problem_of
from service.wire.fields import UnitSystem
from service.wire.refusal import Refusal

MAX_REFUSED_IN_A_ROW = 1_000
"""Lines refused one after the other that end a batch: its sender sends something else than it thinks."""

Answers = tuple[bytes, list[bool]]
"""The answers to some lines as text, and for each line whether it was refused."""


class BatchAnswer(Response):
    """The answer to one batch. Reads the request's body itself: nobody may have read it before."""

    def __init__(
        self,
        assessor: LineAssessor,
        slots: CalculationSlots,
        metrics: Metrics,
        *,
        key: str,
        detail: AnswerLength,
        units: UnitSystem | None,
        media_type: str,
        max_line_bytes: int,
        chunk_lines: int,
    ) -> None:
        self.status_code = 200
        self.background = None
        self._assessor = assessor
        self._slots = slots
        self._metrics = metrics
        self._key = key
        self._detail: AnswerLength = detail
        self._units = units
        self._media_type = media_type
        self._max_line_bytes = max_line_bytes
        self._chunk_lines = chunk_lines
        self._request_id = ""
        self._count = 0
        self._failed = 0
        self._refused_in_a_row = 0
        self._gone = self._is_stopping = False
        self._cut: Refusal | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer line by line until the body ends, then send the closing line."""
        self._request_id = scope["state"]["request_id"]
        with self._slots.batch(self._key):
            spool = Spool()
            try:
                async with anyio.create_task_group() as tasks:
                    tasks.start_soon(self._take_in, spool, receive)
                    tasks.start_soon(self._end_with_the_server, spool)
                    await self._answer(spool, send)
                    tasks.cancel_scope.cancel()
            finally:
                spool.close()

    async def _take_in(self, spool: Spool, receive: Receive) -> None:
        """Receive until the client is gone: a closed connection ends the work before the body does."""
        try:
            while (message := await receive())["type"] == "http.request":
                spool.write(message.get("body", b""))
                if not message.get("more_body", False):
                    spool.end()
            self._gone = True
        except Refusal as refused:
            self._cut = refused
        spool.end()

    async def _end_with_the_server(self, spool: Spool) -> None:
        """When the server ends, answer what is being computed, and close the stream properly."""
        await self._slots.stopping.wait()
        self._is_stopping = True
        self._cut = Refusal(
            "not_ready", "The service is stopping; send the rest again.", retry_after=RETRY_AFTER_SECONDS
        )
        spool.stop()

    async def _answer(self, spool: Spool, send: Send) -> None:
        headers = [(b"content-type", self._media_type.encode("ascii")), (b"x-accel-buffering", b"no")]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        # as many chunks are computed ahead as there are slots; finished ones go out while lines still come in
        ahead, chunks = anyio.create_memory_object_stream[asyncio.Task[Answers]](self._slots.slots)
        async with anyio.create_task_group() as tasks:
            tasks.start_soon(self._send_in_order, spool, chunks, send)
            async with ahead:
                await self._compute(spool, ahead)
        if not self._gone:
            await send({"type": "http.response.body", "body": self._closing_lines(), "more_body": False})

    async def _compute(self, spool: Spool, ahead: MemoryObjectSendStream[asyncio.Task[Answers]]) -> None:
        splitter = LineSplitter(self._max_line_bytes)
        while (block := await spool.read()) and not self._gone:
            await self._compute_lines(splitter.feed(block), ahead)
            await (
                anyio.lowlevel.checkpoint()
            )  # others have their turn, also where all lines of a block are blank
        if not self._gone and self._cut is None:
            await self._compute_lines(splitter.finish(), ahead)

    async def _compute_lines(
        self, lines: Iterator[Line], ahead: MemoryObjectSendStream[asyncio.Task[Answers]]
    ) -> None:
        while chunk := list(islice(lines, self._chunk_lines)):
            if self._gone or self._is_stopping or self._has_ended():
                return
            await ahead.send(asyncio.create_task(self._answers_to(chunk)))

    async def _send_in_order(
        self, spool: Spool, chunks: MemoryObjectReceiveStream[asyncio.Task[Answers]], send: Send
    ) -> None:
        async with chunks:
            async for chunk in chunks:
                body, refused = await chunk
                if self._gone or self._has_ended():
                    continue
                self._count += len(refused)
                self._failed += sum(refused)
                await send({"type": "http.response.body", "body": body, "more_body": True})
                for is_refused in refused:
                    self._refused_in_a_row = self._refused_in_a_row + 1 if is_refused else 0
                if self._has_ended():
                    self._cut = _too_many_refused()
                    spool.stop()

    def _has_ended(self) -> bool:
        """Whether so many lines in a row were refused that nothing further is answered."""
        return self._refused_in_a_row >= MAX_REFUSED_IN_A_ROW

    async def _answers_to(self, lines: list[Line]) -> Answers:
        """The answers to a chunk, one line each."""
        texts = [line.text for line in lines if line.text is not None]
        try:
            computed = iter(await self._assessor.answer_lines(texts, self._detail, self._units))
        except Exception as exception:  # noqa: BLE001 - one bad chunk never stops the rest
            computed = iter([exception] * len(texts))
        answers, refused = [], []
        for line in lines:
            answer = _too_long(self._max_line_bytes) if line.text is None else next(computed)
            refused.append(not isinstance(answer, bytes))
            answers.append(
                _with_line(answer, line.number)
                if isinstance(answer, bytes)
                else self._problem(answer, line.number)
            )
        answers.append(b"")
        return b"\n".join(answers), refused

    def _problem(self, exception: Exception, line: int) -> bytes:
        problem = problem_of(exception, self._request_id)
        if problem["code"] == "internal" or met(exception) is not exception:
            log_unexpected(exception, self._request_id)
        return encoded({**problem, "line": line})

    def _closing_lines(self) -> bytes:
        """What tells a whole answer from one that was cut off on the way."""
        cut = b""
        if self._cut is not None:
            cut = encoded(problem_of(self._cut, self._request_id)) + b"\n"
        self._metrics.batch_lines.labels("answered").inc(self._count - self._failed)
        self._metrics.batch_lines.labels("refused").inc(self._failed)
        end = {"type": "end", "count": self._count, "failed": self._failed, "complete": self._cut is None}
        return cut + encoded(end) + b"\n"


def _with_line(answer: bytes, number: int) -> bytes:
    """An answer, which is the text of an object with members, that says which line it is to."""
    return b'%b,"line":%d}' % (answer[:-1], number)


def _too_long(limit: int) -> Refusal:
    return Refusal("line_too_long", f"The line is longer than {limit} bytes.")


def _too_many_refused() -> Refusal:
    return Refusal(
        "too_many_refused",
        f"The last {MAX_REFUSED_IN_A_ROW} lines and more were refused; nothing further is read.",
    )
