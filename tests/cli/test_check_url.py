"""`check` against a service that wants a key."""

import json
from pathlib import Path

import pytest

from tests.api.office import SHIP, condition_document, running_office
from tests.cli.test_commands import run_command


def test_check_shows_its_key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "condition.json"
    file.write_text(json.dumps({"vessel_id": SHIP, "condition": condition_document()}))
    monkeypatch.delenv("LOADING_KEY", raising=False)
    with running_office(f"sqlite:///{tmp_path}/records.db", demo=True) as office:
        token = office.token("integrator", [SHIP])
        there = ("check", file, "--url", office.address)
        given = run_command(*there, "--key", token)
        assert (given.returncode, given.stderr) == (0, "")
        assert "pass" in given.stdout
        without, wrong = run_command(*there), run_command(*there, "--key", "lc_abcdefgh_wrong")
        for refused in (without, wrong):
            assert refused.returncode == 3
            assert "No valid key" in refused.stderr
        monkeypatch.setenv("LOADING_KEY", token)
        assert run_command(*there).returncode == 0
        assert run_command("check", file).returncode == 0  # computed here: no key is needed
        stored, _ = office.enter_condition(SHIP, headers=office.key("administrator"))
        lines = tmp_path / "stored.ndjson"
        lines.write_text(f'{{"condition_id": "{stored}"}}\n{file.read_text()}\n')
        both = run_command("check", lines, "--url", office.address)
        assert (both.returncode, both.stdout.count("pass")) == (0, 2)
        here = run_command("check", lines)
        assert here.returncode == 3
        assert "Nothing is stored here" in here.stdout
        assert here.stdout.count("pass") == 1
        assert token not in run_command("check", "--help").stdout
