"""`check`: many conditions, one row each, and an exit code for scripts."""

import json
import sys
from contextlib import closing
from pathlib import Path
from typing import Any, cast

from service.actions.assess import AnswerLength
from service.cli.answer_text import answer_text
from service.cli.block_text import place_of
from service.cli.check_answers import Source, answers_to
from service.cli.check_input import inputs_of
from service.cli.endings import NOBODY_READS
from service.cli.junit import JunitReport
from service.cli.process_log import log_as_json
from service.cli.progress import progress_bar
from service.client import LineProblem, ServiceError
from service.running.many_conditions import CannotCompute
from service.settings import Settings
from service.wire.assessment import Assessment, AssessmentSummary
from service.wire.figures import figure, figure_in, list_in_words, trim_in_words
from service.wire.verdict_words import load_line_figures, with_dangers

PASSED, FAILED, INCOMPLETE, UNREADABLE = 0, 1, 2, 3
_CODES = {"pass": PASSED, "fail": FAILED, "incomplete": INCOMPLETE}
_WORST_FIRST = (NOBODY_READS, UNREADABLE, FAILED, INCOMPLETE, PASSED)
_HEAD = (
    *("verdict", "condition", "GM", "trim", "list"),
    *("least margin", "of stability", "to the load line", "where"),
)
_ROW = "{:<21} {:<24.24} {:>11} {:<24} {:<20} {:>14} {:<32.32} {:<21} {}"


def check(
    files: list[Path],
    vessel: Path | None,
    vessel_id: str | None,
    *,
    as_json: bool,
    url: str | None = None,
    key: str | None = None,
    full: bool = False,
    scheduler: str | None = None,
    resume: Path | None = None,
    junit: Path | None = None,
) -> int:
    """Check every condition in `files`; the exit code, the worst first of 3, 1, 2, 0, and before them 141 where nobody
    reads what is printed. The options are those of the command."""
    if url and (scheduler or resume):
        print("--scheduler and --resume go with what is computed here, not with --url.", file=sys.stderr)
        return UNREADABLE
    try:
        around = _around(vessel, vessel_id)
        size = sum(file.stat().st_size for file in files if file != Path("-") and file.exists())
    except (OSError, ValueError) as error:
        print(f"Not readable: {error}", file=sys.stderr)
        return UNREADABLE
    detail: AnswerLength = "full" if as_json or full else "summary"
    source = Source(around, detail, url, key, scheduler, Settings().worker_processes, resume)
    report = JunitReport() if junit else None
    log_as_json("error")
    codes = _answer_all(files, source, size, report, as_json=as_json, full=full)
    if junit and report:
        try:
            report.write(junit)
        except OSError as error:
            print(f"Not written: {error}", file=sys.stderr)
            codes.add(UNREADABLE)
    return next(code for code in _WORST_FIRST if code in codes)


def _answer_all(
    files: list[Path], source: Source, size: int, report: JunitReport | None, *, as_json: bool, full: bool
) -> set[int]:
    """Print every answer; the exit codes that were met."""
    codes, done = {PASSED}, 0
    reason = ""
    try:
        if not as_json and not full:
            print(_ROW.format(*_HEAD))
        with (
            progress_bar("checking", size) as progress,
            closing(answers_to(inputs_of(files), source)) as answers,
        ):
            for given, answer in answers:
                codes.add(_print_answer(given.where, answer, as_json=as_json, full=full))
                if report is not None:
                    report.add(given.where, answer)
                done += 1
                progress(given.size)
        sys.stdout.flush()
    except BrokenPipeError:
        codes.add(NOBODY_READS)
        if report is not None:
            report.stopped("Nobody reads what is printed any more.")
    except (ServiceError, CannotCompute, OSError, ValueError) as error:
        reason = str(error)
    except KeyboardInterrupt:
        reason = "Stopped."
    if reason:
        again = f" The same command goes on from {source.resume}." if source.resume else ""
        print(f"{reason} {done:,} conditions were answered.{again}", file=sys.stderr)
        codes.add(UNREADABLE)
        if report is not None:
            report.stopped(reason)
    return codes


def _around(vessel: Path | None, vessel_id: str | None) -> bytes | None:
    """What stands beside a bare condition, as the beginning of a request."""
    if vessel is not None:
        return b'{"vessel":' + vessel.read_bytes() + b","
    if vessel_id is not None:
        return b'{"vessel_id":' + json.dumps(vessel_id).encode("utf-8") + b","
    return None


def _print_answer(where: str, answer: dict[str, Any], *, as_json: bool, full: bool = False) -> int:
    """Print one row, or the whole answer; its exit code."""
    refused = "type" in answer
    if as_json:
        kind = "problem" if refused else "assessment"
        print(json.dumps({"source": where, kind: answer}, ensure_ascii=False))
    elif refused:
        print(
            _ROW.format("unreadable", *[""] * (len(_HEAD) - 2), where),
            _reason(cast(LineProblem, answer)),
            sep=": ",
        )
    elif full:
        print(f"{where}\n{answer_text(cast(Assessment, answer))}\n")
    else:
        print(_row(where, cast(AssessmentSummary, answer)))
    return UNREADABLE if refused else _CODES[answer["verdict"]]


def _reason(problem: LineProblem) -> str:
    places = "; ".join(f"{error['pointer']} {error['detail']}" for error in problem.get("errors", [])[:3])
    return f"{problem['title']}. {places or problem['detail']}"


def _row(where: str, answer: AssessmentSummary) -> str:
    system = answer["units"]
    margin = answer["least_stability_margin"]
    line = answer["load_line_margin"]
    over = "over by " if line is not None and line["draft"] < 0.0 else ""
    row = _ROW.format(
        with_dangers(answer["verdict"], answer["dangers"]),
        answer["title"],
        figure(answer["gm_corrected"], "lever", system),
        trim_in_words(answer["trim"], system),
        list_in_words(answer["list"]),
        "" if margin is None else figure_in(margin["margin"], margin["unit"]),
        "" if margin is None else margin["title"],
        "" if line is None else f"{over}{load_line_figures(line, system)}",
        where,
    ).rstrip()
    worst = answer["plan"]["worst"] if "plan" in answer else None
    if worst is None:
        return row
    told = "first fails" if worst["verdict"] == "fail" else "is first incomplete"
    return f"{row}\n    {told} at {place_of(worst)}: {worst['title'] or 'not computed there'}"
