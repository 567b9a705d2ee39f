"""Every operation once, called through the client, as an office would: the examples of the description are made of it.

    .venv/bin/python -m tests.api.played_operations

writes `openapi_examples/operations.json` anew; look at the difference before committing it.
"""

import io
import json
import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

import httpx
import openpyxl

from service.app import create_app, describe
from service.client import ServiceClient
from service.settings import Settings
from tests.api import examples
from tests.api.in_process import InProcess, in_process
from tests.api.office import settings_for

FILE = examples.FOLDER / "operations.json"
CATALOGUES = ("listRuleSets", "listProblems", "getFindings", "getChangelog")
"""Operations whose answers are shown by their first items."""
SHOWN_ITEMS = 2
TEXTS = ("text/plain", "text/csv", "application/atom+xml")
"""Media types whose answers are shown as they are."""
_METRIC = ("# HELP loading_requests_total", "# TYPE loading_requests_total")
"""Lines of the metrics that are shown: others come and go with the system and with what was measured."""
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?Z")
_DIGEST = re.compile(r"\b[0-9a-f]{64}\b")
_TOKEN = re.compile(rb"\blc_(\w{8})_\w+")
_ID = re.compile(r"\b[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}\b")
_SECRET = re.compile(r"\bwhsec_[A-Za-z0-9+/=]+")
_AGE = re.compile(r"[\d.]+(?=(?:,\d+){4}\r\n)")
_CURSOR = re.compile(r"(?<=cursor=)[^&\"]+")


@dataclass(frozen=True)
class Exchange:
    """One request and its answer."""

    method: str
    address: str
    headers: dict[str, str]
    body: bytes
    status: int
    answer_type: str
    answer: bytes


class Recorder(httpx.BaseTransport):
    """Asks an application in this process, and remembers what was said."""

    def __init__(self, app: InProcess) -> None:
        self._app = app
        self.exchanges: list[Exchange] = []

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        body = request.read()
        headers = [
            (name, value)
            for name, value in request.headers.raw
            if name.lower() not in (b"host", b"accept-encoding")
        ]
        found = self._app.ask(
            request.method, request.url.raw_path, body, [*headers, (b"x-request-id", b"example")]
        )
        answered = {name.decode(): value.decode() for name, value in found.headers.items()}
        self.exchanges.append(
            Exchange(
                request.method,
                request.url.raw_path.decode(),
                {name.lower(): value for name, value in request.headers.items()},
                body,
                found.status,
                answered.get("content-type", "").partition(";")[0],
                found.body,
            )
        )
        return httpx.Response(found.status, headers=found.headers.items(), content=found.body)


def barge() -> dict[str, Any]:
    """The box barge of the examples with fewer rows, so that an example fits on a screen."""
    vessel: dict[str, Any] = {"id": "box-barge", **examples.read("box-barge", examples.REQUEST)["vessel"]}
    vessel["reference"] = "ERP-4711"
    vessel["hydrostatics"]["rows"] = vessel["hydrostatics"]["rows"][::2]
    curves = vessel["cross_curves"]
    for name in ("displacements", "levers"):
        curves[name] = curves[name][::4]
    return vessel


def loaded(**changes: Any) -> dict[str, Any]:
    """The condition of the examples."""
    condition: dict[str, Any] = examples.read("box-barge", examples.REQUEST)["condition"]
    return {"id": "barge-voyage-12", "reference": "V12-DEP", **condition, **changes}


def planned() -> dict[str, Any]:
    """A condition with a plan: a deck load put ashore on the way."""
    stages = [{"name": "To the roads", "days": 1.0, "removed_weights": ["Deck load"]}]
    return loaded(id="barge-voyage-13", reference="V13", plan={"kind": "voyage", "stages": stages})


def play(connect: Callable[[str | None], ServiceClient]) -> None:
    """Call every operation. `connect` gives a client with a key."""
    service = connect(connect(None).add_key({"name": "Head of office", "role": "administrator"})["token"])
    mate = service.add_key({"name": "Barge, mate", "role": "ship", "vessels": [], "days": 365})
    superintendent = connect(service.add_key({"name": "Superintendent", "role": "reviewer"})["token"])
    _installation(service)
    _vessel(service)
    service.set_key_scope(mate["id"], ["box-barge"])
    fleet = service.set_named_fleet("inland", "Inland barges", [])
    service.set_named_fleet("inland", "Inland barges", ["box-barge"], fleet.etag)
    service.get_named_fleet("inland")
    list(service.list_named_fleets())
    service.add_key({"name": "Reports", "role": "integrator", "fleets": ["inland"], "days": 365})
    _conditions(connect(mate["token"]), superintendent)
    _questions(service)
    _workbooks(service)
    service.set_vessel_state("box-barge-2", "withdrawn", "Sold", idempotency_key="sold")
    service.get_vessel_state("box-barge-2")
    _webhooks(service)
    list(service.list_changes())
    list(service.list_audit(limit=3, vessel="box-barge"))
    list(service.list_keys())
    service.get_key(mate["id"])
    service.revoke_key(mate["id"])


def _installation(service: ServiceClient) -> None:
    service.get_livez()
    service.get_readyz()
    service.get_version()
    service.get_metrics()
    service.get_changelog()
    service.list_problems()
    service.get_problem("stale")
    service.get_findings()
    service.get_rule_set(service.list_rule_sets()["items"][0]["name"])


def _vessel(service: ServiceClient) -> None:
    made = service.add_vessel(barge(), reason="From her booklet of 2019", idempotency_key="erp-4711")
    longer = {**barge(), "source": {"booklet": "Closed form, second edition"}}
    service.revise_vessel("box-barge", longer, made.etag, reason="Second edition", idempotency_key="erp-4712")
    service.get_vessel("box-barge")
    list(service.list_vessels(name="barge", limit=10))
    list(service.list_vessel_revisions("box-barge", limit=10))
    service.get_vessel_revision("box-barge", 1)
    service.compare_vessel_revisions("box-barge", 1, 2)
    service.check_vessel("box-barge", revision=2)
    service.check_vessel_proof(barge())
    service.get_vessel_proof("box-barge")
    service.get_vessel_revision_proof("box-barge", 1)


def _conditions(mate: ServiceClient, superintendent: ServiceClient) -> None:
    made = mate.add_condition("box-barge", loaded(), reason="Departure", idempotency_key="v12-1")
    id = made.record["condition"]
    fuller = {"tanks": [{"tank": "1P", "fill": 80.0}, {"tank": "1S", "fill": 80.0}]}
    second = mate.patch_condition(id, fuller, made.etag, reason="Ballast taken", idempotency_key="v12-2")
    third = loaded(title="Two slack tanks, heavier deck load")
    third["weights"] = [{**third["weights"][0], "mass": 420.0}]
    mate.revise_condition(id, third, second.etag, reason="Late cargo", idempotency_key="v12-3")
    mate.get_condition(id, units="metric")
    list(mate.list_conditions(verdict="pass", limit=10))
    list(mate.list_vessel_conditions("box-barge", verdict="pass", limit=10))
    mate.compare_revisions(id, 1, 3)
    list(mate.list_revisions(id, limit=10))
    mate.get_revision(id, 1)
    for form in ("pdf", "xlsx", "csv"):
        mate.get_report(id, 1, form)
    superintendent.add_review(
        id, 3, "returned", "Which deck load is late?", idempotency_key="superintendent-1"
    )
    superintendent.list_reviews(id, 3)
    list(superintendent.get_fleet(limit=10))
    list(superintendent.reassess({"vessel": "box-barge"}, limit=1))
    plan = mate.add_condition("box-barge", planned())
    mate.get_point(plan.record["condition"], 1, 1)
    copy = {"title": "Arrival", "consumables": {"percent": 10.0}}
    arrival = mate.add_copy(id, copy, idempotency_key="v12-arrival")
    mate.compare_conditions(f"{id}/3", arrival.record["condition"])
    lines = [loaded(reference=f"V{number}") for number in (20, 21)]
    for line in lines:
        del line["id"]
    list(mate.add_conditions_bulk("box-barge", lines, reason="Taken over"))
    _states(mate)


def _states(mate: ServiceClient) -> None:
    typed = mate.set_unfinished("box-barge", "return", {"title": "Return"})
    mate.set_unfinished("box-barge", "return", {"title": "Return", "units": "metric"}, typed.etag)
    mate.list_unfinished("box-barge")
    typed = mate.get_unfinished("box-barge", "return")
    mate.remove_unfinished("box-barge", "return", typed.etag)
    kept = mate.get_condition("barge-voyage-12")
    mate.set_condition_state(
        "barge-voyage-12", "in_force", kept.etag, "She sails with this.", idempotency_key="v12-sails"
    )
    mate.get_condition_state("barge-voyage-12")


def _webhooks(service: ServiceClient) -> None:
    url = "https://office.example/loading"
    made = service.add_webhook({"url": url, "events": ["revision.kept", "verdict.changed"]})
    list(service.list_webhooks(limit=10))
    service.get_webhook(made["id"])
    service.patch_webhook(made["id"], {"state": "paused"})
    list(service.list_deliveries(made["id"], state="dead"))
    service.redeliver(made["id"])
    service.set_webhook_secret(made["id"], overlap_hours=24)
    service.delete_webhook(made["id"])
    tested = service.add_webhook({"url": url, "events": ["review.made"]})
    service.test_webhook(tested["id"])  # nobody is there: what becomes of it is no example
    service.delete_webhook(tested["id"])


def _questions(service: ServiceClient) -> None:
    asked = {"vessel_id": "box-barge", "condition": loaded()}
    service.assess(asked)
    stored = {"condition_id": "barge-voyage-12", "units": "us", "reference": "V12-US"}
    list(service.assess_batch([asked, stored, {**asked, "vessel_id": "nobody"}], detail="summary"))
    service.get_vcg_limits(
        {"vessel_id": "box-barge", "units": "metric", "drafts": [2.0], "water_density": 1.025}
    )
    service.get_sensitivities({**asked, "tanks": ["1P"]})
    target = {"quantity": "gm_corrected", "at_least": 3.6}
    service.get_remedies({**asked, "mode": "single", "tanks": ["1P"], "targets": [target]})
    deviations = {"tanks": {"mass_percent": 2.0}}
    service.assess_uncertainty({**asked, "standard_deviations": deviations, "samples": 100, "seed": 1})
    moved = [(0.0, 0.0), (120.0, 0.15), (-120.0, -0.15), (0.0, 0.0)]
    test = {
        "pendulums": [{"name": "P", "length": 6.0}],
        "movements": [{"moment": moment, "readings": {"P": read}} for moment, read in moved],
        "displacement": 1000.0,
    }
    empty = loaded(tanks=[], weights=[], title="Inclining test")
    service.assess_inclining_test({"vessel_id": "box-barge", "condition": empty, "inclining": test})


def _workbooks(service: ServiceClient) -> None:
    service.get_booklet_template("metric")
    book = service.get_vessel_workbook("box-barge")
    service.get_revision_workbook("box-barge", 1)
    sheet = service.get_condition_sheet("box-barge")
    filled = service.get_condition_workbook("barge-voyage-12")
    other = renamed(filled.content, {"barge-voyage-12": "barge-voyage-14", "V12-DEP": "V14-DEP"})
    service.read_condition_workbook("box-barge", other)
    service.add_condition_from_workbook("box-barge", other, reason="From the mate's sheet")
    kept = service.get_condition("barge-voyage-12")
    service.revise_condition_workbook("barge-voyage-12", filled.content, kept.etag, reason="By sheet")
    ship = service.get_vessel("box-barge")
    service.read_vessel_part("box-barge", book.content)
    service.revise_vessel_from_workbook("box-barge", book.content, ship.etag, reason="From the workbook")
    sister = renamed(book.content, {"box-barge": "box-barge-2", "ERP-4711": "ERP-4712"})
    read = service.read_vessel_workbook(sister)
    service.add_vessel_from_workbook(sister, expect_digest=read["document_digest"], reason="Her sister")
    assert sheet.content != filled.content


def renamed(workbook: bytes, names: dict[str, str]) -> bytes:
    """A workbook with other words in its cells, as a spreadsheet program writes it."""
    book = openpyxl.load_workbook(io.BytesIO(workbook))
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                cell.value = names.get(cell.value, cell.value)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@contextmanager
def played() -> Iterator[tuple[list[Exchange], dict[str, Any]]]:
    """What was said, and the description of the service that was asked."""
    with tempfile.TemporaryDirectory() as folder:
        settings = settings_for(f"sqlite:///{folder}/records.db", worker_processes=0)
        with in_process(settings) as app:
            recorder = Recorder(app)
            play(lambda key: ServiceClient("http://127.0.0.1", key=key, transport=recorder, attempts=1))
            description = describe(create_app(Settings()))
            ask_for_texts(recorder, description)
            yield recorder.exchanges, description


def ask_for_texts(recorder: Recorder, description: dict[str, Any]) -> None:
    """Every list and feed again, as each text it is offered as beside JSON; by the administrator."""
    key = next(key for each in recorder.exchanges if (key := each.headers.get("authorization")))
    asked = set()
    for exchange in list(recorder.exchanges):
        name = operation_of(description, exchange)
        offered = offered_answers(description, name)
        if exchange.method != "GET" or "application/json" not in offered or name in asked:
            continue
        asked.add(name)
        for media_type in [text for text in TEXTS if text in offered]:
            headers = {"authorization": key, "accept": media_type}
            address = f"http://127.0.0.1{exchange.address}"
            answer = recorder.handle_request(httpx.Request("GET", address, headers=headers))
            assert answer.status_code == 200, (name, media_type, answer.text)


def offered_answers(description: dict[str, Any], name: str) -> dict[str, Any]:
    """Media types of what an operation answers when all is well."""
    for methods in description["paths"].values():
        for operation in methods.values():
            if operation["operationId"] == name:
                found: dict[str, Any] = operation["responses"].get("200", {}).get("content", {})
                return found
    raise AssertionError(f"{name} is not described")


def operation_of(description: dict[str, Any], exchange: Exchange) -> str:
    """The operationId that a request asked for."""
    path = exchange.address.partition("?")[0]
    templates = sorted(description["paths"], key=lambda template: template.count("{"))
    for template in templates:
        pattern = re.sub(r"\{\w+\}", "[^/]+", template)
        operation = description["paths"][template].get(exchange.method.lower())
        if operation is not None and re.fullmatch(pattern, path):
            name: str = operation["operationId"]
            return name
    raise AssertionError(f"{exchange.method} {path} is not described")


def examples_of(exchanges: list[Exchange], description: dict[str, Any]) -> dict[str, Any]:
    """The first request of every operation, and the first answer of each status, with names that do not change."""
    keys = [found[1].decode() for each in exchanges for found in _TOKEN.finditer(each.answer)]
    steady = Steady(keys)
    found: dict[str, Any] = {}
    for exchange in exchanges:
        name = operation_of(description, exchange)
        example = found.setdefault(name, {"request": _request(exchange, steady), "answers": {}})
        answer = _answer(exchange, name, steady)
        example["answers"].setdefault(str(exchange.status), {}).setdefault(exchange.answer_type, answer)
    return dict(sorted(found.items()))


def _request(exchange: Exchange, steady: "Steady") -> dict[str, Any]:
    kept = ("if-match", "idempotency-key", "content-type", "accept")
    headers = {
        name: steady.text(value)
        for name, value in exchange.headers.items()
        if name in kept and value != "*/*"
    }
    if exchange.method != "GET" and "idempotency-key" in headers and len(headers["idempotency-key"]) == 32:
        del headers["idempotency-key"]  # one that the client made up
    request = {"method": exchange.method, "address": steady.text(exchange.address), "headers": headers}
    if exchange.body:
        request["body"] = _content(exchange.body, headers.get("content-type", ""), steady)
    return request


def _answer(exchange: Exchange, name: str, steady: "Steady") -> Any:
    answer = _content(exchange.answer, exchange.answer_type, steady)
    if name == "listKeys":
        return {**answer, "items": sorted(answer["items"], key=itemgetter("id"))}
    if name in CATALOGUES:
        return {**answer, "items": answer["items"][:SHOWN_ITEMS]}
    if name == "getFleet" and exchange.answer_type == "text/csv":
        return _AGE.sub("60.0", answer)
    if name == "getMetrics":
        return "\n".join(line for line in answer.splitlines() if line.startswith(_METRIC))
    return answer


def _content(content: bytes, media_type: str, steady: "Steady") -> Any:
    if media_type.endswith("ndjson"):
        return {"lines": [steady.document(json.loads(line)) for line in content.splitlines()]}
    if media_type.endswith("json"):
        return steady.document(json.loads(content))
    if media_type in TEXTS:
        return steady.text(content.decode())
    return None  # a file: where to get one is said in the description


class Steady:
    """Gives times, digests, tokens and ids of keys that are other ones each time the same names each time."""

    def __init__(self, keys: list[str]) -> None:
        """keys: ids of access keys."""
        self._keys = {key: f"example{number}" for number, key in enumerate(dict.fromkeys(keys), start=1)}
        self._names: dict[str, str] = {}
        self._count: dict[str, int] = {}

    def document(self, value: Any, member: str = "") -> Any:
        """The same document with steady names."""
        if isinstance(value, dict):
            return {name: self.document(each, name) for name, each in value.items()}
        if isinstance(value, list):
            return [self.document(each, member) for each in value]
        if isinstance(value, str):
            return self.text(value)
        return 60.0 if member == "age" else value

    def text(self, text: str) -> str:
        """The same text with steady names."""
        text = _TIME.sub("2026-11-26T12:00:00.000000Z", text)
        for key, name in self._keys.items():
            text = re.sub(rf"\blc_{key}_\w+", f"lc_{name}_secret", text).replace(key, name)
        text = _SECRET.sub("whsec_c2VjcmV0IG9mIHRoZSBleGFtcGxlLCAzMiBieXRlcyE=", text)
        text = _DIGEST.sub(lambda found: self._named("digest", "{:064x}", found[0]), text)
        text = _ID.sub(lambda found: self._named("id", "01a218fb-0000-7000-8000-{:012d}", found[0]), text)
        return _CURSOR.sub(lambda found: self._named("cursor", "next{}", found[0]), text)

    def _named(self, kind: str, form: str, value: str) -> str:
        if value not in self._names:
            self._count[kind] = self._count.get(kind, 0) + 1
            self._names[value] = form.format(self._count[kind])
        return self._names[value]


def as_text(found: dict[str, Any]) -> str:
    """The examples as they are kept."""
    return json.dumps(found, indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    with played() as (exchanges, description):
        FILE.write_text(as_text(examples_of(exchanges, description)), "utf-8")
