"""`recheck`: every kept condition judged by the present calculation, what became worst first, and an exit code."""

import json
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryFile
from typing import BinaryIO, cast

from service.actions.access import LOCAL
from service.actions.reassess import NOTHING_MOVED, concern
from service.actions.recheck import ArchiveQuestion, count_to_recheck
from service.actions.records.lifecycle import visited_records
from service.cli.junit import JunitReport
from service.cli.process_log import log_as_json
from service.cli.progress import progress_bar
from service.cli.recheck_answers import Means, recheck_reports
from service.running.many_conditions import CannotCompute
from service.settings import Settings
from service.translation.calculation_version import CALCULATION_VERSION
from service.wire.assessment import CAUTION
from service.wire.figures import figure_in, words
from service.wire.reassessment import ReassessedCondition
from service.wire.refusal import Refusal

STANDS, CHANGED, NOT_JUDGED, STOPPED = 0, 1, 2, 3
NUMBERS_ALONE = 6
"""Rank of a condition of which numbers moved and no word did."""


def recheck(
    question: ArchiveQuestion,
    *,
    database: str | None,
    as_json: bool,
    scheduler: str | None,
    resume: Path | None,
    junit: Path | None,
    limit: int,
) -> int:
    """Judge the archive again; the exit code. The options are those of the command. Nothing kept is changed."""
    settings = Settings() if database is None else Settings(database_url=database)
    means = Means(settings.worker_processes, scheduler, resume)
    log_as_json("error")
    report = JunitReport() if junit else None
    with TemporaryFile() as file:
        found = _Found(file)
        reason = _judge_all(settings.database_url, question, means, found, report)
        if found.count or not reason:
            _print(found, question, as_json=as_json, limit=limit)
    if reason:
        again = f" The same command goes on from {resume}." if resume else ""
        print(f"{reason} {found.count:,} revisions were judged.{again}", file=sys.stderr)
    if junit and report:
        try:
            report.write(junit)
        except OSError as error:
            print(f"Not written: {error}", file=sys.stderr)
            return STOPPED
    if reason:
        return STOPPED
    if found.changed:
        return CHANGED
    return NOT_JUDGED if found.not_judged else STANDS


@dataclass
class _Found:
    """What was found: counts, and what moved in a file, with its rank and place."""

    file: BinaryIO
    count: int = 0
    changed: int = 0
    numbers_moved: int = 0
    not_judged: int = 0
    places: list[tuple[tuple[int, float], int]] = field(default_factory=list)

    def add(self, item: ReassessedCondition) -> int:
        """One report; its rank."""
        self.count += 1
        rank = concern(item)
        if rank[0] == NOTHING_MOVED:
            return rank[0]
        if item["verdict"] is None:
            self.not_judged += 1
        elif rank[0] < NUMBERS_ALONE:
            self.changed += 1
        else:
            self.numbers_moved += 1
        self.places.append((rank, self.file.seek(0, 2)))
        self.file.write(json.dumps(item, ensure_ascii=False).encode() + b"\n")
        return rank[0]

    def worst_first(self) -> Iterator[ReassessedCondition]:
        for _, place in sorted(self.places):
            self.file.seek(place)
            yield cast(ReassessedCondition, json.loads(self.file.readline()))


def _judge_all(
    url: str, question: ArchiveQuestion, means: Means, found: _Found, report: JunitReport | None
) -> str:
    """Judge what is asked for; why it ended before, empty when it did not."""
    reason = ""
    try:
        with visited_records(url) as records:
            total = count_to_recheck(records, LOCAL, question)
            with (
                progress_bar("judging again", total) as progress,
                closing(recheck_reports(records, question, means)) as reports,
            ):
                for wanted, item in reports:
                    where = f"{wanted.kept.vessel}/{wanted.kept.condition}/{wanted.kept.number}"
                    _add(found, report, where, wanted.kept.title, item)
                    progress(1)
    except Refusal as refused:
        reason = str(refused)
    except (CannotCompute, OSError, ValueError) as error:
        reason = str(error)
    except KeyboardInterrupt:
        reason = "Stopped."
    if reason and report is not None:
        report.stopped(reason)
    return reason


def _add(
    found: _Found, report: JunitReport | None, where: str, title: str, item: ReassessedCondition | str
) -> None:
    if isinstance(item, str):
        found.count += 1
        found.not_judged += 1
        print(f"{where}: {item}", file=sys.stderr)
        if report is not None:
            report.add_case(where, title, item, None)
        return
    rank = found.add(item)
    if report is not None:
        told = "; ".join(_changes(item)) if rank < NUMBERS_ALONE and item["verdict"] is not None else None
        report.add_case(where, title, item["refused"], told)


def _print(found: _Found, question: ArchiveQuestion, *, as_json: bool, limit: int) -> None:
    """What moved, worst first, and the sum of it."""
    if as_json:
        for item in found.worst_first():
            print(json.dumps(item, ensure_ascii=False))
        return
    for shown, item in enumerate(found.worst_first()):
        if limit and shown == limit:
            print(
                f"... and {len(found.places) - limit:,} more; --limit 0 prints all of them, --json every figure."
            )
            break
        print(
            f"{item['verdict'] or 'not judged':<11} was {item['kept_verdict']:<11} {item['title']:<32.32} "
            f"{item['vessel']} {item['condition']} revision {item['revision']}"
        )
        for line in _changes(item) or _numbers(item):
            print(f"    {line}")
    rules = f", with {', '.join(question.rule_sets)} besides" if question.rule_sets else ""
    print(
        f"{found.count:,} revisions judged by calculation {CALCULATION_VERSION}{rules}: {found.changed:,} with another "
        f"verdict, clause or danger, {found.numbers_moved:,} with other numbers alone, {found.not_judged:,} that "
        f"cannot be judged now, {found.count - len(found.places) - _unplaced(found):,} as they were."
    )
    print(CAUTION)


def _unplaced(found: _Found) -> int:
    placed = sum(rank[0] == 1 for rank, _ in found.places)
    return found.not_judged - placed


def _changes(item: ReassessedCondition) -> list[str]:
    """What is said otherwise now, a line each."""
    if item["verdict"] is None:
        return [item["refused"] or "It cannot be judged now."]
    lines = []
    if item["verdict"] != item["kept_verdict"]:
        lines.append(f"verdict {item['kept_verdict']} -> {item['verdict']}")
    if item["dangers"] != item["kept_dangers"]:
        lines.append(f"dangers {item['kept_dangers']} -> {item['dangers']}")
    for row in item["criteria"]:
        before, after = row["before"], row["after"]
        was = "not asked" if before is None else words(before["verdict"])
        now = "not asked" if after is None else words(after["verdict"])
        known = after is not None and after["margin"] is not None
        margin = f", margin {figure_in(after['margin'], row['unit'])}" if known and after else ""
        lines.append(f"{row['title']} ({row['clause']}): {was} -> {now}{margin}")
    return lines


def _numbers(item: ReassessedCondition) -> list[str]:
    """The main figures that moved farthest, and how many numbers did."""
    moved = [
        (abs(row["change"]) / max(abs(row["before"]), 1e-3), row["name"], row["before"], row["after"])
        for row in item["figures"]
        if row["change"] and row["before"] is not None
    ]
    lines = [f"{name} {before:.6g} -> {after:.6g}" for _, name, before, after in sorted(moved)[::-1][:3]]
    return [*lines, f"{item['moved_count']:,} numbers of the answer moved"]
