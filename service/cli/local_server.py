"""A real server of this service on a free port of this machine, for as long as a block of code runs."""

import socket
import threading
import time
from collections.abc import Generator
from contextlib import contextmanager

import uvicorn
from fastapi import FastAPI

from service.cli.http_protocol import GuardedProtocol

START_SECONDS = 30.0


@contextmanager
def local_server(app: FastAPI, protocol: type[GuardedProtocol] = GuardedProtocol) -> Generator[str]:
    """Serve `app` in a thread; gives the address. Raises `RuntimeError` when it does not start."""
    listener = socket.create_server(("127.0.0.1", 0))
    port = listener.getsockname()[1]
    server = uvicorn.Server(
        uvicorn.Config(
            app, http=protocol, ws="none", log_level="error", access_log=False, timeout_graceful_shutdown=5
        )
    )
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    try:
        give_up = time.monotonic() + START_SECONDS
        while not server.started:
            if not thread.is_alive() or time.monotonic() > give_up:
                raise RuntimeError("The service did not start.")
            time.sleep(0.005)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join(timeout=10)
        listener.close()
