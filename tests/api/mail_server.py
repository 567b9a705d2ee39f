"""A mail server on this machine (RFC 5321) that does what it is told: takes, is slow, refuses, hangs up, STARTTLS."""

import socketserver
import ssl
import threading
import time
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP
from typing import Literal, cast

Behaviour = Literal[
    "take", "slow", "refuse_recipient", "refuse_data", "hang_up", "take_and_hang_up", "take_slowly", "busy"
]
SLOW_SECONDS = 1.5


@dataclass
class Taken:
    """A mail that was taken: for whom, over TLS or not, and the mail."""

    to: list[str]
    over_tls: bool
    message: EmailMessage

    @property
    def text(self) -> str:
        """Its body."""
        return str(self.message.get_content()).replace("\r\n", "\n")


@dataclass
class MailHost:
    """behaviours: one for each conversation to come, then `take`. talks: how many there were."""

    port: int = 0
    behaviours: deque[Behaviour] = field(default_factory=deque)
    taken: list[Taken] = field(default_factory=list)
    talks: int = 0
    offers_starttls: bool = True

    def wait_for(self, count: int, seconds: float = 15.0) -> list[Taken]:
        """The mails, once there are that many. Raises AssertionError."""
        until = time.monotonic() + seconds
        while len(self.taken) < count:
            assert time.monotonic() < until, f"{len(self.taken)} of {count} mails came in {self.talks} talks"
            time.sleep(0.01)
        return self.taken


@contextmanager
def mail_host(tls: ssl.SSLContext | None = None) -> Iterator[MailHost]:
    """A mail server at a free port of 127.0.0.1; tls: it offers STARTTLS (RFC 3207)."""
    found = MailHost()

    class Talk(socketserver.StreamRequestHandler):
        def handle(self) -> None:
            found.talks += 1
            behaviour = found.behaviours.popleft() if found.behaviours else "take"
            with suppress(OSError):
                _talk(self, found, behaviour, tls)
            self.request.close()

    class Server(socketserver.ThreadingTCPServer):
        daemon_threads = True
        allow_reuse_address = True

        def handle_error(self, *given: object) -> None:
            pass

    server = Server(("127.0.0.1", 0), Talk)
    found.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield found
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)


def _talk(
    handler: socketserver.StreamRequestHandler,
    host: MailHost,
    behaviour: Behaviour,
    tls: ssl.SSLContext | None,
) -> None:
    over_tls, recipients = False, list[str]()

    def say(text: str) -> None:
        handler.wfile.write(f"{text}\r\n".encode())

    if behaviour == "busy":
        say("421 too busy")
        return
    say("220 mail.example ready")
    while line := handler.rfile.readline().decode("ascii").strip():
        word = line.split(" ", 1)[0].upper()
        match word:
            case "EHLO":
                offered = ["mail.example"]
                if tls is not None and not over_tls and host.offers_starttls:
                    offered.append("STARTTLS")
                say("\r\n".join(f"250-{name}" for name in offered) + "\r\n250 8BITMIME")
            case "STARTTLS" if tls is not None:
                say("220 go ahead")
                handler.request = tls.wrap_socket(handler.request, server_side=True)
                handler.rfile, handler.wfile = (
                    handler.request.makefile("rb"),
                    handler.request.makefile("wb", 0),
                )
                over_tls = True
            case "MAIL" | "RSET" | "NOOP":
                if behaviour == "slow":
                    time.sleep(SLOW_SECONDS)
                say("250 ok")
            case "RCPT":
                if behaviour == "refuse_recipient":
                    say("550 no such mailbox")
                    continue
                recipients.append(line.partition("<")[2].partition(">")[0])
                say("250 ok")
            case "DATA":
                if behaviour == "hang_up":
                    return
                say("354 end with a dot")
                data = b""
                while (part := handler.rfile.readline()) != b".\r\n":
                    data += part.removeprefix(b".") if part.startswith(b"..") else part
                if behaviour == "refuse_data":
                    say("451 not now")
                    continue
                message = cast(EmailMessage, message_from_bytes(data, policy=SMTP))
                host.taken.append(Taken(recipients, over_tls, message))
                if behaviour == "take_slowly":
                    time.sleep(SLOW_SECONDS / 3)
                say("250 taken")
                if behaviour == "take_and_hang_up":
                    return
            case "QUIT":
                say("221 bye")
                return
            case _:
                say("502 not known here")
