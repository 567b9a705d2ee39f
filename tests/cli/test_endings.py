"""How commands end for scripts: exit codes where something is wrong around them. The codes 141 and 130 are those that
shells give for SIGPIPE and SIGINT (128 and the signal's number; POSIX, Shell Command Language 2.8.2)."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from service.cli.endings import exit_code_of
from service.cli.main import app


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["check", "--none-such", "x"], 3),
        (["recheck", "--limit", "-1"], 3),
        (["check"], 3),
        (["serve", "--none"], 2),
    ],
)
def test_a_wrong_option_is_no_verdict(
    arguments: list[str], code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    """2 says of `check` that something is incomplete, of `recheck` that something cannot be judged."""
    assert exit_code_of(lambda: app(arguments, prog_name="service"), arguments[0]) == code
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "Error" in captured.err


def test_codes_of_commands_stay_theirs() -> None:
    one = typer.Typer()

    @one.command()
    def end(code: int) -> None:
        raise typer.Exit(code)

    for code in (0, 1, 2, 3):
        assert exit_code_of(lambda code=code: one([str(code)]), "check") == code  # type: ignore[misc]


def test_ctrl_c_before_anything_is_caught() -> None:
    one = typer.Typer()

    @one.command()
    def wait() -> None:
        raise KeyboardInterrupt

    assert exit_code_of(lambda: one([]), "check") == 128 + signal.SIGINT


PRINTS = """
import sys
from service.cli.endings import exit_code_of
def command():
    for number in range(100_000):
        print("condition", number)
sys.exit(exit_code_of(command, "check"))
"""


def _ends(stdout: int) -> tuple[int, str]:
    done = subprocess.run(
        [sys.executable, "-c", PRINTS], stdout=stdout, stderr=subprocess.PIPE, text=True, timeout=60
    )
    return done.returncode, done.stderr


def test_a_pipe_that_nobody_reads_ends_it_without_a_word() -> None:
    read, write = os.pipe()
    os.close(read)
    assert _ends(write) == (128 + signal.SIGPIPE, "")
    os.close(write)


def test_a_full_disk_is_no_verdict_either() -> None:
    with Path("/dev/full").open("w") as full:
        assert _ends(full.fileno()) == (3, "Not written: No space left on device.\n")
