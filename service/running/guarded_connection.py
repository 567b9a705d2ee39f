"""Connections to where messages to webhooks go.

The name is resolved, every address of it is checked, and the connection goes to one that was checked. TLS is verified
for the name.
"""

import asyncio
import socket
import ssl
from collections.abc import Iterable
from pathlib import Path
from typing import Literal

import httpcore

from service.actions.webhooks.destination import Destinations

Scheme = Literal["http", "https"]


class NotPermitted(Exception):
    """The destination is none that messages may go to."""


class GuardedBackend(httpcore.AsyncNetworkBackend):
    """Opens connections for an httpcore pool."""

    def __init__(self, destinations: Destinations, scheme: Scheme) -> None:
        self._destinations, self._scheme = destinations, scheme
        self._network = httpcore.AnyIOBackend()

    async def connect_tcp(
        self,
        host: str,
        port: int,
        timeout: float | None = None,  # noqa: ASYNC109 - the name is httpcore's
        local_address: str | None = None,
        socket_options: Iterable[httpcore.SOCKET_OPTION] | None = None,
    ) -> httpcore.AsyncNetworkStream:
        """Resolve, check, connect. Raises NotPermitted, httpcore.ConnectError, httpcore.ConnectTimeout."""
        async with asyncio.timeout(timeout):
            try:
                found = await asyncio.get_running_loop().getaddrinfo(host, port, type=socket.SOCK_STREAM)
            except (OSError, UnicodeError) as fault:
                raise httpcore.ConnectError("The name cannot be resolved.") from fault
        addresses = list(dict.fromkeys(str(entry[4][0]) for entry in found))
        if not addresses or not all(self._destinations.permits(each, self._scheme) for each in addresses):
            raise NotPermitted("This installation sends nothing to that address.")
        failed: Exception | None = None
        for address in addresses[:2]:
            try:
                return await self._network.connect_tcp(address, port, timeout, local_address, socket_options)
            except httpcore.ConnectError as fault:
                failed = fault
        assert failed is not None
        raise failed

    async def connect_unix_socket(
        self,
        path: str,
        timeout: float | None = None,  # noqa: ASYNC109 - the name is httpcore's
        socket_options: Iterable[httpcore.SOCKET_OPTION] | None = None,
    ) -> httpcore.AsyncNetworkStream:
        """Never."""
        raise NotPermitted("This installation sends nothing to that address.")

    async def sleep(self, seconds: float) -> None:
        """Wait."""
        await asyncio.sleep(seconds)


def tls_context(ca_file: str) -> ssl.SSLContext:
    """Verifies certificates and names by the usual authorities, and by those in `ca_file` where it names one.

    Raises OSError or ssl.SSLError for a file that holds none.
    """
    from httpx import (
        create_ssl_context,  # with all that the rest of httpx needs; only servers with records send
    )

    context = create_ssl_context()
    if ca_file:
        context.load_verify_locations(Path(ca_file))
    return context


def guarded_pool(
    destinations: Destinations, scheme: Scheme, tls: ssl.SSLContext
) -> httpcore.AsyncConnectionPool:
    """A pool of connections of one scheme. It follows no redirect, asks no proxy and tries nothing twice."""
    return httpcore.AsyncConnectionPool(
        ssl_context=tls,
        network_backend=GuardedBackend(destinations, scheme),
        max_connections=64,
        max_keepalive_connections=8,
        keepalive_expiry=5.0,
        retries=0,
    )
