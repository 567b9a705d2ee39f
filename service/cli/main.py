"""The command line. Each command imports what it needs when it is called: `--help` answers at once."""

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    help="Loading conditions: free surface, GM, drafts, trim, righting levers and criteria of a ship as loaded.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)


@app.command()
def serve(
    host: Annotated[str | None, typer.Option(help="Address to listen on; this machine only.")] = None,
    port: Annotated[int | None, typer.Option(help="Port to listen on; 0 takes a free one.")] = None,
    demo: Annotated[
        bool, typer.Option("--demo", help="Say which demonstration ships can be asked about.")
    ] = False,
) -> None:
    """Serve the REST API on this machine."""
    from service.cli.serve import serve as run

    raise typer.Exit(run(host, port, demo=demo))


@app.command()
def demo(
    vessel: Annotated[str | None, typer.Option(help="Id of the demonstration ship.")] = None,
    condition: Annotated[str | None, typer.Option(help="Name of one of her conditions.")] = None,
    names: Annotated[bool, typer.Option("--list", help="Name the ships and conditions, and stop.")] = False,
) -> None:
    """Start the service on a free port, post a condition to it and print the answer."""
    from service.cli.demo import demo as run

    raise typer.Exit(run(vessel, condition, only_names=names))


@app.command()
def check(
    files: Annotated[list[Path], typer.Argument(help="JSON or NDJSON files; - reads standard input.")],
    vessel: Annotated[
        Path | None, typer.Option(help="Vessel document, for files that hold bare conditions.")
    ] = None,
    vessel_id: Annotated[
        str | None, typer.Option(help="Id of a vessel the service holds, for bare conditions.")
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print each whole answer as one line of JSON.")
    ] = False,
    url: Annotated[
        str | None, typer.Option(help="Ask the service at this address instead of computing here.")
    ] = None,
) -> None:
    """Check loading conditions, one row each.

    Ends with 0 when all pass, 1 when some fail, 2 when something is incomplete, 3 when input could not be read or
    there is no service. The first that applies of 3, 1, 2, 0 counts.
    """
    from service.cli.check import check as run

    raise typer.Exit(run(files, vessel, vessel_id, as_json=as_json, url=url))


def main() -> None:
    """Entry point of `python -m service`."""
    app(prog_name="python -m service")
