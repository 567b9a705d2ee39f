"""The steps of "Hook up an office" as a reader would type them: the shell in bash, the Python in a program."""

import json
import os
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape
from pathlib import Path

import jsonschema_rs
import pytest

from service.api.reference.hook_up import RECEIVE, STEPS
from service.client import ServiceClient
from tests.api.office import Office, running_office
from tests.api.receiver import Receiver, receiver
from tests.client.test_distribution import wheel  # noqa: F401


@dataclass
class There:
    """A service, an address that is told of changes, and what a reader's programs find in their environment."""

    office: Office
    receiver: Receiver
    key: str

    def variables(self, **more: str) -> dict[str, str]:
        given = {"LOADING_URL": self.office.address, "LOADING_KEY": self.key}
        return {**os.environ, **given, "LOADING_WEBHOOK": self.receiver.address, "NO_PROXY": "*", **more}

    def message(self, folder: Path) -> dict[str, str]:
        """The headers of what is told of one more change; its body is written into the folder."""
        with ServiceClient(self.office.address, key=self.key) as service:
            kept = service.get_condition("barge-voyage-12")
            service.patch_condition("barge-voyage-12", {"title": "Ready to sail"}, kept.etag)
        post = self.receiver.wait_for(1)[0]
        (folder / "message.json").write_bytes(post.body)
        return post.headers

    def has_all(self) -> None:
        """What the steps made is there, once."""
        with ServiceClient(self.office.address, key=self.key) as service:
            assert [line["vessel"] for line in service.list_vessels()] == ["box-barge"]
            assert len(list(service.list_revisions("barge-voyage-12"))) == 3
            assert len(list(service.list_changes())) == 6
            assert [hook["url"] for hook in service.list_webhooks()] == [self.receiver.address]
        description = self.office.http.get("/openapi.json").json()
        for post in self.receiver.posts:
            message = description["webhooks"][post.event["type"]]["post"]
            assert {each["name"] for each in message["parameters"]} <= post.headers.keys()
            schema = message["requestBody"]["content"]["application/json"]["schema"]
            whole = {"components": description["components"], **schema}
            jsonschema_rs.Draft202012Validator(whole).validate(post.event)


@pytest.fixture
def there(tmp_path: Path) -> Iterator[There]:
    database = f"sqlite:///{tmp_path}/records.db"
    with receiver() as listening, running_office(database, webhook_networks="127.0.0.0/8") as office:
        yield There(office, listening, office.token("administrator"))


def files_are_whole(folder: Path) -> None:
    """The files that the steps took are what their names say."""
    begins = {
        "report.pdf": b"%PDF-",
        "report.xlsx": b"PK",
        "empty.xlsx": b"PK",
        "tanks.csv": b'\xef\xbb\xbf"tank"',
    }
    for name, start in begins.items():
        assert (folder / name).read_bytes().startswith(start), name


def test_with_curl(there: There, tmp_path: Path) -> None:
    for program in ("curl", "bash", "openssl"):
        if shutil.which(program) is None:
            pytest.skip(f"{program} is not on this machine")

    def run(text: str, variables: dict[str, str]) -> str:
        done = subprocess.run(
            ["bash", "-c", f"set -euo pipefail\n{text}"],
            cwd=tmp_path,
            env=variables,
            capture_output=True,
            text=True,
            timeout=100,
        )
        assert done.returncode == 0, done.stdout[-2000:] + done.stderr
        return done.stdout

    told = run("\n".join(step.shell for step in STEPS), there.variables())
    assert '"token":"lc_' in told
    assert "pass\n" in told
    assert "0 bad cells\n" in told
    assert '"type":"end","count":2,"failed":0,"complete":true' in told
    assert '"type":"end","count":1,"failed":0,"complete":true' in told
    assert '"verdicts_changed":0' in told
    files_are_whole(tmp_path)
    headers = there.message(tmp_path)
    given = {name.upper(): headers[f"webhook-{name}"] for name in ("id", "timestamp", "signature")}
    assert run(RECEIVE.shell, there.variables(**given)) == "genuine\n"
    there.has_all()


def test_with_the_client(there: There, tmp_path: Path, wheel: Path) -> None:  # noqa: F811
    def run(*texts: str) -> list[str]:
        program = tmp_path / "program.py"
        program.write_text("\n".join(texts), "utf-8")
        done = subprocess.run(
            [sys.executable, str(program)],
            cwd=tmp_path,
            env=there.variables(PYTHONPATH=str(wheel)),
            capture_output=True,
            text=True,
            timeout=100,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout.splitlines()

    told = run(*(step.python for step in STEPS))
    assert told[:3] == ["box-barge 1", "0 bad cells", "pass"]
    assert told[5] == "pass"
    assert told[-3:] == ["1 vessel_revision None", "2 condition_revision pass", "3 condition_revision pass"]
    files_are_whole(tmp_path)
    (tmp_path / "headers.json").write_text(json.dumps(there.message(tmp_path)))
    arrives = (
        'import json\nprint(receive(json.load(open("headers.json")), open("message.json", "rb").read()))'
    )
    forged = 'print(receive(json.load(open("headers.json")), b"{}"))'
    assert run(RECEIVE.python, arrives, forged) == ["revision.kept box-barge pass", "204", "400"]
    there.has_all()


@pytest.mark.long
def test_types_of_the_steps_hold(tmp_path: Path, wheel: Path) -> None:  # noqa: F811
    """The Python of the page in the project of somebody who checks types strictly."""
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "packages")
    program = tmp_path / "program.py"
    program.write_text("\n".join(step.python for step in (*STEPS, RECEIVE)), "utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--config-file", os.devnull, str(program)],
        cwd=tmp_path,
        env={**os.environ, "MYPYPATH": str(tmp_path / "packages")},
        capture_output=True,
        text=True,
        timeout=100,
    )
    assert done.returncode == 0, done.stdout


def test_the_page_shows_what_is_run(there: There) -> None:
    text = unescape(there.office.http.get("/docs/hook-up").text)
    for step in (*STEPS, RECEIVE):
        assert step.title in text
        assert step.shell in text
        assert step.python in text
    assert there.office.http.get("/docs/hook-up/other.json").status_code == 404
