"""`python -m tests.endurance`: the long run."""

import argparse
import tempfile

from tests.api.test_mutated_requests import ask_many
from tests.endurance.killed_server import run

REQUESTS_OF_A_DATABASE = 5_000
"""Requests after which the next ones go to a new service, so that records stay few and a failure is found again."""


def main() -> None:
    """Kill servers, or answer requests, as often as asked for and print what was found."""
    parser = argparse.ArgumentParser(prog="python -m tests.endurance", description=__doc__)
    parser.add_argument("--rounds", type=int, default=300, help="how often to kill the server")
    parser.add_argument("--seed", type=int, default=1, help="of the random moments")
    parser.add_argument("--url", help="an empty PostgreSQL database; a new SQLite file when absent")
    parser.add_argument(
        "--requests", type=int, help="instead, how many requests made by chance to answer, such as 1,000,000"
    )
    given = parser.parse_args()
    if given.requests:
        with tempfile.TemporaryDirectory() as folder:
            for part in range(0, given.requests, REQUESTS_OF_A_DATABASE):
                count = min(REQUESTS_OF_A_DATABASE, given.requests - part)
                counts = ask_many(f"sqlite:///{folder}/{part}.db", count, given.seed + part)
                print(
                    f"{part + count} requests, no server error; statuses {dict(sorted(counts.items()))}",
                    flush=True,
                )
        return
    with tempfile.TemporaryDirectory() as folder:
        print(run(given.url or f"sqlite:///{folder}/records.db", given.rounds, given.seed))


if __name__ == "__main__":
    main()
