"""Servers killed with SIGKILL under concurrent writers. At length: `python -m tests.endurance --rounds 300`."""

from pathlib import Path

import pytest

from tests.endurance import killed_sender
from tests.endurance.killed_server import run
from tests.postgres import Server


@pytest.mark.timeout(300)
def test_kills_lose_nothing_acknowledged_on_sqlite(tmp_path: Path) -> None:
    outcome = run(f"sqlite:///{tmp_path}/records.db", 3)
    assert outcome.entered
    assert outcome.revised


@pytest.mark.timeout(200)
def test_kills_lose_nothing_acknowledged_on_postgresql(postgres_server: Server) -> None:
    url = postgres_server.create()
    outcome = run(url, 5, seed=2)
    assert outcome.entered
    assert outcome.revised
    postgres_server.drop(url)


@pytest.mark.timeout(200)
def test_kills_lose_no_message_to_a_webhook(tmp_path: Path) -> None:
    outcome = killed_sender.run(f"sqlite:///{tmp_path}/records.db", 1)
    assert outcome.kept == outcome.taken >= 1
