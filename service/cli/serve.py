"""`serve`: the API on this machine."""

import ipaddress
import sys
from typing import Any

import uvicorn

from service.app import create_app
from service.cli.process_log import log_as_json
from service.demo import demo_vessel_ids
from service.settings import Settings

REFUSED = 2
GRACEFUL_SECONDS = 20
MAX_CONNECTIONS = 512


def serve(host: str | None, port: int | None, *, demo: bool) -> int:
    """Serve until stopped; the exit code."""
    given = {name: value for name, value in (("host", host), ("port", port)) if value is not None}
    settings = Settings(**given)  # type: ignore[arg-type]
    if not is_loopback(settings.host):
        print(
            f"Not serving on {settings.host}: whoever reaches that address could use the service, and it has no "
            "keys yet. Listen on 127.0.0.1 and let a proxy with its own access control stand before it.",
            file=sys.stderr,
        )
        return REFUSED
    log_as_json(settings.log_level)
    if demo:
        address = f"http://{settings.host}:{settings.port}"
        print(
            f"Demonstration ships: {', '.join(demo_vessel_ids())}. Reference: {address}/docs", file=sys.stderr
        )
    uvicorn.run(create_app(settings), **server_options(settings))
    return 0


def server_options(settings: Settings) -> dict[str, Any]:
    """How the HTTP server runs this application. Requests are logged by the application itself."""
    return {
        "host": settings.host,
        "port": settings.port,
        "log_level": settings.log_level,
        "access_log": False,
        "server_header": False,
        "limit_concurrency": MAX_CONNECTIONS,
        "timeout_graceful_shutdown": GRACEFUL_SECONDS,
        "forwarded_allow_ips": "",
    }


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach `host`."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
