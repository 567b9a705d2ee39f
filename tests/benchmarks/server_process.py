"""A server in a process of its own for as long as a block of code runs. Only the process started here is ended."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Generator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path

START_SECONDS = 30.0
STOP_SECONDS = 10.0
ROOT = Path(__file__).parents[2]


def free_port() -> int:
    """A port of 127.0.0.1 nobody listens on just now."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port: int = listener.getsockname()[1]
        return port


@contextmanager
def server_process(arguments: list[str], port: int, folder: str) -> Generator[subprocess.Popen[bytes]]:
    """Run `python ARGUMENTS` with its database in `folder`, wait until it accepts connections, and end it afterwards;
    its logs are thrown away."""
    process = subprocess.Popen(
        [sys.executable, *arguments],
        cwd=ROOT,
        env={**os.environ, "LOADING_DATABASE_URL": f"sqlite:///{folder}/benchmark.sqlite3"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        _wait(process, port)
        yield process
    finally:
        process.terminate()
        try:
            process.wait(STOP_SECONDS)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _wait(process: subprocess.Popen[bytes], port: int) -> None:
    give_up = time.monotonic() + START_SECONDS
    while True:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1.0).close()
        except OSError:
            if process.poll() is not None or time.monotonic() > give_up:
                raise RuntimeError(f"the server did not start: {process.args!r}") from None
            time.sleep(0.002)
        else:
            return


def post(port: int, path: str, body: bytes) -> bytes:
    """The answer to one POST; raises where it is not a success."""
    connection = HTTPConnection("127.0.0.1", port, timeout=30.0)
    try:
        connection.request("POST", path, body, {"Content-Type": "application/json"})
        answer = connection.getresponse()
        content = answer.read()
    finally:
        connection.close()
    if answer.status not in (200, 201):
        raise RuntimeError(f"{path} answered {answer.status}: {content[:300]!r}")
    return content


def peak_memory(process: subprocess.Popen[bytes]) -> int:
    """Most memory the process has had resident so far, bytes (VmHWM of Linux)."""
    for line in Path(f"/proc/{process.pid}/status").read_text().splitlines():
        if line.startswith("VmHWM:"):
            return int(line.split()[1]) * 1024
    raise RuntimeError("no VmHWM in /proc")
