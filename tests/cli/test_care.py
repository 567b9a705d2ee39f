"""Commands for keys and for care of what is kept, beside a running service."""

import io
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from service.cli import care
from service.cli.keys import app as keys
from service.settings import Settings
from tests.api.office import PEPPER, Office, code_of, running_office
from tests.postgres import database_url, migrated_url, postgres_server  # noqa: F401


def _keys(database: str, *arguments: str) -> Result:
    environment = {"LOADING_DATABASE_URL": database, "LOADING_KEY_PEPPER": PEPPER}
    return CliRunner().invoke(keys, arguments, env=environment)


def test_keys_are_made_listed_rescoped_and_revoked(migrated_url: str) -> None:  # noqa: F811
    with running_office(migrated_url) as office:
        vessel = office.enter_vessel()
        made = _keys(migrated_url, "add", "Mate", "--role", "ship", "--vessel", vessel, "--days", "30")
        assert made.exit_code == 0, made.stderr
        token = made.stdout.strip()
        id = token.split("_")[1]
        headers = {"Authorization": f"Bearer {token}"}
        assert len(office.http.get("/v1/vessels", headers=headers).json()["items"]) == 1
        listed = _keys(migrated_url, "list")
        assert id in listed.stdout
        assert "ship  expires" in listed.stdout
        assert token.split("_")[2] not in listed.stdout + made.stderr
        [line] = [json.loads(text) for text in _keys(migrated_url, "list", "--json").stdout.splitlines()]
        assert (line["id"], line["vessels"], line["created_by"]) == (id, [vessel], "command-line")
        assert "all vessels" in _keys(migrated_url, "rescope", id, "--all").stdout
        document = {"name": "North Sea", "vessels": [vessel]}
        head = office.key("administrator")
        assert office.http.put("/v1/fleets/north", json=document, headers=head).status_code == 201
        assert "fleet north" in _keys(migrated_url, "rescope", id, "--fleet", "north").stdout
        both = _keys(migrated_url, "rescope", id, "--fleet", "north", "--vessel", vessel).stdout
        assert f"fleet north, vessels {vessel}" in both
        assert "revoked" in _keys(migrated_url, "revoke", id).stdout
        for wrong in (
            ("add", "x", "--role", "captain"),
            ("add", "x", "--role", "ship", "--vessel", "nobody"),
            ("revoke", "nobody"),
            ("rescope", id),
        ):
            refused = _keys(migrated_url, *wrong)
            assert (refused.exit_code, refused.stdout) == (3, ""), wrong
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


def test_a_history_goes_elsewhere_with_its_digests(
    migrated_url: str,  # noqa: F811
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    file, elsewhere = tmp_path / "history.json", f"sqlite:///{tmp_path}/elsewhere.db"
    with running_office(migrated_url) as office:
        id = _filled(office)
        path = f"/v1/conditions/{id}/revisions"
        there = [office.http.get(f"{path}/{number}").content for number in (1, 2)]
    capsys.readouterr()
    assert care.export(migrated_url, id, "-") == 0
    monkeypatch.setattr("sys.stdin", io.StringIO(capsys.readouterr().out))
    assert care.import_(elsewhere, "-") == 0
    assert "2 of the condition" in capsys.readouterr().out
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


def test_the_pepper_lies_beside_a_sqlite_file_and_is_asked_for_with_postgresql(
    migrated_url: str,  # noqa: F811
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("LOADING_KEY_PEPPER", raising=False)
    made = CliRunner().invoke(
        keys, ["add", "Mate", "--role", "ship"], env={"LOADING_DATABASE_URL": migrated_url}
    )
    if migrated_url.startswith("postgresql"):
        assert made.exit_code == 3
        assert "LOADING_KEY_PEPPER" in made.stderr
        return
    assert made.exit_code == 0
    path = tmp_path / "records.db.pepper"
    assert path.stat().st_mode & 0o777 == 0o600
    settings = Settings(database_url=migrated_url)
    assert settings.pepper() == path.read_bytes()
    assert len(settings.pepper()) == 64
    assert path.read_text() not in repr(Settings(key_pepper=path.read_text()))
