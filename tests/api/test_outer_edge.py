"""Unknown keys are counted by address; counts and times may have an address of their own."""

import json
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from service.actions.access import network_of
from service.api.metrics_server import host_and_port
from service.app import create_app
from service.cli.local_server import local_server
from service.settings import Settings
from tests.api.in_process import InProcess, in_process
from tests.api.office import Office, settings_for
from tests.endurance.server import free_port

UNKNOWN = b"Bearer lc_abcdefgh_" + b"x" * 32
FORM = [(b"content-type", b"application/x-www-form-urlencoded")]


@pytest.fixture
def app(tmp_path: Path) -> Iterator[tuple[InProcess, list[tuple[bytes, bytes]]]]:
    """A service that counts unknown keys, with a known one."""
    database = f"sqlite:///{tmp_path}/records.db"
    with in_process(settings_for(database, unknown_keys_per_second=0.01)) as app:
        key = Office("", database, httpx.Client()).key("integrator")
        yield app, [(b"authorization", key["Authorization"].encode())]


def test_unknown_keys_are_limited_by_address_and_known_ones_are_not(
    app: tuple[InProcess, list[tuple[bytes, bytes]]],
) -> None:
    service, known = app
    unknown = [(b"authorization", UNKNOWN)]

    def status(headers: list[tuple[bytes, bytes]], client: str) -> int:
        return service.ask("GET", "/v1/vessels", b"", headers, client=client).status

    assert [status(unknown, "192.0.2.1") for _ in range(30)] == [401] * 30
    answer = service.ask("GET", "/v1/vessels", b"", unknown, client="192.0.2.1")
    assert (answer.status, json.loads(answer.body)["code"]) == (429, "rate_limited")
    assert int(answer.headers[b"retry-after"]) >= 1
    assert status(known, "192.0.2.1") == 200
    assert status(unknown, "192.0.2.2") == 401
    assert [status(unknown, f"2001:db8::{n:x}") for n in range(31)] == [401] * 30 + [429]


def test_the_pages_count_them_too(app: tuple[InProcess, list[tuple[bytes, bytes]]]) -> None:
    service, _ = app
    for n in range(30):
        if n % 2:
            answer = service.ask("POST", "/sign-in", b"key=lc_a_b", FORM, client="192.0.2.3")
        else:
            cookie = [(b"cookie", b"loading_session=a.lc_abcdefgh_xx")]
            answer = service.ask("GET", "/", b"", cookie, client="192.0.2.3")
        assert answer.status == 401
    assert service.ask("POST", "/sign-in", b"key=lc_a_b", FORM, client="192.0.2.3").status == 429
    assert service.ask("GET", "/sign-in", client="192.0.2.3").status == 200


def test_an_ipv6_client_is_told_by_its_network() -> None:
    assert network_of("192.0.2.7") == "192.0.2.7"
    assert network_of("2001:db8:0:1::7") == network_of("2001:db8:0:1:ffff::1") == "2001:db8:0:1::/64"
    assert network_of("2001:db8:0:2::7") != network_of("2001:db8:0:1::7")
    assert network_of(None) == "None"


def test_metrics_at_an_address_of_their_own() -> None:
    port = free_port()
    settings = Settings(database_url="", access_log=False, metrics_address=f"127.0.0.1:{port}")
    with local_server(create_app(settings)) as address:
        assert httpx.get(f"{address}/metrics", trust_env=False).status_code == 404
        assert httpx.get(f"{address}/livez", trust_env=False).status_code == 200
        counts = httpx.get(f"http://127.0.0.1:{port}/metrics", trust_env=False)
        assert counts.headers["content-type"].startswith("text/plain")
        assert 'loading_requests_total{method="GET",route="/livez",status="200"}' in counts.text
        assert httpx.get(f"http://127.0.0.1:{port}/livez", trust_env=False).status_code == 404
        assert httpx.head(f"http://127.0.0.1:{port}/metrics", trust_env=False).status_code == 200


def test_an_address_of_metrics_has_a_host_and_a_port() -> None:
    assert host_and_port("127.0.0.1:9100") == ("127.0.0.1", 9100)
    assert host_and_port("[::1]:9100") == ("::1", 9100)
    for wrong in ("9100", ":9100", "host", "host:", "host:x", "host:70000"):
        with pytest.raises(ValueError, match="host:port"):
            host_and_port(wrong)


def test_the_proxy_of_the_compose_file_does_not_publish_metrics() -> None:
    text = (Path(__file__).parents[2] / "docker" / "proxy.conf").read_text("utf-8")
    block = text.partition("location = /metrics {")[2].partition("}")[0]
    assert block.split() == ["return", "404;"]
