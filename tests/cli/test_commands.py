"""The commands as they are typed; a few in a process of their own, as they take seconds to start."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest
from typer.testing import CliRunner

from service.cli.main import app
from service.cli.serve import is_loopback
from service.demo import condition_names, read_condition, read_vessel

ROOT = Path(__file__).parents[2]


class Done(NamedTuple):
    """How a command ended and what it printed."""

    returncode: int
    stdout: str
    stderr: str


def run_command(*arguments: str | Path, stdin: bytes = b"") -> Done:
    """One command in this process."""
    done = CliRunner().invoke(app, [*map(str, arguments)], input=stdin)
    return Done(done.exit_code, done.stdout, done.stderr)


def _run_alone(*arguments: str | Path, stdin: bytes = b"") -> Done:
    done = subprocess.run(
        [sys.executable, "-m", "service", *map(str, arguments)],
        cwd=ROOT, input=stdin, capture_output=True, timeout=60, check=False,
    )  # fmt: skip
    return Done(done.returncode, done.stdout.decode(), done.stderr.decode())


def _condition(name: str, **changes: object) -> bytes:
    return json.dumps({**json.loads(read_condition("halvenmoor", name)), **changes}).encode()


def _request(name: str, **changes: object) -> bytes:
    return b'{"vessel_id":"halvenmoor","condition":' + _condition(name, **changes) + b"}"


PASSING = "departure-homogeneous"
FAILING = "timber-loll"


def test_demo_prints_an_answer_and_ends() -> None:
    done = _run_alone("demo")
    assert done.returncode == 0, done.stderr
    for part in (
        "Halvenmoor",
        "PASSES",
        "Tanks and their free surface",
        "GM corrected",
        "trim:",
        "An aid",
    ):
        assert part in done.stdout
    assert done.stderr == ""


def test_demo_of_a_named_condition_and_of_none() -> None:
    assert "FAILS" in run_command("demo", "--condition", FAILING).stdout
    unknown = run_command("demo", "--condition", "none-such")
    assert unknown.returncode == 3
    assert "--list" in unknown.stderr
    listed = run_command("demo", "--list").stdout.split()
    assert {"halvenmoor", *condition_names("halvenmoor")} <= set(listed)


def test_help_names_the_commands() -> None:
    done = run_command("--help")
    assert done.returncode == 0
    assert all(command in done.stdout for command in ("serve", "check", "demo"))


def test_serve_refuses_to_be_reached_from_elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LOADING_DATABASE_URL", f"sqlite:///{tmp_path}/records.db")
    done = _run_alone("serve", "--host", "0.0.0.0", "--port", "0")
    assert done.returncode == 2
    assert "there is no key yet" in " ".join(done.stderr.split())


def test_loopback_addresses() -> None:
    assert all(is_loopback(host) for host in ("127.0.0.1", "127.8.9.1", "::1", "localhost"))
    elsewhere = ("0.0.0.0", "10.0.0.1", "192.0.2.1", "::", "::ffff:10.0.0.1", "localhost.example", "")
    assert not any(is_loopback(host) for host in elsewhere)


def test_check_says_pass_fail_and_unreadable_by_its_exit_code(tmp_path: Path) -> None:
    good, bad, broken = tmp_path / "good.json", tmp_path / "bad.json", tmp_path / "broken.json"
    good.write_bytes(_request(PASSING))
    bad.write_bytes(_request(FAILING))
    broken.write_bytes(b'{"condition": ')
    passed = run_command("check", good)
    assert passed.returncode == 0, passed.stderr
    assert [line.split()[0] for line in passed.stdout.splitlines()] == ["verdict", "pass"]
    failed = run_command("check", good, bad)
    assert failed.returncode == 1
    assert [line.split()[0].rstrip(",") for line in failed.stdout.splitlines()] == ["verdict", "pass", "fail"]
    unreadable = run_command("check", broken, bad)
    assert unreadable.returncode == 3
    assert "unreadable" in unreadable.stdout
    assert "fail" in unreadable.stdout
    assert run_command("check", tmp_path / "absent.json").returncode == 3


def test_a_row_of_check_shows_dangers_and_both_margins(tmp_path: Path) -> None:
    """A danger changes no exit code: over-full passes and ends with 0."""
    over_full = tmp_path / "over-full.json"
    over_full.write_bytes(_request("over-full-tank"))
    done = run_command("check", over_full)
    assert done.returncode == 0, done.stderr
    head, row = done.stdout.splitlines()
    assert "smallest margin" not in head
    assert row.startswith("pass, 1 danger ")
    assert row.count("0.552 m ") == 2  # GM, and what is left of it in port
    assert "32 cm, 374 t" in row
    assert "%" not in row


def test_a_row_of_check_off_her_tables(tmp_path: Path) -> None:
    request = json.loads(_request(PASSING))
    trial = {"name": "Trial", "category": "cargo", "mass": 9000.0, "lcg": 45.0, "vcg": 5.0}
    request["condition"]["weights"].append(trial)
    heavy = tmp_path / "heavy.json"
    heavy.write_text(json.dumps(request))
    done = run_command("check", heavy)
    assert done.returncode == 2, done.stderr
    row = done.stdout.splitlines()[1]
    assert row.startswith("incomplete ")
    assert "—" in row
    assert "None" not in row


def test_check_incomplete_is_neither_pass_nor_fail(tmp_path: Path) -> None:
    vessel = json.loads(read_vessel("halvenmoor"))
    del vessel["wind_profile"]
    (tmp_path / "vessel.json").write_text(json.dumps(vessel))
    (tmp_path / "condition.json").write_bytes(_condition(PASSING))
    done = run_command("check", tmp_path / "condition.json", "--vessel", tmp_path / "vessel.json")
    assert done.returncode == 2, done.stderr
    assert done.stdout.splitlines()[1].startswith("incomplete")


def test_check_of_lines_and_of_bare_conditions(tmp_path: Path) -> None:
    lines = tmp_path / "voyage.ndjson"
    lines.write_bytes(
        b"\n".join([_condition(PASSING), b"", _condition(PASSING, title="second"), b"{", _condition(FAILING)])
    )
    done = run_command("check", lines, "--vessel-id", "halvenmoor", "--json")
    assert done.returncode == 3
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert [row["source"].rsplit(":", 1)[1] for row in rows] == ["1", "3", "4", "5"]
    assert [row["assessment"]["verdict"] if "assessment" in row else "problem" for row in rows] == [
        "pass", "pass", "problem", "fail",
    ]  # fmt: skip
    assert rows[1]["assessment"]["title"] == "second"
    assert rows[2]["problem"]["code"] == "not_json"


def test_check_reads_standard_input() -> None:
    done = _run_alone("check", "-", stdin=_request(PASSING) + b"\n" + _request(FAILING) + b"\n")
    assert done.returncode == 1, done.stderr
    assert len(done.stdout.splitlines()) == 3


def test_check_names_the_place_of_a_refused_condition(tmp_path: Path) -> None:
    file = tmp_path / "wrong.json"
    file.write_bytes(_request(PASSING, water_density="1.025"))
    done = run_command("check", file)
    assert done.returncode == 3
    assert "/condition/water_density" in done.stdout


def test_check_without_a_service() -> None:
    done = run_command("check", "-", "--url", "http://127.0.0.1:9", stdin=_request(PASSING))
    assert done.returncode == 3
    assert "No answer from 127.0.0.1" in done.stderr


def test_a_pipe_closed_within_a_run_and_no_database(tmp_path: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    command = [sys.executable, "-m", "service", "check", "-", "--junit", str(tmp_path / "report.xml")]
    done = subprocess.run(
        command, input=_request(PASSING), stdout=write, stderr=subprocess.PIPE, timeout=100, cwd=ROOT
    )
    os.close(write)
    assert (done.returncode, done.stderr) == (141, b"")
    assert b"Nobody reads what is printed" in (tmp_path / "report.xml").read_bytes()
    missing = run_command("verify", "--database", f"sqlite:///{tmp_path}/none.db")
    assert missing.returncode == 3
    assert missing.stderr.startswith(f"There is no database at {tmp_path}/none.db:")
    assert not (tmp_path / "none.db").exists()
