"""Where `check` gets its answers: from a service at an address, or computed by this machine or a Dask cluster."""

from collections import deque
from collections.abc import Generator, Iterator
from contextlib import AbstractContextManager, ExitStack, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

import orjson

from service.actions.assess import AnswerLength, Assessor
from service.actions.demo_vessel import find_demo_vessel
from service.cli.check_input import Input
from service.cli.check_journal import Journal, request_digest
from service.client import ServiceClient
from service.running.many_conditions import (
    BYTES_OF_A_TASK,
    CONDITIONS_OF_A_TASK,
    Requests,
    results_in_order,
    whole_request,
)

MOST_OF_A_PART = 4096
REQUEST_ID = "check"

Answer = dict[str, Any]


@dataclass(frozen=True)
class Source:
    """around: the beginning of a request, for bare conditions. url, key: of a service. scheduler: of a Dask cluster.
    processes: worker processes here. resume: file of the answers there are."""

    around: bytes | None
    detail: AnswerLength
    url: str | None = None
    key: str | None = None
    scheduler: str | None = None
    processes: int = 1
    resume: Path | None = None


def answers_to(inputs: Iterator[Input], source: Source) -> Generator[tuple[Input, Answer]]:
    """Each input with its assessment or problem, in order.

    Raises ServiceError, CannotCompute, and ValueError and OSError for the file of answers."""
    answers = _of_service(inputs, source) if source.url else _computed(inputs, source)
    for number, (given, answer) in enumerate(answers, start=1):
        yield given, {**answer, "line": number}


def _of_service(inputs: Iterator[Input], source: Source) -> Iterator[tuple[Input, Answer]]:
    waiting: deque[Input] = deque()

    def sent() -> Iterator[bytes]:
        for given in inputs:
            waiting.append(given)
            if not given.unreadable:
                yield whole_request(given.text, source.around)

    def unreadable() -> Iterator[tuple[Input, Answer]]:
        while waiting and waiting[0].unreadable:
            yield waiting[0], _unreadable(waiting.popleft())

    with ServiceClient(source.url or "", key=source.key) as client:
        for answer in client.assess_batch(sent(), detail=source.detail):
            yield from unreadable()
            yield waiting.popleft(), cast(Answer, answer)
        yield from unreadable()


@dataclass(frozen=True)
class _Entry:
    """An input, with its answer where there is one already."""

    given: Input
    digest: bytes
    known: Answer | None


def _computed(inputs: Iterator[Input], source: Source) -> Iterator[tuple[Input, Answer]]:
    with ExitStack() as stack:
        journal = stack.enter_context(_journal(source))
        parts: deque[list[_Entry]] = deque()

        def tasks() -> Iterator[Requests]:
            for part in _parts(inputs, source, journal):
                parts.append(part)
                yield Requests(
                    [entry.given.text for entry in part if entry.known is None], source.around, source.detail
                )

        results = results_in_order(
            tasks(), Assessor(find_demo_vessel), processes=source.processes, scheduler=source.scheduler
        )
        for _, computed in results:
            fresh = iter(computed)
            for entry in parts.popleft():
                answer = entry.known
                if answer is None:
                    text, may_be_kept = _text_of(next(fresh))
                    answer = orjson.loads(text)
                    if journal is not None and may_be_kept:
                        journal.keep(entry.digest, text)
                yield entry.given, answer
            if journal is not None:
                journal.flush()


def _journal(source: Source) -> AbstractContextManager[Journal | None]:
    return nullcontext() if source.resume is None else Journal(source.resume, source.detail)


def _parts(inputs: Iterator[Input], source: Source, journal: Journal | None) -> Iterator[list[_Entry]]:
    """Inputs in the order they came, as many together as make a task."""
    part: list[_Entry] = []
    lines = size = 0
    for given in inputs:
        digest, known = b"", _unreadable(given) if given.unreadable else None
        if journal is not None and known is None:
            digest = request_digest(source.around, given.text)
            known = journal.answer(digest)
        part.append(_Entry(given, digest, known))
        if known is None:
            lines, size = lines + 1, size + len(given.text)
        if lines == CONDITIONS_OF_A_TASK or size > BYTES_OF_A_TASK or len(part) == MOST_OF_A_PART:
            yield part
            part, lines, size = [], 0, 0
    if part:
        yield part


def _text_of(result: bytes | Exception) -> tuple[bytes, bool]:
    """The text of an answer, and whether it would be the same another time."""
    if isinstance(result, bytes):
        return result, True
    from service.web.problems import encoded, problem_of  # with FastAPI, which takes a third of a second

    problem = problem_of(result, REQUEST_ID)
    return encoded(problem), problem["code"] != "internal"


def _unreadable(given: Input) -> Answer:
    return {"type": "unreadable", "title": "Not readable", "detail": given.unreadable}
