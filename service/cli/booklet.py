"""`booklet`: a ship as a workbook, on this machine: template, read, write, prove, keep.

Exit codes: 0 fine, 1 doubts or a proof that is off, 3 problems, or nothing could be read.
"""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

from service.actions.access import LOCAL
from service.actions.assess import Assessor
from service.actions.keep_booklet import (
    NotReadable,
    Sent,
    booklet_to_keep,
    marked,
    stored_vessel,
    template_file,
    vessel_file,
)
from service.actions.keep_vessel import add_vessel, revise_vessel
from service.actions.read_booklet import Stored, prove_document, read_booklet
from service.actions.records.lifecycle import visited_records
from service.running.garbage_collection import collect_seldom
from service.settings import Settings
from service.wire.booklet import BookletReading
from service.wire.parse import UnreadableJson, parse_json
from service.wire.proof import Proof
from service.wire.refusal import Refusal

FINE, DOUBTFUL, REFUSED = 0, 1, 3

app = typer.Typer(help="A ship as a workbook: template, read, write, prove, keep.", no_args_is_help=True)
Database = Annotated[
    str | None, typer.Option("--database", help="Address of the database; that of the settings when absent.")
]
VesselId = Annotated[
    str | None, typer.Option("--vessel", help="Id of the vessel that the workbook is laid over.")
]


@app.command()
def template(
    out: Annotated[Path, typer.Argument(help="New file.")],
    units: Annotated[str, typer.Option(help="metric or us.")] = "metric",
) -> None:
    """Write an empty booklet to fill in."""

    def run() -> int:
        if units not in ("metric", "us"):
            raise Refusal("invalid_query", "--units is metric or us.")
        out.write_bytes(template_file(units))
        return FINE

    raise typer.Exit(_exit_code_of(run))


@app.command()
def read(
    files: Annotated[list[Path], typer.Argument(help="Workbooks, or zips of CSV files.")],
    vessel: VesselId = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print each reading as one line of JSON.")] = False,
    marked_out: Annotated[
        Path | None, typer.Option("--marked", help="Write the marked copy of the last file here.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="Write the vessel document of the last file here.")
    ] = None,
    database: Database = None,
) -> None:
    """Read booklets and say everything that is wrong with them. Keeps nothing."""

    def run() -> int:
        stored = None if vessel is None else _stored(database, vessel)[0]
        codes = [FINE]
        for file in files:
            found, reading = read_booklet(file.read_bytes(), stored)
            print(json.dumps(found, ensure_ascii=False) if as_json else _in_words(str(file), found))
            codes.append(_code(found))
            if marked_out is not None:
                marked_out.write_bytes(marked(reading))
            if out is not None and found["document"] is not None:
                out.write_text(json.dumps(found["document"], ensure_ascii=False, indent=1) + "\n", "utf-8")
        return max(codes)

    raise typer.Exit(_exit_code_of(run))


@app.command()
def write(
    vessel: Annotated[str, typer.Argument(help="A vessel document (.json), or the id of a kept vessel.")],
    out: Annotated[Path, typer.Argument(help="New file: .xlsx, or .zip for CSV files.")],
    database: Database = None,
) -> None:
    """Write a vessel as a workbook."""

    def run() -> int:
        form = out.suffix.removeprefix(".").lower()
        if form not in ("xlsx", "zip"):
            raise Refusal("invalid_query", "The new file ends in .xlsx or .zip.")
        out.write_bytes(vessel_file(_document(vessel, database), form, None, ","))
        return FINE

    raise typer.Exit(_exit_code_of(run))


@app.command()
def prove(
    vessel: Annotated[
        str, typer.Argument(help="A vessel document (.json), a workbook, or the id of a kept vessel.")
    ],
    as_json: Annotated[bool, typer.Option("--json", help="Print the proof as JSON.")] = False,
    database: Database = None,
) -> None:
    """Compute a vessel's printed conditions and hold them against what her booklet prints."""

    def run() -> int:
        proof = prove_document(_document(vessel, database))
        print(json.dumps(proof, ensure_ascii=False) if as_json else _proof_in_words(proof))
        return FINE if proof["state"] == "proved" else DOUBTFUL

    raise typer.Exit(_exit_code_of(run))


@app.command()
def keep(
    file: Annotated[Path, typer.Argument(help="A workbook, or a zip of CSV files.")],
    reason: Annotated[str, typer.Option(help="Why; kept with the revision.")],
    vessel: VesselId = None,
    removed: Annotated[
        bool, typer.Option("--removed", help="Tanks, holds and openings that are not in it may go.")
    ] = False,
    database: Database = None,
) -> None:
    """Keep a booklet: as a new vessel, or as the next revision of one. Stop a server on the same SQLite file before."""

    def run() -> int:
        sent = Sent(file.read_bytes(), file.name)
        stored, digest = (None, "") if vessel is None else _stored(database, vessel)
        checked = booklet_to_keep(Assessor(), sent, stored, confirmed=removed)
        with visited_records(_url(database), create=vessel is None, alone=True) as records:
            if vessel is None:
                made = add_vessel(records, LOCAL, checked, reason=reason, sent=sent.audit_words)
            else:
                made = revise_vessel(
                    records,
                    LOCAL,
                    vessel,
                    checked,
                    expected=frozenset((digest,)),
                    reason=reason,
                    sent=sent.audit_words,
                )
        kept = json.loads(made.body)
        print(f"Kept: vessel {kept['vessel']}, revision {kept['revision']}.")
        return FINE

    raise typer.Exit(_exit_code_of(run))


def _url(database: str | None) -> str:
    return database or Settings().database_url


def _stored(database: str | None, vessel: str) -> tuple[Stored, str]:
    with visited_records(_url(database)) as records:
        return stored_vessel(records, LOCAL, vessel)


def _document(named: str, database: str | None) -> dict[str, Any]:
    """The vessel document that is named: a file of JSON, a workbook, or a kept vessel. Raises Refusal, NotReadable."""
    path = Path(named)
    if path.suffix == ".json":
        return parse_json(path.read_bytes())
    if path.suffix.lower() in (".xlsx", ".zip"):
        found, _ = read_booklet(path.read_bytes())
        if not found["can_be_kept"] or found["document"] is None:
            raise NotReadable("The workbook has problems.", found)
        return found["document"]
    return _stored(database, named)[0].document


def _code(found: BookletReading) -> int:
    if not found["can_be_kept"]:
        return REFUSED
    proof = found["proof"]
    return DOUBTFUL if found["doubts"] or (proof is not None and proof["state"] == "off") else FINE


def _in_words(file: str, found: BookletReading) -> str:
    """A reading as lines for a person."""
    lines = [f"{file}:"]
    lines += [
        f"  {sheet['name']}: {sheet['lines']} lines, {sheet['figures']} figures" for sheet in found["sheets"]
    ]
    lines += [f"  {problem['message']}" for problem in found["problems"]]
    if found["problems_not_listed"]:
        lines.append(f"  and {found['problems_not_listed']} more problems")
    lines += [f"  note: {note['message']}" for note in found["notes"]]
    lines += [f"  would be removed: {what}" for what in found["removed"]]
    lines += [f"  doubt: {doubt['cell'] or doubt['path']}: {doubt['message']}" for doubt in found["doubts"]]
    if found["proof"] is not None:
        lines.append(f"  proof: {found['proof']['words']}")
    lines.append("  It can be kept." if found["can_be_kept"] else "  It cannot be kept as it is.")
    return "\n".join(lines)


def _proof_in_words(proof: Proof) -> str:
    lines = [proof["words"]]
    for condition in proof["conditions"]:
        lines.append(f"  {condition['name']}: {condition['state']}, {len(condition['figures'])} figures")
        lines += [f"    {why}" for why in condition["why"]]
        lines += [
            f"    {figure['title']}: printed {figure['printed']:g}, computed "
            + ("none" if figure["computed"] is None else f"{figure['computed']:.5g}")
            for figure in condition["figures"]
            if figure["state"] == "off"
        ]
    return "\n".join([*lines, proof["caution"]])


def _exit_code_of(run: Callable[[], int]) -> int:
    """What a command ends with; what refuses it goes to standard error."""
    collect_seldom()  # a workbook is many small objects without cycles
    try:
        return run()
    except NotReadable as refused:
        print(f"{refused.detail}\n{_in_words('Read', refused.reading)}", file=sys.stderr)
    except Refusal as refused:
        places = "".join(f"\n  {e['pointer']} {e['detail']}" for e in refused.errors)
        print(f"{refused.detail}{places}", file=sys.stderr)
    except (OSError, UnreadableJson) as error:
        print(f"Not readable: {error}", file=sys.stderr)
    return REFUSED
