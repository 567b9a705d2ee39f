"""The command line. Each command imports what it needs when it is called: `--help` answers at once."""

import gc
import os
import sys
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from service.cli.endings import exit_code_of

Database = Annotated[
    str | None, typer.Option("--database", help="Address of the database; that of the settings when absent.")
]

app = typer.Typer(
    help="Loading conditions: free surface, GM, drafts, trim, righting levers and criteria of a ship as loaded.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)


@app.command()
def serve(
    host: Annotated[str | None, typer.Option(help="Address to listen on.")] = None,
    port: Annotated[int | None, typer.Option(help="Port to listen on; 0 takes a free one.")] = None,
    demo: Annotated[
        bool, typer.Option("--demo", help="Enter the demonstration ships, where they are not there yet.")
    ] = False,
    workers: Annotated[int, typer.Option(min=1, max=64, help="Server processes; several on PostgreSQL.")] = 1,
) -> None:
    """Serve the REST API: on this machine, and beyond it once there are keys."""
    gc.disable()  # nothing that is built while starting is garbage; the service turns it on again
    # read when numpy is imported: its matrices are small here, threads for them wait for one another
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from service.cli.serve import serve as run

    raise typer.Exit(run(host, port, demo=demo, workers=workers))


@app.command()
def demo(
    vessel: Annotated[str | None, typer.Option(help="Id of the demonstration ship.")] = None,
    condition: Annotated[str | None, typer.Option(help="Name of one of her conditions.")] = None,
    names: Annotated[bool, typer.Option("--list", help="Name the ships and conditions, and stop.")] = False,
    working: Annotated[
        bool, typer.Option("--working", help="Print how every figure is made, as a worksheet.")
    ] = False,
) -> None:
    """Start the service on a free port, post a condition to it and print the answer."""
    from service.cli.demo import demo as run

    raise typer.Exit(run(vessel, condition, only_names=names, working=working))


@app.command()
def check(
    files: Annotated[
        list[Path],
        typer.Argument(help="JSON, NDJSON or condition sheets (.xlsx); - reads standard input."),
    ],
    vessel: Annotated[
        Path | None, typer.Option(help="Vessel document, for files that hold bare conditions.")
    ] = None,
    vessel_id: Annotated[str | None, typer.Option(help="Id of a stored vessel, for bare conditions.")] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print each whole answer as one line of JSON.")
    ] = False,
    full: Annotated[
        bool, typer.Option("--full", help="Print each whole answer as a person reads it.")
    ] = False,
    url: Annotated[
        str | None, typer.Option(help="Ask the service at this address instead of computing here.")
    ] = None,
    key: Annotated[
        str | None,
        typer.Option(
            envvar="LOADING_KEY", help="Access key for the service at --url. Better given by the environment."
        ),
    ] = None,
    scheduler: Annotated[
        str | None, typer.Option(help="Compute on the Dask cluster of this scheduler, as tcp://HOST:8786.")
    ] = None,
    resume: Annotated[
        Path | None,
        typer.Option(help="Keep the answers in this file; a run that was stopped goes on from there."),
    ] = None,
    junit: Annotated[
        Path | None, typer.Option(help="Write the verdicts as JUnit XML, for pipelines.")
    ] = None,
) -> None:
    """Check loading conditions, one row each, and a second one for the worst point of a plan.

    Ends with 0 when all pass, 1 when some fail, 2 when something is incomplete, 3 when input or an option could not
    be read, something could not be written or there is no service. The first that applies of 3, 1, 2, 0 counts.
    """
    from service.cli.check import check as run

    raise typer.Exit(
        run(
            files,
            vessel,
            vessel_id,
            as_json=as_json,
            full=full,
            url=url,
            key=key,
            scheduler=scheduler,
            resume=resume,
            junit=junit,
        )
    )


@app.command()
def recheck(
    vessel: Annotated[
        list[str] | None, typer.Option(help="Id of a vessel, once for each; every active one when absent.")
    ] = None,
    all_revisions: Annotated[
        bool,
        typer.Option("--all-revisions", help="Every kept revision instead of the latest of each condition."),
    ] = False,
    latest_data: Annotated[
        bool,
        typer.Option("--latest-data", help="Judge by the vessel's latest data instead of those of then."),
    ] = False,
    rule_set: Annotated[
        list[str] | None, typer.Option(help="Rule set to check besides, once for each.")
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print each report of what moved as one line of JSON.")
    ] = False,
    limit: Annotated[int, typer.Option(min=0, help="Most conditions to print; 0 for all.")] = 50,
    scheduler: Annotated[
        str | None, typer.Option(help="Compute on the Dask cluster of this scheduler, as tcp://HOST:8786.")
    ] = None,
    resume: Annotated[
        Path | None,
        typer.Option(help="Keep the reports in this file; a run that was stopped goes on from there."),
    ] = None,
    junit: Annotated[
        Path | None, typer.Option(help="Write what changed as JUnit XML, for pipelines.")
    ] = None,
    database: Database = None,
) -> None:
    """Judge the kept conditions again by the present calculation, and report what moved, the worst first.

    Nothing kept is changed. Ends with 0 when every verdict, clause and danger stands, 1 when some are other ones now,
    2 when some cannot be judged now, 3 when the run did not come to its end. The first that applies of 3, 1, 2, 0
    counts.
    """
    from service.actions.recheck import ArchiveQuestion
    from service.cli.recheck import recheck as run

    question = ArchiveQuestion(
        tuple(dict.fromkeys(vessel or ())), all_revisions, latest_data, tuple(rule_set or ())
    )
    raise typer.Exit(
        run(
            question,
            database=database,
            as_json=as_json,
            limit=limit,
            scheduler=scheduler,
            resume=resume,
            junit=junit,
        )
    )


@app.command()
def migrate(
    service_role: Annotated[
        str | None,
        typer.Option(
            help="PostgreSQL role that serves: it may read, add, and change what is not append-only."
        ),
    ] = None,
    database: Database = None,
) -> None:
    """Bring the database to the schema of this release, with the role that owns it.

    Needed only where the serving role may not: otherwise `serve` does it. Roles that served before keep their rights.
    """
    from service.cli.care import migrate as run

    raise typer.Exit(run(database, service_role))


@app.command()
def verify(
    head: Annotated[
        Path | None, typer.Option(help="File of a head exported earlier, to check against.")
    ] = None,
    export_head: Annotated[
        Path | None, typer.Option(help="File to write the present head to; keep it elsewhere.")
    ] = None,
    cover: Annotated[
        bool,
        typer.Option(
            "--cover", help="First take over rows that an older release kept beside this one; each is named."
        ),
    ] = False,
    database: Database = None,
) -> None:
    """Walk the digests of everything kept; ends with 1 and names the first link that does not hold."""
    from service.cli.care import verify as run

    raise typer.Exit(run(database, head, export_head, cover=cover))


@app.command()
def backup(
    target: Annotated[Path, typer.Argument(help="New file.")],
    without_pepper: Annotated[
        bool,
        typer.Option(
            "--without-pepper", help="Leave the pepper of its keys out; otherwise it is FILE.pepper."
        ),
    ] = False,
    database: Database = None,
) -> None:
    """Copy a SQLite database beside a running server, and check the copy. PostgreSQL: use pg_dump."""
    from service.cli.care import backup as run

    raise typer.Exit(run(database, target, take_pepper=not without_pepper))


@app.command()
def restore(
    source: Annotated[Path, typer.Argument(help="A backup.")],
    replace: Annotated[
        bool, typer.Option("--replace", help="Keep the present database beside it as NAME.replaced.")
    ] = False,
    head: Annotated[Path | None, typer.Option(help="File of an exported head to check against.")] = None,
    database: Database = None,
) -> None:
    """Put a backup in the place of a SQLite database. Stop the server before."""
    from service.cli.care import restore as run

    raise typer.Exit(run(database, source, head, replace=replace))


@app.command()
def export(
    condition: Annotated[str, typer.Argument(help="Id of the condition.")],
    target: Annotated[str, typer.Argument(help="New file; - for standard output.")] = "-",
    database: Database = None,
) -> None:
    """Write the whole history of one condition, with the vessel's data it was judged by, as one file."""
    from service.cli.care import export as run

    raise typer.Exit(run(database, condition, target))


@app.command("import")
def import_(
    source: Annotated[str, typer.Argument(help="An exported history; - for standard input.")],
    database: Database = None,
) -> None:
    """Read an exported history in, digests and all."""
    from service.cli.care import import_ as run

    raise typer.Exit(run(database, source))


def main() -> None:
    """Entry point of `python -m service`."""
    if sys.argv[1:2] == ["keys"]:
        from service.cli.keys import app as keys

        app.add_typer(keys, name="keys")
    else:  # named in the help, without what it imports
        app.command("keys", help="Access keys: add, list, revoke, rescope.")(lambda: None)
    if sys.argv[1:2] == ["booklet"]:
        from service.cli.booklet import app as booklet

        app.add_typer(booklet, name="booklet")
    else:
        app.command("booklet", help="A ship as a workbook: template, read, write, prove, keep.")(lambda: None)
    sys.exit(exit_code_of(partial(app, prog_name="python -m service"), "".join(sys.argv[1:2])))
