"""`python -m tests.endurance`: the long runs."""

import argparse
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from service.storage import migrate
from tests.api.test_mutated_requests import ask_many
from tests.endurance import (
    full_disk,
    generated_clients,
    image,
    killed_mail_sender,
    killed_sender,
    killed_server,
    linted_description,
    race,
    recheck_cluster,
    replicas,
    spreadsheet_program,
    spreadsheet_results,
    tamper,
    wheels,
)
from tests.postgres import Server, throw_away_server

ROUNDS = {
    "kill": 300,
    "webhooks": 100,
    "mail": 40,
    "race": 1000,
    "disk": 20,
    "tamper": 2000,
    "requests": 1_000_000,
    "recheck": 3000,
    "spreadsheets": 40,
    "results": 40,
    "clients": 1,
    "description": 1,
    "wheels": 1,
    "image": 1,
    "replicas": 1,
}

WITHOUT_RECORDS: dict[str, Callable[[int, int], object]] = {
    "spreadsheets": lambda rounds, seed: (
        spreadsheet_program.why_not() or spreadsheet_program.run(rounds, seed)
    ),
    "results": lambda rounds, seed: spreadsheet_program.why_not() or spreadsheet_results.run(rounds, seed),
    "description": lambda rounds, seed: linted_description.why_not() or linted_description.run(),
    "wheels": lambda rounds, seed: wheels.run(),
    "image": lambda rounds, seed: image.why_not() or image.run(),
}
"""Runs that need no database of their own, by rounds and seed."""

REQUESTS_OF_A_DATABASE = 5_000
"""Requests after which the next ones go to a new service, so that records stay few and a failure is found again."""


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
    if what in WITHOUT_RECORDS:
        return WITHOUT_RECORDS[what](rounds, given.seed)
    if what == "replicas":
        with throw_away_server() as server:
            return replicas.why_not() or replicas.run(server)
    with _server(given) as server:
        if what == "disk":
            with full_disk.database_on_disk(server) as (database, disk):
                return full_disk.run(database, disk, rounds)
        if what == "requests":
            return _answer_requests(server, rounds, given.seed)
        with tempfile.TemporaryDirectory() as folder:
            database = given.url or (server.create() if server else f"sqlite:///{folder}/records.db")
            if what == "race":
                return race.run(database, rounds)
            if what == "clients":
                return generated_clients.why_not() or generated_clients.run(database)
            if what == "recheck":
                return recheck_cluster.why_not() or recheck_cluster.run(database, rounds)
            if what == "webhooks":
                return killed_sender.run(database, rounds, given.seed)
            if what == "mail":
                return killed_mail_sender.run(database, rounds, given.seed)
            if what == "tamper":
                migrate(database)
                return tamper.run(database, rounds, given.seed)
            return killed_server.run(database, rounds, given.seed)


def _answer_requests(server: Server | None, rounds: int, seed: int) -> dict[int, int]:
    """How often each status was answered to requests made by chance; none is a server error."""
    counts: Counter[int] = Counter()
    for part in range(0, rounds, REQUESTS_OF_A_DATABASE):
        with tempfile.TemporaryDirectory() as folder:
            database = server.create() if server else f"sqlite:///{folder}/records.db"
            counts.update(ask_many(database, min(REQUESTS_OF_A_DATABASE, rounds - part), seed + part))
    return dict(sorted(counts.items()))


@contextmanager
def _server(given: argparse.Namespace) -> Iterator[Server | None]:
    if not given.postgresql:
        yield None
        return
    with throw_away_server() as server:
        yield server


if __name__ == "__main__":
    main()
