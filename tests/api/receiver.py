"""A receiver of webhooks on this machine that does what it is told: answers, is slow, hangs up, shows a certificate."""

import json
import ssl
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any


@dataclass
class Post:
    """What came once."""

    headers: dict[str, str]
    body: bytes
    path: str

    @property
    def id(self) -> str:
        return self.headers["webhook-id"]

    @property
    def event(self) -> dict[str, Any]:
        event: dict[str, Any] = json.loads(self.body)
        return event


@dataclass
class Receiver:
    """Counts what comes. `behave` gives for each post a status, a negative number to hang up, or the seconds it takes
    (a float) before it answers 204.
    """

    address: str = ""
    posts: list[Post] = field(default_factory=list)
    behave: Callable[[Post], int | float] = lambda post: 204
    redirect: str = ""

    def wait_for(self, count: int, seconds: float = 20.0) -> list[Post]:
        """The posts, once there are that many. Raises AssertionError."""
        until = time.monotonic() + seconds
        while len(self.posts) < count:
            assert time.monotonic() < until, f"{len(self.posts)} of {count} posts came"
            time.sleep(0.005)
        return self.posts


@contextmanager
def receiver(tls: ssl.SSLContext | None = None, port: int = 0) -> Iterator[Receiver]:
    """A receiver at a free port of 127.0.0.1."""
    found = Receiver()

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self) -> None:
            length = int(self.headers["Content-Length"])
            body = self.rfile.read(length)
            if len(body) < length:  # the sender was killed: an incomplete message (RFC 9112, 8)
                self.close_connection = True
                return
            post = Post({name.lower(): value for name, value in self.headers.items()}, body, self.path)
            behaviour = found.behave(post)
            found.posts.append(post)
            if isinstance(behaviour, float):
                time.sleep(behaviour)
                behaviour = 204
            if behaviour < 0:
                self.close_connection = True
                return
            self.send_response(behaviour)
            if found.redirect:
                self.send_header("Location", found.redirect)
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, *given: Any) -> None:
            pass

    class Server(ThreadingHTTPServer):
        daemon_threads = True
        request_queue_size = 64

        def handle_error(self, *given: Any) -> None:
            pass

    server = Server(("127.0.0.1", port), Handler)
    if tls is not None:
        server.socket = tls.wrap_socket(server.socket, server_side=True, do_handshake_on_connect=False)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    scheme, host = ("http", "127.0.0.1") if tls is None else ("https", "localhost")
    found.address = f"{scheme}://{host}:{server.server_address[1]}"
    try:
        yield found
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)


def certificate(folder: Path, name: str) -> tuple[Path, ssl.SSLContext]:
    """A certificate of its own for a name: its file, and a server's side that shows it."""
    key, file = folder / f"{name}.key", folder / f"{name}.pem"
    subprocess.run(
        [
            *(
                "openssl",
                "req",
                "-x509",
                "-newkey",
                "ec",
                "-pkeyopt",
                "ec_paramgen_curve:prime256v1",
                "-nodes",
            ),
            *("-days", "2", "-subj", f"/CN={name}", "-addext", f"subjectAltName=DNS:{name}"),
            *("-keyout", key, "-out", file),
        ],
        check=True,
        capture_output=True,
    )
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(file, key)
    return file, context
