"""`serve`: the API on this machine."""

import ipaddress
import os
import sys
from importlib.util import find_spec
from typing import Any

import uvicorn
from fastapi import FastAPI
from pydantic import ValidationError

from service.actions.access import Access
from service.actions.pepper import usable_pepper
from service.actions.records.lifecycle import close_records, open_records
from service.app import create_app
from service.cli.process_log import log_as_json
from service.demo import demo_vessel_ids
from service.settings import Settings, unknown_names
from service.wire.refusal import Refusal

REFUSED = 2
GRACEFUL_SECONDS = 20
HEALTH_SECONDS = 30


def serve(host: str | None, port: int | None, *, demo: bool, workers: int = 1) -> int:
    """Serve until stopped; the exit code."""
    given = {"HOST": host, "PORT": port, "DEMO": demo or None}
    # Server processes read their settings anew, from the environment they inherit.
    os.environ.update({f"LOADING_{name}": str(value) for name, value in given.items() if value is not None})
    try:
        settings = read_settings()
        reason = _why_not(settings, workers)
    except SettingsWrong as wrong:
        reason = str(wrong)
    if reason is not None:
        print(reason, file=sys.stderr)
        return REFUSED
    uvicorn.run("service.cli.serve:process_app", factory=True, workers=workers, **server_options(settings))
    return 0


class SettingsWrong(Exception):
    """The environment holds something that cannot be meant; the text says what, without any value."""


def read_settings() -> Settings:
    """The settings of the environment. Raises SettingsWrong, also where a name is not known: it may be misspelt."""
    if unknown := unknown_names():
        raise SettingsWrong(f"Not serving: no such setting: {', '.join(unknown)}. The README lists them all.")
    try:
        return Settings()
    except ValidationError as invalid:
        wrong = [
            f"LOADING_{str(e['loc'][0]).upper()}: {e['msg']}" if e["loc"] else e["msg"]
            for e in invalid.errors(include_input=False)
        ]
        raise SettingsWrong(f"Not serving: {'; '.join(wrong)}.") from None
    except (OSError, ValueError) as fault:
        raise SettingsWrong(f"Not serving: {fault}") from None


def process_app() -> FastAPI:
    """What each server process serves."""
    settings = read_settings()
    log_as_json(settings.log_level)
    return create_app(settings)


def _why_not(settings: Settings, workers: int) -> str | None:
    """Why not to start, None to go ahead; says where to look and who may come in."""
    if workers > 1 and not settings.database_url.startswith("postgresql"):
        return "Several server processes need PostgreSQL: a SQLite file is served by one."
    if settings.traces_url and not _has_opentelemetry():
        return "Not serving: LOADING_TRACES_URL needs the extra `otel` of this package."
    if settings.oidc_issuer and (find_spec("authlib") is None or not settings.database_url):
        return "Not serving: LOADING_OIDC_ISSUER needs the extra `oidc` of this package, and a database."
    without_keys = True
    if settings.database_url:
        try:
            records = open_records(settings.database_url)
        except (Refusal, ValueError) as refused:
            return f"Not serving: {refused}"
        try:
            without_keys = Access(records, b"").open_to_all()
            pepper = usable_pepper(records, settings.pepper(), settings.make_pepper)
            if settings.oidc_issuer and not pepper:
                return "Not serving: LOADING_OIDC_ISSUER needs LOADING_KEY_PEPPER, the same in every process."
        except Refusal as refused:
            return f"Not serving: {refused}"
        finally:
            close_records(records)
    if without_keys and not is_loopback(settings.host):
        return (
            f"Not serving on {settings.host}: there is no key yet, so anyone who reaches that address would be the "
            "administrator. Make one with `python -m service keys add NAME --role administrator`, or listen on "
            "127.0.0.1."
        )
    address = f"http://{settings.host}:{settings.port}"
    if settings.demo:
        print(
            f"Demonstration ships: {', '.join(demo_vessel_ids())}. Reference: {address}/docs", file=sys.stderr
        )
    if without_keys:
        print(
            "No key yet: answering this machine only, everybody on it as administrator. "
            "`python -m service keys add NAME --role administrator` makes the first.",
            file=sys.stderr,
        )
    return None


def _has_opentelemetry() -> bool:
    try:
        return find_spec("opentelemetry.sdk") is not None
    except ModuleNotFoundError:
        return False


def server_options(settings: Settings) -> dict[str, Any]:
    """How the HTTP server runs this application. Requests are logged by the application itself."""
    return {
        "host": settings.host,
        "port": settings.port,
        "log_level": settings.log_level,
        "access_log": False,
        "server_header": False,
        "http": "service.cli.http_protocol:GuardedProtocol",
        "ws": "none",
        "timeout_graceful_shutdown": GRACEFUL_SECONDS,
        "timeout_worker_healthcheck": HEALTH_SECONDS,
        "forwarded_allow_ips": settings.trusted_proxies,
    }


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach `host`."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
