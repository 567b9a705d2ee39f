"""A process of our own with a channel to it."""

import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing import get_context, resource_tracker
from multiprocessing.process import BaseProcess
from typing import Any

from service.running.worker_channel import Channel


def start_child(target: Callable[..., None], *given: Any) -> tuple[BaseProcess, Channel]:
    """Start a process that runs `target(its end of a pair of sockets, *given)`; it ends with this one.

    Returns the process and our end. Raises OSError where the machine has no process or file descriptor left; nothing
    is left open then."""
    ours, its = socket.socketpair()
    with its:
        # spawn: a forked process would inherit the listening socket and keep the port after a crash
        process = get_context("spawn").Process(target=target, args=(its, *given), daemon=True)
        try:
            with _without_interrupts():
                process.start()
        except BaseException:
            ours.close()
            raise
    return process, Channel(ours)


@contextmanager
def _without_interrupts() -> Iterator[None]:
    """What is started in here gets no Ctrl-C, which a terminal sends to all at once: it ends with this process, and
    would fill the screen with what it was importing."""
    resource_tracker.ensure_running()  # where it starts by itself it lets interrupts through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
