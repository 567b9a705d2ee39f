"""The client as a package of its own: built, installed where nothing else is, and used against a live service."""

import base64
import csv
import hashlib
import io
import json
import zipfile
from pathlib import Path

import pytest

from service.client.distribution import backend, synchronous
from tests.api.office import SHIP, condition_document, running_office, vessel_document
from tests.installed.empty_environment import ROOT, Environment, built_wheel

PROGRAM = """\
import asyncio, json, sys
from loading_conditions import AsyncServiceClient, PlaceInFile, Refused, ServiceClient, verify_webhook
from loading_conditions.wire.key import KeyRequest

url, key, document = sys.argv[1], sys.argv[2], json.loads(sys.stdin.read())
with ServiceClient(url, key=key) as service:
    ship = service.add_vessel(document["vessel"], idempotency_key="first")
    made = service.add_condition(ship.record["vessel"], document["condition"])
    answers = list(service.assess_batch([{"vessel_id": ship.record["vessel"], "condition": document["condition"]}] * 3))
    events = [change["event"] for change in service.list_changes()]
    try:
        service.get_vessel("none-such")
    except Refused as refused:
        code = refused.problem["code"]
    new = service.add_key(KeyRequest(name="Ship", role="ship", vessels=[ship.record["vessel"]]))

async def main():
    async with AsyncServiceClient(url, key=new["token"]) as service:
        names = [line["name"] async for line in service.list_vessels()]
        record = await service.get_condition(made.record["condition"])
        async for change in service.follow_changes(PlaceInFile("feed.json"), wait=0):
            if change["id"] == 2:
                return names, record.record["verdict"]

names, verdict = asyncio.run(main())
print(json.dumps([len(answers), answers[0]["verdict"], events, code, names, verdict, sorted(sys.modules)]))
"""
REQUIRED = {
    "anyio", "annotated-types", "certifi", "h11", "httpcore", "httpx", "idna", "pydantic", "pydantic-core",
    "typing-extensions", "typing-inspection",
}  # fmt: skip


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """As pip builds it."""
    return built_wheel(ROOT / "service" / "client", tmp_path_factory.mktemp("wheel"))


def test_the_plain_client_is_the_asynchronous_one_without_waiting() -> None:
    """`python service/client/distribution/synchronous.py` writes it."""
    for name, text in synchronous.plain_modules().items():
        assert (synchronous.TARGET / name).read_text("utf-8") == text, name
    names = {path.name for path in synchronous.TARGET.glob("*.py")}
    assert names == {path.name for path in synchronous.SOURCE.glob("*.py")}


def test_used_where_nothing_else_is_installed(wheel: Path, tmp_path: Path) -> None:
    there = Environment(tmp_path / "venv")
    there.install(wheel)
    assert there.share("httpx", "pydantic") <= REQUIRED
    (there.folder / "program.py").write_text(PROGRAM)
    (there.folder / "input.json").write_text(
        json.dumps({"vessel": vessel_document(), "condition": condition_document()})
    )
    with running_office(f"sqlite:///{tmp_path}/records.db") as office:
        key = office.token("administrator")
        program = f"import sys; sys.stdin = open('input.json'); sys.argv = ['program', {office.address!r}, {key!r}]; "
        done = there.run("-c", program + "exec(open('program.py').read())")
    assert done.returncode == 0, done.stderr
    count, verdict, events, code, names, kept, modules = json.loads(done.stdout)
    assert (count, verdict, code, kept) == (3, "pass", "unknown_vessel", "pass")
    assert events == ["vessel_revision", "condition_revision"]
    assert names == [vessel_document(SHIP)["name"]]
    assert "loading_conditions.wire.assessment" in modules
    assert not {"service", "numpy", "fastapi", "sqlalchemy", "ruff"} & {
        each.split(".")[0] for each in modules
    }


def test_the_wheel_is_whole_and_typed(wheel: Path) -> None:
    """RECORD names every file with its digest (PEP 427); `py.typed` is there (PEP 561)."""
    with zipfile.ZipFile(wheel) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    (record,) = (name for name in files if name.endswith(".dist-info/RECORD"))
    rows = {row[0]: row[1:] for row in csv.reader(io.StringIO(files[record].decode()))}
    assert set(rows) == set(files)
    for name, content in files.items():
        if name != record:
            digest = base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode()
            assert rows[name] == [f"sha256={digest}", str(len(content))], name
    assert files["loading_conditions/py.typed"] == b""
    roots = {name.split("/")[0] for name in files}
    assert roots == {"loading_conditions", record.split("/")[0]}
    assert not [name for name, content in files.items() if b"from service" in content]
    metadata = files[record.replace("RECORD", "METADATA")].decode()
    assert "Name: loading-conditions-client\n" in metadata
    required = [line for line in metadata.splitlines() if line.startswith("Requires-Dist")]
    assert [line.split()[1].partition(">")[0] for line in required] == ["httpx", "pydantic"]


def test_the_same_source_gives_the_same_bytes(wheel: Path, tmp_path: Path) -> None:
    name = backend.build_wheel(str(tmp_path))
    assert name == wheel.name
    assert (tmp_path / name).read_bytes() == wheel.read_bytes()
