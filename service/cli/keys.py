"""`keys`: who may do what. The secret of a new key goes to standard output, everything else to standard error."""

import json
import sys
from collections.abc import Callable, Sequence
from typing import Annotated, Any

import typer
from pydantic import ValidationError

from service.actions.access import Access, Caller
from service.actions.keys import list_keys, make_key, rescope_key, revoke_key
from service.actions.pepper import pepper_fault, usable_pepper
from service.actions.records.lifecycle import visited_records
from service.actions.records.transactions import Records
from service.settings import Settings
from service.wire.key import Key, KeyRequest, KeyScopeRequest
from service.wire.refusal import Refusal

REFUSED = 3
OPERATOR = Caller("command-line", "Command line", "administrator", None)
PAGE = 500

app = typer.Typer(help="Access keys.", no_args_is_help=True)
Database = Annotated[
    str | None, typer.Option("--database", help="Address of the database; that of the settings when absent.")
]
Vessels = Annotated[
    list[str] | None, typer.Option("--vessel", help="Id of a vessel it may see; may be given several times.")
]
Fleets = Annotated[
    list[str] | None,
    typer.Option("--fleet", help="Id of a fleet whose vessels it may see; may be given several times."),
]


@app.command()
def add(
    name: Annotated[str, typer.Argument(help="Who uses it; stands beside everything it writes.")],
    role: Annotated[str, typer.Option(help="ship, reviewer, integrator or administrator.")],
    vessel: Vessels = None,
    fleet: Fleets = None,
    days: Annotated[int | None, typer.Option(help="Days until it expires; never when absent.")] = None,
    database: Database = None,
) -> None:
    """Make a key and print it. It is not shown again."""

    def run(records: Records, access: Access) -> None:
        asked = {"name": name, "role": role, "vessels": vessel, "fleets": fleet, "days": days}
        request = KeyRequest.model_validate(asked)
        made = make_key(records, access, OPERATOR, request)
        print(made["token"])
        print(f"Key {made['id']} for {made['name']}, {made['role']}, {_scope(made)}.", file=sys.stderr)

    _with_keys(database, run, making=True)


@app.command("list")
def list_(
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object per line.")] = False,
    database: Database = None,
) -> None:
    """List all keys, without their secrets."""

    def run(records: Records, access: Access) -> None:
        after = None
        while page := list_keys(records, OPERATOR, after=after, limit=PAGE):
            for key in page:
                print(json.dumps(key, ensure_ascii=False) if as_json else _row(key))
            after = page[-1]["id"]

    _with_keys(database, run)


@app.command()
def revoke(key: Annotated[str, typer.Argument(help="Id of the key.")], database: Database = None) -> None:
    """Let a key open nothing from now on."""
    _with_keys(database, lambda records, access: print(_row(revoke_key(records, access, OPERATOR, key))))


@app.command()
def rescope(
    key: Annotated[str, typer.Argument(help="Id of the key.")],
    vessel: Vessels = None,
    fleet: Fleets = None,
    all_vessels: Annotated[bool, typer.Option("--all", help="Let it see all vessels.")] = False,
    database: Database = None,
) -> None:
    """Give a key other vessels: those named, those of fleets named, or `--all`."""
    if bool(vessel or fleet) == all_vessels:
        print("Name vessels with --vessel or fleets with --fleet, or say --all.", file=sys.stderr)
        raise typer.Exit(REFUSED)
    try:
        scope = KeyScopeRequest(vessels=None if all_vessels else vessel or [], fleets=fleet or None)
    except ValidationError:
        print("This is no id of a vessel or of a fleet.", file=sys.stderr)
        raise typer.Exit(REFUSED) from None
    _with_keys(
        database, lambda records, access: print(_row(rescope_key(records, access, OPERATOR, key, scope)))
    )


def _with_keys(database: str | None, run: Callable[[Records, Access], Any], *, making: bool = False) -> None:
    """Run a command on the records. Keys are made with the right pepper alone; everything else goes without it, and
    says so."""
    settings = Settings() if database is None else Settings(database_url=database)
    try:
        with visited_records(settings.database_url, create=True) as records:
            if making:
                pepper = usable_pepper(records, settings.pepper(), settings.make_pepper)
            else:
                pepper, reason = settings.pepper(), pepper_fault(records, settings.pepper())
                print(reason or "", end="\n" if reason else "", file=sys.stderr)
            run(records, Access(records, pepper))
    except ValidationError as invalid:
        places = "; ".join(f"{_place(found['loc'])}: {found['msg']}" for found in invalid.errors())
        print(places, file=sys.stderr)
        raise typer.Exit(REFUSED) from None
    except (Refusal, ValueError) as refused:
        details = [error["detail"] for error in getattr(refused, "errors", ())]
        print(" ".join([str(refused), *details]), file=sys.stderr)
        raise typer.Exit(REFUSED) from None


def _place(location: Sequence[Any]) -> str:
    return "/".join(str(step) for step in location)


def _scope(key: Key) -> str:
    vessels, fleets = key["vessels"], key["fleets"]
    if vessels is None:
        return "all vessels"
    named = [f"fleet {fleet}" for fleet in fleets]
    named += ["vessels " + (", ".join(vessels) or "none")] if vessels or not fleets else []
    return ", ".join(named)


def _row(key: Key) -> str:
    state = "revoked" if key["revoked"] else f"expires {key['expires'][:10]}" if key["expires"] else "valid"
    used = f"used {key['last_used'][:16]}" if key["last_used"] else "never used"
    return "  ".join((key["id"], key["role"], state, used, _scope(key), key["name"]))
