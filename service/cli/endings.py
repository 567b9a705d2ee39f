"""How a command ends for the script that runs it: its exit code also where nobody takes what it prints."""

import errno
import os
import sys
from collections.abc import Callable

import typer

NOBODY_READS = 141
"""What a shell shows for a program that wrote into a pipe whose reader is gone (128 and the number of SIGPIPE)."""
INTERRUPTED = 130
"""The same for Ctrl-C."""
NOT_DONE = 3
OWN_CODES = frozenset({"check", "recheck"})
"""Commands in which 2, what a wrong option ends with elsewhere, has a meaning."""


def exit_code_of(command: Callable[[], object], name: str) -> int:
    """Run a command to its end and hand over what it printed; its exit code.

    A pipe that nobody reads any more ends it without a word, a full disk with a message, and a wrong option of a
    command whose 2 means something else as what could not be read does.
    """
    try:
        code = _code_of(command, name)
        sys.stdout.flush()
    except BrokenPipeError:
        _print_no_more()
        return NOBODY_READS
    except OSError as error:
        if error.filename is not None or error.errno not in (
            errno.ENOSPC,
            errno.EDQUOT,
            errno.EFBIG,
            errno.EIO,
        ):
            raise
        _print_no_more()
        print(f"Not written: {error.strerror}.", file=sys.stderr)
        return NOT_DONE
    if code == NOBODY_READS:
        _print_no_more()
    return code


def _code_of(command: Callable[[], object], name: str) -> int:
    try:
        command()
    except SystemExit as ended:
        cause = ended.__context__
        if isinstance(cause, BrokenPipeError):
            raise cause from None
        if isinstance(cause, typer.Abort):
            return INTERRUPTED
        code = ended.code if isinstance(ended.code, int) else int(ended.code is not None)
        is_usage = cause is not None and not isinstance(cause, typer.Exit | OSError)
        return NOT_DONE if code == 2 and is_usage and name in OWN_CODES else code
    return 0


def _print_no_more() -> None:
    """Let what is still in the buffer of standard output go nowhere: Python would try once more at its end."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)
