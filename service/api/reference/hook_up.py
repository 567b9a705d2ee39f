"""The page that leads from a key to everything an office system needs, with curl and the client side by side.

Every step is run by `tests/api/test_hook_up.py`, the shell in one folder and the Python in one program, in this order.
"""

from html import escape
from typing import Any, NamedTuple

from service.api.reference.html import marked, page

FILES = {"ship.json": "addVessel", "condition.json": "addCondition"}
"""Files that the steps use: the example bodies of these operations."""


class Step(NamedTuple):
    """One step: what it is for, a line or more of shell, and the same with the client."""

    title: str
    words: str
    shell: str
    python: str


STEPS = (
    Step(
        "A key",
        "The administrator of the installation makes the first key on the service's machine, `python -m "
        "service keys "
        'add "Head of office" --role administrator`, and others there or as here. The token is in this answer and '
        "nowhere else. `integrator` reads, assesses and is told; conditions are entered by a key of the "
        "role `ship`, ships by an administrator's. A key sees the `vessels` and `fleets` it is given, and "
        "every ship where it is given neither. `LOADING_URL` and `LOADING_KEY` stand for the address of the "
        "service and a token: here, and for the steps that enter something, the administrator's; "
        "everything else does with the key made here.",
        """\
curl --fail-with-body -s "$LOADING_URL/v1/keys" -H "Authorization: Bearer $LOADING_KEY" \\
  -H 'Content-Type: application/json' -d '{"name": "Fleet reporting", "role": "integrator", "days": 365}'""",
        """\
import json, os
from pathlib import Path
from loading_conditions import PlaceInFile, Refused, ServiceClient

service = ServiceClient(os.environ["LOADING_URL"], key=os.environ["LOADING_KEY"])
key = service.add_key({"name": "Fleet reporting", "role": "integrator", "days": 365})""",
    ),
    Step(
        "Something to send",
        "Two small files: a ship, as her booklet says, and what is aboard her.",
        """\
curl --fail-with-body -s "$LOADING_URL/docs/hook-up/ship.json" -o ship.json
curl --fail-with-body -s "$LOADING_URL/docs/hook-up/condition.json" -o condition.json""",
        """\
import httpx

for name in ("ship.json", "condition.json"):
    address = f"{os.environ['LOADING_URL']}/docs/hook-up/{name}"
    Path(name).write_bytes(httpx.get(address, timeout=60, trust_env=False).content)
ship, condition = (json.loads(Path(name).read_text()) for name in ("ship.json", "condition.json"))""",
    ),
    Step(
        "Enter the ship",
        "Under an `Idempotency-Key` the same request can be sent again when the connection was lost: she is "
        "entered once. "
        "The client makes up a key for each call; give one of your own where it has to hold over a restart "
        "of your program.",
        """\
curl --fail-with-body -s "$LOADING_URL/v1/vessels?reason=First+entry" -H "Authorization: Bearer $LOADING_KEY" \\
  -H 'Content-Type: application/json' -H 'Idempotency-Key: ship-4711' -d @ship.json""",
        """\
vessel = service.add_vessel(ship, reason="First entry", idempotency_key="ship-4711")
print(vessel.record["vessel"], vessel.record["revision"])""",
    ),
    Step(
        "Her booklet as a workbook",
        "A whole booklet is easier to type in like this: `GET /v1/booklet-template` is an empty one, and "
        "hers filled in is read here. With `dry_run` nothing is kept: the answer names every bad cell, what "
        "is doubted and the proof. Without it she is entered, or by `POST /v1/vessels/{vessel}/workbook` "
        "what the workbook holds is kept over her data.",
        """\
XLSX=application/vnd.openxmlformats-officedocument.spreadsheetml.sheet
curl --fail-with-body -s "$LOADING_URL/v1/booklet-template?units=metric" -o empty.xlsx \\
  -H "Authorization: Bearer $LOADING_KEY"
curl --fail-with-body -s "$LOADING_URL/v1/vessels/box-barge/workbook" -o hers.xlsx \\
  -H "Authorization: Bearer $LOADING_KEY"
curl --fail-with-body -s "$LOADING_URL/v1/vessels/workbook?dry_run=true" -H "Authorization: Bearer $LOADING_KEY" \\
  -H "Content-Type: $XLSX" --data-binary @hers.xlsx -o reading.json
python3 -c 'import json; print(len(json.load(open("reading.json"))["problems"]), "bad cells")'""",
        """\
Path("empty.xlsx").write_bytes(service.get_booklet_template("metric").content)
hers = service.get_vessel_workbook("box-barge")
reading = service.read_vessel_workbook(hers.content)
print(len(reading["problems"]), "bad cells")
# service.add_vessel_from_workbook(hers.content, expect_digest=reading["document_digest"])""",
    ),
    Step(
        "Keep a condition",
        "The answer is the kept revision with its assessment: every figure, the verdict and why.",
        """\
curl --fail-with-body -s "$LOADING_URL/v1/vessels/box-barge/conditions" -H "Authorization: Bearer $LOADING_KEY" \\
  -H 'Content-Type: application/json' -H 'Idempotency-Key: voyage-12' -D head.txt -d @condition.json -o kept.json
python3 -c 'import json; print(json.load(open("kept.json"))["assessment"]["verdict"])'""",
        """\
kept = service.add_condition("box-barge", condition, idempotency_key="voyage-12")
print(kept.record["assessment"]["verdict"])""",
    ),
    Step(
        "Change it",
        "A change names the state it was made from by its `ETag`. Where somebody else was faster the answer "
        "is 412, and "
        "nothing is overwritten: read it again, and decide anew.",
        """\
ETAG=$(sed -n 's/^etag: //Ip' head.txt | tr -d '\\r')
curl --fail-with-body -s -X PATCH "$LOADING_URL/v1/conditions/barge-voyage-12?reason=Late+cargo" \\
  -H "Authorization: Bearer $LOADING_KEY" -H 'Content-Type: application/merge-patch+json' \\
  -H "If-Match: $ETAG" -d '{"title": "Two slack tanks, late cargo aboard"}'""",
        """\
patch = {"title": "Two slack tanks, late cargo aboard"}
try:
    kept = service.patch_condition("barge-voyage-12", patch, kept.etag, reason="Late cargo")
except Refused as refused:
    print(refused.problem["code"], refused.problem["detail"])""",
    ),
    Step(
        "Keep many at once",
        "One condition a line (NDJSON), each with a `reference` of yours; an answer a line, each after its "
        "commit. What is sent again under its `reference` is entered once, so a stream that broke off is "
        "sent again as a whole. A line that is refused says why in `errors`. With curl, `--data-binary`: "
        "`-d` takes the line breaks out.",
        """\
python3 - > many.ndjson <<'END'
import json
condition = json.load(open("condition.json"))
del condition["id"]
for number in (13, 14):
    print(json.dumps({**condition, "title": f"Voyage {number}", "reference": f"voyage-{number}"}))
END
curl --fail-with-body -s "$LOADING_URL/v1/vessels/box-barge/conditions/bulk" -H "Authorization: Bearer $LOADING_KEY" \\
  -H 'Content-Type: application/x-ndjson' --data-binary @many.ndjson""",
        """\
del condition["id"]
many = [{**condition, "title": f"Voyage {number}", "reference": f"voyage-{number}"} for number in (13, 14)]
for line in service.add_conditions_bulk("box-barge", many):
    print(line["condition"] if "condition" in line else line.get("errors", line["detail"]))""",
    ),
    Step(
        "Ask without keeping",
        "Any number of conditions in one stream, one a line; the answers come in the same order, and a line "
        "that is wrong is "
        "answered with its own problem. The last line says whether every line was answered.",
        """\
(printf '{"vessel_id": "box-barge", "condition": '; tr -d '\\n' < condition.json; echo '}') > lines.ndjson
curl --fail-with-body -s "$LOADING_URL/v1/assessments/batch?detail=summary" -H "Authorization: Bearer $LOADING_KEY" \\
  -H 'Content-Type: application/x-ndjson' --data-binary @lines.ndjson""",
        """\
requests = [{"vessel_id": "box-barge", "condition": condition}]
for answer in service.assess_batch(requests, detail="summary"):
    print(answer["verdict"] if "verdict" in answer else answer.get("errors", answer["detail"]))""",
    ),
    Step(
        "See what changed",
        "Line by line, and what it did to GM, drafts, trim and every criterion.",
        """\
curl --fail-with-body -s "$LOADING_URL/v1/conditions/barge-voyage-12/comparison?from=1&to=2" \\
  -H "Authorization: Bearer $LOADING_KEY\"""",
        """\
comparison = service.compare_revisions("barge-voyage-12", 1, 2)
print(comparison["verdict"])""",
    ),
    Step(
        "Judge again what is kept",
        "By the ship's data of today, by more rule sets, or by today's calculation: what moved, the worst "
        "first. Nothing kept is changed. Where there is a `next`, post the same body there; the client "
        "does.",
        """\
curl --fail-with-body -s "$LOADING_URL/v1/reassessments" -H "Authorization: Bearer $LOADING_KEY" \\
  -H 'Content-Type: application/json' -d '{"vessel": "box-barge", "order": "worst_first"}'""",
        """\
for report in service.reassess({"vessel": "box-barge", "order": "worst_first"}):
    for item in report["items"]:
        print(item["title"], item["kept_verdict"], item["verdict"])""",
    ),
    Step(
        "Take the reports",
        "A revision on one sheet (PDF), as a workbook, or one of its tables as CSV: `part` is `figures`, "
        "`criteria`, `tanks`, `weights` or `levers`. By `Accept`, or by the ending as here.",
        """\
curl --fail-with-body -s "$LOADING_URL/v1/conditions/barge-voyage-12/revisions/2/report.pdf" \\
  -H "Authorization: Bearer $LOADING_KEY" -o report.pdf
curl --fail-with-body -s "$LOADING_URL/v1/conditions/barge-voyage-12/revisions/2/report.xlsx" \\
  -H "Authorization: Bearer $LOADING_KEY" -o report.xlsx
curl --fail-with-body -s "$LOADING_URL/v1/conditions/barge-voyage-12/revisions/2/report.csv?part=tanks" \\
  -H "Authorization: Bearer $LOADING_KEY" -o tanks.csv""",
        """\
Path("report.pdf").write_bytes(service.get_report("barge-voyage-12", 2).content)
Path("report.xlsx").write_bytes(service.get_report("barge-voyage-12", 2, "xlsx").content)
Path("tanks.csv").write_bytes(service.get_report("barge-voyage-12", 2, "csv", part="tanks").content)""",
    ),
    Step(
        "Take the figures over",
        "Lists come in pages: follow `next` until it is null. The client follows it for you.",
        """\
curl --fail-with-body -s "$LOADING_URL/v1/fleet?limit=100" -H "Authorization: Bearer $LOADING_KEY\"""",
        """\
for ship_line in service.get_fleet():
    print(ship_line["name"], ship_line["condition"] and ship_line["condition"]["verdict"])""",
    ),
    Step(
        "Follow the feed",
        "Every kept change, in order, without gaps: keep `after` and ask again, with `wait` as often as you "
        "like. 409 `feed_rewound` says that "
        "the service runs "
        "on a restored backup. The client keeps its place in a file, waits while the service is away, and "
        "goes on where it "
        "stopped.",
        """\
curl --fail-with-body -s "$LOADING_URL/v1/changes?after=0&wait=25" -H "Authorization: Bearer $LOADING_KEY\"""",
        """\
for change in service.follow_changes(PlaceInFile("feed.json")):
    print(change["id"], change["event"], change["verdict"])
    if change["id"] >= 3:  # for ever, in earnest
        break""",
    ),
    Step(
        "Be told",
        "Instead of asking: a webhook posts every change to an address of yours, at least once, until you "
        "answer with 2xx. "
        "Its secret is in this answer and nowhere else. `LOADING_WEBHOOK` stands for your address: `https`, "
        "or one inside networks that the installation allows. `POST /v1/webhooks/{webhook}/test` sends one "
        "message of the type `test`, to try your side with.",
        """\
curl --fail-with-body -s "$LOADING_URL/v1/webhooks" -H "Authorization: Bearer $LOADING_KEY" \\
  -H 'Content-Type: application/json' -o webhook.json \\
  -d '{"url": "'"$LOADING_WEBHOOK"'", "events": ["revision.kept", "verdict.changed"]}'
sed -n 's/.*"secret":"\\([^"]*\\)".*/\\1/p' webhook.json > secret.txt""",
        """\
webhook = service.add_webhook(
    {"url": os.environ["LOADING_WEBHOOK"], "events": ["revision.kept", "verdict.changed"]}
)
Path("secret.txt").write_text(webhook["secret"])""",
    ),
)
RECEIVE = Step(
    "Check what comes",
    "Anybody can post to your address: believe a message only when its signature holds (Standard Webhooks), "
    "over the bytes as they came, before anything reads them as JSON. Leave out what comes twice by its "
    "`webhook-id`. What the messages hold stands in the reference, at `/docs/webhooks`. In the shell, the "
    "headers are in `ID`, `TIMESTAMP` and `SIGNATURE`, the body in a file.",
    """\
SECRET=$(sed 's/^whsec_//' secret.txt | base64 -d | od -An -vtx1 | tr -d ' \\n')
SIGNED=$(printf '%s.%s.' "$ID" "$TIMESTAMP" | cat - message.json \\
  | openssl dgst -sha256 -mac HMAC -macopt "hexkey:$SECRET" -binary | base64)
test "v1,$SIGNED" = "$SIGNATURE" && echo genuine""",
    """\
from collections.abc import Mapping
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from loading_conditions import WebhookRefused, verify_webhook

def receive(headers: Mapping[str, str], body: bytes) -> int:
    \"\"\"The status to answer with.\"\"\"
    try:
        event = verify_webhook(body, headers, Path("secret.txt").read_text())
    except WebhookRefused:
        return 400
    if event["type"] != "test":
        print(event["type"], event["data"]["vessel"], event["data"]["verdict"])
    return 204

class Receiver(BaseHTTPRequestHandler):
    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.send_response(receive(dict(self.headers), body))
        self.end_headers()

# HTTPServer(("127.0.0.1", 8080), Receiver).serve_forever()""",
)


REFUSED = (
    "Every refusal is a problem document (RFC 9457): `code` stays the same, `detail` is for people, "
    "`errors` names each place as a JSON pointer into what was sent or a `parameter` of the address, "
    "`request_id` is in the service's log. 429 and 503 say in `Retry-After` when to ask again; 412 and 409 "
    "want a decision. Every `code` is explained under `/problems`. The client raises `Refused` with the "
    "document as `problem`, and `Unreachable` where nobody answered."
)


def hook_up_page(steps: tuple[Step, ...] = (*STEPS, RECEIVE)) -> str:
    """The steps, one after the other."""
    content = [
        "<p>Each step twice: with curl, and with the client. Its wheel comes from the administrator of this "
        "installation, or from the sources with <code>pip install ./service/client</code>.</p>",
        f"<ol>{''.join(_entry(number, step) for number, step in enumerate(steps, start=1))}</ol>",
        *(_step(number, step) for number, step in enumerate(steps, start=1)),
        f'<h2 id="refused">What is refused</h2><p>{marked(REFUSED)}</p>',
    ]
    return page("Hook up an office", "/docs/hook-up", content)


def _entry(number: int, step: Step) -> str:
    return f'<li><a href="#step-{number}">{escape(step.title)}</a></li>'


def _step(number: int, step: Step) -> str:
    return (
        f'<h2 id="step-{number}">{number}. {escape(step.title)}</h2><p>{marked(step.words)}</p><div class="pair">'
        f"<div><h3>curl</h3><pre>{escape(step.shell)}</pre></div>"
        f"<div><h3>Client</h3><pre>{escape(step.python)}</pre></div></div>"
    )


def file_of(document: dict[str, Any], name: str) -> Any:
    """A file that the steps use; None where there is none of the name."""
    wanted = FILES.get(name)
    for methods in document["paths"].values():
        for operation in methods.values():
            if operation["operationId"] == wanted:
                content = operation["requestBody"]["content"]["application/json"]
                return content.get("examples", {}).get("example", {}).get("value")
    return None
