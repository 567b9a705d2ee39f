"""`python -m tests.endurance`: the long runs."""

import argparse
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager

from service.storage import migrate
from tests.endurance import full_disk, killed_server, race, tamper
from tests.postgres import Server, throw_away_server

ROUNDS = {"kill": 300, "race": 1000, "disk": 20, "tamper": 2000}


def main() -> None:
    """Do what was asked for, as often as asked for, and print what was found."""
    parser = argparse.ArgumentParser(prog="python -m tests.endurance", description=__doc__)
    parser.add_argument("what", nargs="?", choices=[*ROUNDS, "all"], default="kill", help="which run")
    parser.add_argument("--rounds", type=int, help="how often; each run has a number of its own")
    parser.add_argument("--seed", type=int, default=1, help="of what is random")
    parser.add_argument(
        "--postgresql", action="store_true", help="on a throw-away PostgreSQL instead of SQLite"
    )
    parser.add_argument("--url", help="an empty PostgreSQL database, for kill, race and tamper")
    given = parser.parse_args()
    for what in ROUNDS if given.what == "all" else [given.what]:
        print(f"{what}: {_run(what, given)}", flush=True)


def _run(what: str, given: argparse.Namespace) -> object:
    rounds = given.rounds or ROUNDS[what]
    with _server(given) as server:
        if what == "disk":
            with full_disk.database_on_disk(server) as (database, disk):
                return full_disk.run(database, disk, rounds)
        with tempfile.TemporaryDirectory() as folder:
            database = given.url or (server.create() if server else f"sqlite:///{folder}/records.db")
            if what == "race":
                return race.run(database, rounds)
            if what == "tamper":
                migrate(database)
                return tamper.run(database, rounds, given.seed)
            return killed_server.run(database, rounds, given.seed)


@contextmanager
def _server(given: argparse.Namespace) -> Iterator[Server | None]:
    if not given.postgresql:
        yield None
        return
    with throw_away_server() as server:
        yield server


if __name__ == "__main__":
    main()
