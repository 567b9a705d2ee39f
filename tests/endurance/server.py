"""A server process of its own, to be killed and started again."""

import multiprocessing
import os
import signal
import socket
import time
from multiprocessing.context import ForkServerProcess
from types import TracebackType
from typing import Self

import httpx

START_SECONDS = 60.0

# A clean process imports everything once; servers are forked from it and start in a fraction of a second.
PROCESSES = multiprocessing.get_context("forkserver")
PROCESSES.set_forkserver_preload(["service.cli.serve", "tests.endurance.server"])


def free_port() -> int:
    """A port of this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


class ServerProcess:
    """`serve` on a database and a port, stopped at the latest when the block ends."""

    def __init__(self, database: str, port: int | None = None, **settings: object) -> None:
        self.port = port or free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self._environment = {
            "LOADING_DATABASE_URL": database,
            "LOADING_PORT": str(self.port),
            "LOADING_ACCESS_LOG": "false",
            "LOADING_LOG_LEVEL": "error",
            "LOADING_RATE_PER_SECOND": "0",
            "LOADING_WORKER_PROCESSES": "1",
        } | {f"LOADING_{name.upper()}": str(value) for name, value in settings.items()}
        self._process: ForkServerProcess | None = None

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.kill()

    @property
    def pid(self) -> int:
        """The process that serves."""
        assert self._process is not None
        assert self._process.pid is not None
        return self._process.pid

    def start(self) -> float:
        """Start, and wait until it is ready; seconds that took."""
        began = time.monotonic()
        self._process = PROCESSES.Process(target=_serve, args=(self._environment,), daemon=True)
        self._process.start()
        while time.monotonic() - began < START_SECONDS:
            try:
                if httpx.get(f"{self.address}/readyz", timeout=5, trust_env=False).status_code == 200:
                    return time.monotonic() - began
            except httpx.TransportError:
                pass
            assert self._process.exitcode is None, f"the server ended with {self._process.exitcode}"
            time.sleep(0.01)
        raise AssertionError("the server did not become ready")

    def kill(self) -> None:
        """SIGKILL: no handler runs, nothing is flushed."""
        if self._process is not None:
            if self._process.exitcode is None:
                os.kill(self.pid, signal.SIGKILL)
            self._process.join(20)
            self._process = None


def _serve(environment: dict[str, str]) -> None:
    """What the server process runs."""
    os.environ.update(environment)
    with open(os.devnull, "w") as silent:  # noqa: PTH123 - a device, kept open for the life of the process
        os.dup2(silent.fileno(), 2)
    from service.cli.serve import serve

    raise SystemExit(serve(None, None, demo=False))
