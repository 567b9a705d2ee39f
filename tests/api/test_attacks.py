"""Races and a full disk on both engines, in small. At length: `python -m tests.endurance race` and `disk`."""

import pytest

from tests.endurance import full_disk, race
from tests.postgres import ENGINES


@pytest.mark.timeout(200)
def test_two_writers_with_one_tag_have_one_winner(database_url: str) -> None:
    outcome = race.run(database_url, 12)
    assert sum(outcome.won) == 12


@pytest.mark.timeout(300)
@pytest.mark.parametrize("engine", ENGINES)
def test_a_full_disk_loses_nothing_acknowledged(request: pytest.FixtureRequest, engine: str) -> None:
    if not full_disk.can_mount():
        pytest.skip("a small disk takes the right to mount one")
    server = request.getfixturevalue("postgres_server") if engine == "postgresql" else None
    with full_disk.database_on_disk(server) as (database, disk):
        outcome = full_disk.run(database, disk, 2)
    assert outcome.kept
    assert outcome.refused >= 2 * full_disk.WRITERS * full_disk.REFUSALS
