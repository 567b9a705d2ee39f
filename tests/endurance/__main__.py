"""`python -m tests.endurance`: the long run."""

import argparse
import tempfile

from tests.endurance.killed_server import run


def main() -> None:
    """Kill servers as often as asked for and print what was found."""
    parser = argparse.ArgumentParser(prog="python -m tests.endurance", description=__doc__)
    parser.add_argument("--rounds", type=int, default=300, help="how often to kill the server")
    parser.add_argument("--seed", type=int, default=1, help="of the random moments")
    parser.add_argument("--url", help="an empty PostgreSQL database; a new SQLite file when absent")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        print(run(given.url or f"sqlite:///{folder}/records.db", given.rounds, given.seed))


if __name__ == "__main__":
    main()
