"""HEAD wherever there is GET, OPTIONS everywhere, and a complete `Allow` (RFC 9110, sections 9.3.2, 9.3.7, 10.2.1)."""

import socket
from urllib.parse import urlsplit

import httpx
import pytest

from tests.api.office import Office, code_of, condition_document

_OPEN = (
    "/livez",
    "/readyz",
    "/version",
    "/metrics",
    "/openapi.json",
    "/docs",
    "/problems",
    "/problems/stale",
)


def _same_headers(head: httpx.Response, get: httpx.Response) -> None:
    def steady(answer: httpx.Response) -> dict[str, str]:
        return {name: value for name, value in answer.headers.items() if name not in ("date", "x-request-id")}

    assert head.status_code == get.status_code
    assert steady(head) == steady(get)
    assert head.content == b""


@pytest.mark.parametrize(
    "path", [*_OPEN[:3], *_OPEN[4:], "/v1/rule-sets", "/v1/nothing", "/v1/vessels?limit=x"]
)
def test_head_is_get_without_the_body(http: httpx.Client, path: str) -> None:
    _same_headers(http.head(path), http.get(path))


def test_head_of_counts(http: httpx.Client) -> None:
    assert (http.head("/metrics").status_code, http.head("/metrics").content) == (200, b"")


def test_head_of_records(office: Office) -> None:
    vessel = office.enter_vessel()
    condition, tag = office.enter_condition(vessel)
    for path in (
        *("/v1/vessels", f"/v1/vessels/{vessel}", f"/v1/vessels/{vessel}/conditions", "/v1/changes"),
        *(f"/v1/conditions/{condition}", f"/v1/conditions/{condition}/revisions/1/reviews"),
    ):
        _same_headers(office.http.head(path), office.http.get(path))
    address = f"/v1/conditions/{condition}"
    assert office.http.head(address).headers["ETag"] == tag
    assert office.http.head(address, headers={"If-None-Match": tag}).status_code == 304
    for path in ("/v1/fleet", "/"):  # ages in seconds: their length may differ
        assert (office.http.head(path).status_code, office.http.head(path).content) == (200, b"")
    assert office.http.head(address, headers={"Authorization": "Bearer lc_unknown"}).status_code == 401


def test_the_connection_goes_on_after_head(url: str) -> None:
    """The answer to HEAD has no body on the wire: what follows is the next answer."""
    place = urlsplit(url)
    request = "{} /version HTTP/1.1\r\nHost: {}\r\n{}\r\n"
    with socket.create_connection((place.hostname, place.port), timeout=10) as connection:
        connection.sendall(request.format("HEAD", place.netloc, "").encode())
        connection.sendall(request.format("GET", place.netloc, "Connection: close\r\n").encode())
        received = b""
        while block := connection.recv(65536):
            received += block
    first, second, rest = received.split(b"\r\n\r\n")
    assert first.startswith(b"HTTP/1.1 200")
    assert second.startswith(b"HTTP/1.1 200")
    assert rest.startswith(b"{")


@pytest.mark.parametrize(
    ("path", "allowed"),
    [
        ("/v1/assessments", "OPTIONS, POST"),
        ("/v1/vessels", "GET, HEAD, OPTIONS, POST"),
        ("/v1/vessels/a", "GET, HEAD, OPTIONS, PUT"),
        ("/v1/conditions/a", "GET, HEAD, OPTIONS, PATCH, PUT"),
        ("/v1/keys/a", "DELETE, GET, HEAD, OPTIONS"),
        ("/livez", "GET, HEAD, OPTIONS"),
    ],
)
def test_allow_names_every_method(http: httpx.Client, path: str, allowed: str) -> None:
    options = http.options(path)
    assert (options.status_code, options.content, options.headers["Allow"]) == (204, b"", allowed)
    assert options.headers["X-Request-ID"]
    refused = http.request("DELETE" if "DELETE" not in allowed else "PATCH", path)
    assert code_of(refused) == (405, "method_not_allowed")
    assert refused.headers.get_list("Allow") == [allowed]
    if "HEAD" not in allowed:
        head = http.head(path)
        assert (head.status_code, head.headers["Allow"], head.content) == (405, allowed, b"")


def test_what_is_not_there_has_no_methods(http: httpx.Client) -> None:
    assert code_of(http.options("/v1/nothing")) == (404, "not_found")


def test_options_name_the_kind_of_patch(http: httpx.Client) -> None:
    assert http.options("/v1/conditions/a").headers["Accept-Patch"] == "application/merge-patch+json"
    assert "Accept-Patch" not in http.options("/v1/vessels").headers


def test_a_page_that_refuses_a_method_says_which_it_takes(office: Office) -> None:
    answer = office.http.delete("/", headers={"Accept": "text/html"})
    assert (answer.status_code, answer.headers["Allow"]) == (405, "GET, HEAD, OPTIONS")


def test_head_is_counted_under_its_own_name(http: httpx.Client) -> None:
    http.head("/version")
    lines = http.get("/metrics").text.splitlines()
    assert [line for line in lines if 'method="HEAD"' in line and 'route="/version"' in line]


def test_nothing_is_written_by_options(office: Office) -> None:
    vessel = office.enter_vessel()
    path = f"/v1/vessels/{vessel}/conditions"
    assert office.http.request("OPTIONS", path, json=condition_document()).status_code == 204
    assert office.http.get(path).json()["items"] == []
