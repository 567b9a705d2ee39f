"""A server in a process of its own for as long as a block of code runs. Only the process started here is ended."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Generator, Mapping
from contextlib import contextmanager, suppress
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
def server_process(
    arguments: list[str], port: int, folder: str, environment: Mapping[str, str] = os.environ
) -> Generator[subprocess.Popen[bytes]]:
    """Run `python ARGUMENTS` with its database in `folder`, wait until it accepts connections, and end it afterwards;
    its logs are thrown away."""
    process = subprocess.Popen(
        [sys.executable, *arguments],
        cwd=ROOT,
        env={**environment, "LOADING_DATABASE_URL": f"sqlite:///{folder}/benchmark.sqlite3"},
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


def family(pid: int) -> list[int]:
    """A process and all that descend from it: a server may have workers."""
    parents: dict[int, list[int]] = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            parent = int(path.read_text().rpartition(")")[2].split()[1])
            parents.setdefault(parent, []).append(int(path.parent.name))
    found = [pid]
    for one in found:
        found += parents.get(one, [])
    return found


def peak_memory(pid: int) -> int:
    """Most memory that a process and its descendants have had resident so far, bytes, summed (VmHWM of Linux)."""
    return sum(_peak(one) for one in family(pid))


def _peak(pid: int) -> int:
    with suppress(OSError):
        for line in Path(f"/proc/{pid}/status").read_text().splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) * 1024
    return 0


def processor_time(pid: int) -> float:
    """Seconds that the threads of a process and its descendants have been on a processor (schedstat of Linux)."""
    nanoseconds = 0
    for one in family(pid):
        for task in Path(f"/proc/{one}/task").glob("*/schedstat"):
            with suppress(OSError):
                nanoseconds += int(task.read_text().split()[0])
    return nanoseconds / 1e9
