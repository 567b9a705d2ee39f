"""Commands for keys and for care of what is kept, as they are typed, beside a running service."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from service.cli import care
from tests.api.office import PEPPER, Office, code_of, running_office
from tests.postgres import database_url, migrated_url, postgres_server  # noqa: F401

ROOT = Path(__file__).parents[2]


def _run(database: str, *arguments: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "LOADING_DATABASE_URL": database, "LOADING_KEY_PEPPER": PEPPER}
    return subprocess.run(
        [sys.executable, "-m", "service", *arguments],
        cwd=ROOT, env=environment, input=stdin, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip


def test_keys_are_made_listed_rescoped_and_revoked(migrated_url: str) -> None:  # noqa: F811
    with running_office(migrated_url) as office:
        vessel = office.enter_vessel()
        made = _run(migrated_url, "keys", "add", "Mate", "--role", "ship", "--vessel", vessel, "--days", "30")
        assert made.returncode == 0, made.stderr
        token = made.stdout.strip()
        id = token.split("_")[1]
        headers = {"Authorization": f"Bearer {token}"}
        assert len(office.http.get("/v1/vessels", headers=headers).json()["items"]) == 1
        listed = _run(migrated_url, "keys", "list")
        assert id in listed.stdout
        assert "ship  expires" in listed.stdout
        assert token.split("_")[2] not in listed.stdout + made.stderr
        [line] = [
            json.loads(text) for text in _run(migrated_url, "keys", "list", "--json").stdout.splitlines()
        ]
        assert (line["id"], line["vessels"], line["created_by"]) == (id, [vessel], "command-line")
        assert "all vessels" in _run(migrated_url, "keys", "rescope", id, "--all").stdout
        assert "revoked" in _run(migrated_url, "keys", "revoke", id).stdout
        for wrong in (
            ("add", "x", "--role", "captain"),
            ("add", "x", "--role", "ship", "--vessel", "nobody"),
            ("revoke", "nobody"),
            ("rescope", id),
        ):
            refused = _run(migrated_url, "keys", *wrong)
            assert (refused.returncode, refused.stdout) == (3, ""), wrong
            assert refused.stderr
    with running_office(migrated_url) as office:
        assert code_of(office.http.get("/v1/vessels", headers=headers)) == (401, "unauthenticated")


def _filled(office: Office) -> str:
    id, _ = office.enter_condition(office.enter_vessel())
    assert office.revise(id, {"title": "Second"}).status_code == 200
    return id


def test_verify_against_an_exported_head(migrated_url: str, tmp_path: Path) -> None:  # noqa: F811
    head = tmp_path / "head.json"
    with running_office(migrated_url) as office:
        id = _filled(office)
        assert care.verify(migrated_url, None, head) == 0
        office.revise(id, {"title": "Third"})
        assert care.verify(migrated_url, head, None) == 0
        told = json.loads(head.read_text("utf-8"))
        assert told["id"] == 3
        assert told["digest"] == office.http.get("/v1/changes").json()["items"][2]["digest"]
    head.write_text(json.dumps({**told, "digest": "0" * 64}), "utf-8")
    assert care.verify(migrated_url, head, None) == 1
    head.write_text(json.dumps({**told, "id": 9}), "utf-8")
    assert care.verify(migrated_url, head, None) == 1
    head.write_text("[]", "utf-8")
    assert care.verify(migrated_url, head, None) == 3


def test_backup_beside_a_server_and_restore(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    database, copy, head = f"sqlite:///{tmp_path}/records.db", tmp_path / "copy.db", tmp_path / "head.json"
    with running_office(database) as office:
        id = _filled(office)
        assert care.backup(database, copy) == 0
        assert care.backup(database, copy) == 3  # replaces nothing
        assert care.verify(f"sqlite:///{copy}", None, head) == 0
        office.revise(id, {"title": "After the backup"})
        assert care.restore(database, copy, None, replace=True) == 3  # the server runs
    assert care.restore(database, copy, None, replace=False) == 3  # there is one already
    assert care.restore(database, copy, head, replace=True) == 0
    with running_office(database) as office:
        assert office.http.get(f"/v1/conditions/{id}").json()["title"] == "Second"
    assert "1 vessel revisions, 2 condition revisions" in capsys.readouterr().out
    damaged = bytearray(copy.read_bytes())
    at = damaged.index(b"Second")
    damaged[at : at + 6] = b"Sacond"
    copy.write_bytes(damaged)
    assert care.restore(f"sqlite:///{tmp_path}/new.db", copy, None, replace=False) == 1
    assert not (tmp_path / "new.db").exists()


def test_a_history_goes_elsewhere_with_its_digests(migrated_url: str, tmp_path: Path) -> None:  # noqa: F811
    file, elsewhere = tmp_path / "history.json", f"sqlite:///{tmp_path}/elsewhere.db"
    with running_office(migrated_url) as office:
        id = _filled(office)
        path = f"/v1/conditions/{id}/revisions"
        there = [office.http.get(f"{path}/{number}").content for number in (1, 2)]
    exported = _run(migrated_url, "export", id)
    assert exported.returncode == 0
    imported = _run(elsewhere, "import", "-", stdin=exported.stdout)
    assert imported.returncode == 0, imported.stderr
    assert "2 of the condition" in imported.stdout
    assert care.export(migrated_url, id, str(file)) == 0
    assert care.export(migrated_url, id, str(file)) == 3  # replaces nothing
    assert care.import_(elsewhere, str(file)) == 0  # all of it is there already
    with running_office(elsewhere) as office:
        assert [office.http.get(f"{path}/{number}").content for number in (1, 2)] == there
    text = json.loads(file.read_text("utf-8"))
    text["condition"]["revisions"][1]["title"] = "Other"
    file.write_text(json.dumps(text), "utf-8")
    assert care.import_(f"sqlite:///{tmp_path}/third.db", str(file)) == 1
    assert care.export(migrated_url, "nobody", "-") == 3


def test_what_cannot_be_reached_is_said(tmp_path: Path) -> None:
    assert care.verify(f"sqlite:///{tmp_path}/none.db", None, None) == 3
    assert not (tmp_path / "none.db").exists()
    assert care.verify("mysql://x/y", None, None) == 3
    assert care.import_(f"sqlite:///{tmp_path}/a.db", str(tmp_path / "missing.json")) == 3
