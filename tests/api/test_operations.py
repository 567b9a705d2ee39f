"""Health, versions, metrics, the reference and the pages of problems."""

import re
from pathlib import Path

import httpx

from service.web.problem_kinds import KINDS
from tests.api.in_process import in_process
from tests.api.office import settings_for
from tests.api.problem_check import checked_problem

CLOSED = "default-src 'none'; frame-ancestors 'none'"


def test_health(http: httpx.Client) -> None:
    for path in ("/livez", "/readyz"):
        response = http.get(path)
        assert response.status_code == 200
        assert response.json() == {"status": "ok"}


def test_security_headers(http: httpx.Client) -> None:
    for path in ("/livez", "/nowhere", "/openapi.json", "/problems"):
        headers = http.get(path).headers
        assert headers["content-security-policy"] == CLOSED
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"


def test_version(http: httpx.Client, request_document: dict[str, object]) -> None:
    version = http.get("/version").json()
    assert version["api_version"] == "1"
    answer = http.post("/v1/assessments", json=request_document).json()
    assert version["calculation_version"] == answer["provenance"]["calculation_version"]


def test_metrics_count_by_route_and_not_by_address(http: httpx.Client) -> None:
    def count(route: str, status: int) -> float:
        line = f'loading_requests_total{{method="GET",route="{route}",status="{status}"}}'
        found = re.search(re.escape(line) + r" (\S+)", http.get("/metrics").text)
        return float(found[1]) if found else 0.0

    before = count("/problems/{code}", 200), count("unmatched", 404)
    http.get("/problems/busy")
    http.get("/problems/empty")
    http.get("/no/such/address")
    http.get("/no/other/address")
    assert count("/problems/{code}", 200) - before[0] == 2
    assert count("unmatched", 404) - before[1] == 2
    assert "/no/such" not in http.get("/metrics").text


def test_gauges_of_workers_writes_and_records(tmp_path: Path) -> None:
    with in_process(settings_for(f"sqlite:///{tmp_path}/records.db", worker_processes=3)) as app:
        found = _gauges(app.ask("GET", "/metrics").body.decode())
    for name in (
        "workers",
        "workers_idle",
        "record_threads_in_use",
        "writes_waiting",
        "feed_head",
        "webhooks_waiting",
    ):
        assert found[f"loading_{name}"] == 0.0
    assert found["loading_database_up"] == 1.0
    assert found["process_resident_memory_bytes"] > 1e7


def _gauges(text: str) -> dict[str, float]:
    return {name: float(value) for name, value in re.findall(r"^(\w+) (\S+)$", text, re.MULTILINE)}


def test_every_kind_of_problem_has_a_page(http: httpx.Client) -> None:
    listed = {kind["code"]: kind for kind in http.get("/problems").json()["items"]}
    assert listed.keys() == KINDS.keys()
    for code, kind in listed.items():
        assert http.get(kind["type"]).json() == kind
        assert kind["status"] == KINDS[code].status
    checked_problem(http.get("/problems/no-such-kind"), 404)


def test_rule_sets(http: httpx.Client) -> None:
    items = http.get("/v1/rule-sets").json()["items"]
    assert {"is-code-2008-a-2.2", "is-code-2008-a-2.3", "46-cfr-170.170"} <= {item["name"] for item in items}
    for item in items:
        assert http.get(f"/v1/rule-sets/{item['name']}").json() == item
        assert item["criteria"]
        assert all(row["source"] and row["clause"] for row in item["criteria"])
    assert checked_problem(http.get("/v1/rule-sets/none-such"), 404)["code"] == "no_such_rule_set"
