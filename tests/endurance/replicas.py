"""The parts of docker/compose.yaml without its engine: two replicas on PostgreSQL as the role that may only serve,
Debian's nginx with docker/proxy.conf as it stands, and a name server at Docker's address. A replica is killed and
replaced by one at another address; the proxy finds it. Root, half a minute.
"""

import os
import re
import shutil
import signal
import socket
import struct
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import httpx

from tests.api.office import PEPPER, condition_document, vessel_document
from tests.postgres import Server

ROOT = Path(__file__).parents[2]
NAME_SERVER, PORT = "127.0.0.11", 8000
PROXY = "http://127.0.0.1"
SECONDS = 8.0
NGINX = """
daemon off; user root; pid {folder}/nginx.pid; error_log {folder}/error.log;
events {{ worker_connections 256; }}
http {{ access_log off; include {conf}; }}
"""


class Names:
    """A name server that knows one name (RFC 1035, section 4): `api`, at the addresses it is told."""

    def __init__(self, addresses: list[str]) -> None:
        self.addresses = addresses
        self._socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self._socket.bind((NAME_SERVER, 53))
        threading.Thread(target=self._serve, daemon=True).start()

    def close(self) -> None:
        self._socket.close()

    def _serve(self) -> None:
        while True:
            try:
                asked, who = self._socket.recvfrom(512)
            except OSError:
                return
            question = asked[12:]
            given = list(self.addresses) if question.startswith(b"\x03api\x00\x00\x01") else []
            head = asked[:2] + struct.pack(">HHHHH", 0x8180, 1, len(given), 0, 0)
            rows = [b"\xc0\x0c" + struct.pack(">HHIH", 1, 1, 1, 4) + socket.inet_aton(a) for a in given]
            self._socket.sendto(head + question + b"".join(rows), who)


def run(server: Server) -> dict[str, object]:
    """Conditions that were acknowledged and are there, requests repeated, and how long the new replica took to be
    found."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        service = _database(server)
        names = Names(["127.0.0.2", "127.0.0.3"])
        stack.callback(names.close)
        first, _ = (stack.enter_context(_replica(service, address)) for address in names.addresses)
        key = _first_key(service)
        stack.enter_context(_proxy(folder))
        http = stack.enter_context(
            httpx.Client(
                base_url=PROXY, timeout=30, trust_env=False, headers={"Authorization": f"Bearer {key}"}
            )
        )
        assert http.get("/metrics").status_code == 404
        vessel = http.post("/v1/vessels", json=vessel_document()).raise_for_status().json()["vessel"]
        kept, repeated = _post_for(http, vessel, SECONDS / 2)
        first.send_signal(signal.SIGKILL)
        names.addresses = ["127.0.0.3"]
        more, again = _post_for(http, vessel, SECONDS)
        stack.enter_context(_replica(service, "127.0.0.4"))
        names.addresses = ["127.0.0.3", "127.0.0.4"]
        began = time.monotonic()
        while not _answered("127.0.0.4"):
            assert time.monotonic() < began + 30, "the proxy does not find the new replica"
            http.get("/v1/vessels").raise_for_status()
        found = time.monotonic() - began
        last, once_more = _post_for(http, vessel, SECONDS / 2)
        ids = {*kept, *more, *last}
        there = _ids(http, vessel)
        assert ids == there, (len(ids), len(there))
        return {
            "acknowledged": len(ids),
            "lost": len(ids - there),
            "doubled": len(there - ids),
            "repeated": repeated + again + once_more,
            "seconds_to_find_the_new_replica": round(found, 1),
        }


def _database(server: Server) -> str:
    """A migrated database, by the address of a role that may only serve."""
    tail = uuid.uuid4().hex[:8]
    url = server.create()
    for role in ("owner", "service"):
        server.execute(f"CREATE ROLE {role}_{tail} LOGIN")
    server.execute(f"ALTER SCHEMA public OWNER TO owner_{tail}", url.rpartition("/")[2])
    owner, service = (url.replace("postgres@", f"{role}_{tail}@") for role in ("owner", "service"))
    command = [sys.executable, "-m", "service", "migrate", "--service-role", f"service_{tail}"]
    subprocess.run([*command, "--database", owner], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    return service


def _first_key(database: str) -> str:
    command = [sys.executable, "-m", "service", "keys", "add", "Head", "--role", "administrator"]
    done = subprocess.run(
        command, cwd=ROOT, env=_environment(database), check=True, capture_output=True, text=True
    )
    return done.stdout.strip()


def _environment(database: str) -> dict[str, str]:
    return {
        **os.environ,
        "LOADING_DATABASE_URL": database,
        "LOADING_KEY_PEPPER": PEPPER,
        "LOADING_TRUSTED_PROXIES": "127.0.0.1",
        "LOADING_CONNECTIONS_PER_ADDRESS": "0",
        "LOADING_RATE_PER_SECOND": "0",
        "LOADING_WORKER_PROCESSES": "1",
        "LOADING_LOG_LEVEL": "error",
    }


@contextmanager
def _replica(database: str, address: str) -> Iterator[subprocess.Popen[bytes]]:
    """A server on an address of its own, ready."""
    environment = {**_environment(database), "LOADING_METRICS_ADDRESS": f"{address}:9100"}
    command = [sys.executable, "-m", "service", "serve", "--host", address, "--port", str(PORT)]
    process = subprocess.Popen(command, cwd=ROOT, env=environment)
    try:
        until = time.monotonic() + 90
        while True:
            assert process.poll() is None
            assert time.monotonic() < until
            try:
                if httpx.get(f"http://{address}:{PORT}/readyz", timeout=5, trust_env=False).is_success:
                    break
            except httpx.TransportError:
                time.sleep(0.1)
        yield process
    finally:
        process.kill()
        process.wait()


@contextmanager
def _proxy(folder: Path) -> Iterator[None]:
    (folder / "nginx.conf").write_text(NGINX.format(folder=folder, conf=ROOT / "docker/proxy.conf"))
    process = subprocess.Popen(["nginx", "-p", str(folder), "-c", str(folder / "nginx.conf")])
    try:
        until = time.monotonic() + 20
        while time.monotonic() < until:
            try:
                httpx.get(f"{PROXY}/proxy-livez", trust_env=False).raise_for_status()
                break
            except httpx.TransportError:
                time.sleep(0.1)
        yield
    finally:
        process.terminate()
        process.wait()


def _post_for(http: httpx.Client, vessel: str, seconds: float) -> tuple[list[str], int]:
    """Ids of conditions that were acknowledged, and how many requests had to be repeated, under the same key each."""
    ids, repeated = [], 0
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        headers = {"Idempotency-Key": uuid.uuid4().hex}
        give_up = time.monotonic() + 30
        while True:
            assert time.monotonic() < give_up
            try:
                answer = http.post(
                    f"/v1/vessels/{vessel}/conditions", json=condition_document(), headers=headers
                )
            except httpx.TransportError:
                answer = None
            if answer is not None and answer.status_code == 201:
                ids.append(answer.json()["condition"])
                break
            repeated += 1
            time.sleep(0.1)
    return ids, repeated


def _answered(address: str) -> bool:
    """Whether a replica answered a request that came through the proxy."""
    text = httpx.get(f"http://{address}:9100/metrics", trust_env=False).text
    return (
        re.search(r'loading_requests_total\{method="GET",route="/v1/vessels",status="200"\}', text)
        is not None
    )


def _ids(http: httpx.Client, vessel: str) -> set[str]:
    found, address = set(), f"/v1/vessels/{vessel}/conditions"
    while address:
        page = http.get(address).raise_for_status().json()
        found |= {item["condition"] for item in page["items"]}
        address = (page["next"] or "").removeprefix(PROXY)
    return found


def why_not() -> str | None:
    """What is missing to do this; None where nothing is."""
    if os.geteuid() != 0 or shutil.which("nginx") is None:
        return "needs root and Debian's nginx"
    return None
