"""The reports of `recheck`: known from an earlier run, or computed by worker processes or a Dask cluster."""

from collections import deque
from collections.abc import Generator, Iterator
from contextlib import AbstractContextManager, ExitStack, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import cast

import orjson

from service.actions.access import LOCAL
from service.actions.assess import Assessor
from service.actions.recheck import ArchiveQuestion, KeptRevision, Rechecks, kept_revisions, recheck_text
from service.actions.records.transactions import Records
from service.actions.stored_vessels import StoredVessels
from service.cli.check_journal import Journal, request_digest
from service.running.many_conditions import BYTES_OF_A_TASK, CONDITIONS_OF_A_TASK, results_in_order
from service.web.problems import problem_of
from service.wire.reassessment import ReassessedCondition
from service.wire.refusal import Refusal

MOST_OF_A_PART = 4096
REQUEST_ID = "recheck"


@dataclass(frozen=True)
class Means:
    """processes: worker processes here. scheduler: of a Dask cluster instead. resume: file of the reports there are."""

    processes: int = 1
    scheduler: str | None = None
    resume: Path | None = None


@dataclass(frozen=True)
class _Entry:
    wanted: KeptRevision
    digest: bytes
    known: bytes | None
    is_fresh: bool = True


def recheck_reports(
    records: Records, question: ArchiveQuestion, means: Means
) -> Generator[tuple[KeptRevision, ReassessedCondition | str]]:
    """Each revision with its report, or with a sentence why there is none; in order.

    Raises CannotCompute, Refusal, and ValueError and OSError for the file of reports."""
    vessels = StoredVessels(records)
    assessor = Assessor(vessels.find, find_document=vessels.document)
    with ExitStack() as stack:
        journal = stack.enter_context(_journal(question, means))
        parts: deque[list[_Entry]] = deque()

        def tasks() -> Iterator[Rechecks]:
            for part in _parts(records, assessor, question, journal):
                parts.append(part)
                wanted = [entry.wanted for entry in part if entry.known is None]
                yield Rechecks(wanted, question.rule_sets)

        computed = results_in_order(tasks(), assessor, processes=means.processes, scheduler=means.scheduler)
        for _, results in computed:
            fresh = iter(results)
            for entry in parts.popleft():
                result = next(fresh) if entry.known is None else entry.known
                if isinstance(result, Exception):
                    yield entry.wanted, problem_of(result, REQUEST_ID)["detail"]
                    continue
                if journal is not None and entry.is_fresh:
                    journal.keep(entry.digest, result)
                yield entry.wanted, cast(ReassessedCondition, orjson.loads(result))
            if journal is not None:
                journal.flush()


def _journal(question: ArchiveQuestion, means: Means) -> AbstractContextManager[Journal | None]:
    return nullcontext() if means.resume is None else Journal(means.resume, question.in_words())


def _parts(
    records: Records, assessor: Assessor, question: ArchiveQuestion, journal: Journal | None
) -> Iterator[list[_Entry]]:
    """Revisions in order, as many together as make a task. One whose vessel's data cannot be used today is reported
    here: no worker can be given her."""
    part: list[_Entry] = []
    lines = size = 0
    for wanted in kept_revisions(records, LOCAL, question):
        entry = _entry(assessor, question, wanted, journal)
        part.append(entry)
        if entry.known is None:
            lines, size = lines + 1, size + wanted.size
        if lines == CONDITIONS_OF_A_TASK or size > BYTES_OF_A_TASK or len(part) == MOST_OF_A_PART:
            yield part
            part, lines, size = [], 0, 0
    if part:
        yield part


def _entry(
    assessor: Assessor, question: ArchiveQuestion, wanted: KeptRevision, journal: Journal | None
) -> _Entry:
    digest = b""
    if journal is not None:
        digest = request_digest(None, wanted.request)
        known = journal.answer(digest)
        if known is not None:
            return _Entry(wanted, digest, orjson.dumps(known), is_fresh=False)
    try:
        assessor.stored(wanted.kept.vessel, wanted.vessel_revision)
    except Refusal:
        return _Entry(wanted, digest, recheck_text(assessor, wanted, question.rule_sets))
    return _Entry(wanted, digest, None)
