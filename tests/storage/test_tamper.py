"""Random changes behind the back of the service, in small. At length: `python -m tests.endurance tamper`."""

from tests.endurance import tamper


def test_every_random_change_is_found(migrated_url: str) -> None:
    outcome = tamper.run(migrated_url, 60, seed=6)
    assert sum(outcome.found.values()) > 40
    assert set(outcome.found) == {"changed", "removed", "added"}
