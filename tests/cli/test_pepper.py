"""The pepper of access keys: a backup takes it along, who needs it misses it, and living keys never get a new one."""

import asyncio
import sqlite3
from pathlib import Path

import httpx
import pytest
from typer.testing import CliRunner, Result

from service.actions.access import secret_hash
from service.app import create_app
from service.cli import care
from service.cli.keys import app as keys
from service.cli.local_server import local_server
from service.cli.serve import _why_not
from service.settings import Settings
from service.storage import Storage, verify
from service.wire.refusal import Refusal
from tests.api.office import Office, running_office, settings_for
from tests.postgres import database_url, migrated_url, postgres_server  # noqa: F401


@pytest.fixture(autouse=True)
def no_pepper_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("LOADING_KEY_PEPPER", raising=False)


def command(database: str, *arguments: str, pepper: str | None = None) -> Result:
    """A `keys` command."""
    environment = {"LOADING_DATABASE_URL": database, "LOADING_KEY_PEPPER": pepper}
    return CliRunner().invoke(keys, arguments, env=environment)


def made_key(database: str, pepper: str | None = None) -> str:
    made = command(database, "add", "Office", "--role", "administrator", pepper=pepper)
    assert made.exit_code == 0, made.stderr
    return made.stdout.strip()


def opens(database: str, token: str) -> int:
    """The status a key is answered with by a service on the database as it lies there."""
    with (
        local_server(create_app(Settings(database_url=database, access_log=False))) as address,
        httpx.Client(base_url=address, timeout=30, trust_env=False) as http,
    ):
        return http.get("/v1/vessels", headers={"Authorization": f"Bearer {token}"}).status_code


def started(database: str, **more: str) -> str | None:
    """Why a server refuses to start, None when it does not."""
    reason = _why_not(Settings(database_url=database, **more), 1)
    app = create_app(Settings(database_url=database, access_log=False, **more))

    async def start() -> None:
        async with app.router.lifespan_context(app):
            pass

    if reason is None:
        asyncio.run(start())
    else:
        with pytest.raises(Refusal, match="pepper"):
            asyncio.run(start())
    return reason


def url(path: Path) -> str:
    return f"sqlite:///{path}"


def test_a_backup_takes_the_pepper_along_and_its_keys_open(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    database, copy = url(tmp_path / "records.db"), tmp_path / "copy.db"
    token = made_key(database)
    assert care.backup(database, copy) == 0
    last = capsys.readouterr().out.splitlines()[-1]
    assert "pepper" in last
    assert "copy.db.pepper" in last
    pepper = tmp_path / "copy.db.pepper"
    assert pepper.stat().st_mode & 0o777 == 0o600
    assert pepper.read_bytes() == (tmp_path / "records.db.pepper").read_bytes()
    assert {path.name for path in tmp_path.iterdir() if path.name.startswith("copy")} == {
        "copy.db",
        "copy.db.pepper",
    }
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    restored = url(elsewhere / "records.db")
    assert care.restore(restored, copy, None, replace=False) == 0
    assert capsys.readouterr().out.splitlines()[-1] == "The pepper of its keys is there."
    assert started(restored) is None
    assert opens(restored, token) == 200


def test_a_restored_backup_without_its_pepper_says_so_wherever_it_is_used(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    database, copy = url(tmp_path / "records.db"), tmp_path / "copy.db"
    token = made_key(database)
    assert care.backup(database, copy, take_pepper=False) == 0
    assert "keep" in capsys.readouterr().out.splitlines()[-1]
    assert not (tmp_path / "copy.db.pepper").exists()
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    restored, pepper = url(elsewhere / "records.db"), elsewhere / "records.db.pepper"
    assert care.restore(restored, copy, None, replace=False) == 0
    assert "pepper they were made with is missing" in capsys.readouterr().out.splitlines()[-1]
    reason = started(restored)
    assert reason is not None
    assert "missing" in reason
    refused = command(restored, "add", "Mate", "--role", "ship")
    assert refused.exit_code == 3
    assert "missing" in refused.stderr
    listed = command(restored, "list")
    assert listed.exit_code == 0
    assert token.split("_")[1] in listed.stdout
    assert "missing" in listed.stderr
    assert care.backup(restored, elsewhere / "again.db") == 0
    assert "missing" in capsys.readouterr().out.splitlines()[-1]
    assert not pepper.exists()  # nobody made a new one
    pepper.write_bytes(b"another pepper")
    reason = started(restored)
    assert reason is not None
    assert "not the one" in reason
    assert command(restored, "add", "Mate", "--role", "ship").exit_code == 3
    pepper.write_bytes((tmp_path / "records.db.pepper").read_bytes())
    assert started(restored) is None
    assert opens(restored, token) == 200


def test_a_restore_sets_the_present_pepper_aside_with_its_database(tmp_path: Path) -> None:
    first, second, copy = tmp_path / "first.db", tmp_path / "second.db", tmp_path / "copy.db"
    token, other = made_key(url(first)), made_key(url(second))
    before = (tmp_path / "second.db.pepper").read_bytes()
    assert care.backup(url(first), copy) == 0
    assert care.restore(url(second), copy, None, replace=True) == 0
    assert (tmp_path / "second.db.pepper.replaced").read_bytes() == before
    assert opens(url(second), token) == 200
    assert opens(url(second), other) == 401
    assert care.backup(url(first), copy) == 3  # neither the copy nor its pepper is written over
    copy.unlink()
    assert care.backup(url(first), copy) == 3
    assert not copy.exists()


def test_a_lost_pepper_is_made_anew_once_every_key_is_revoked(tmp_path: Path) -> None:
    database = url(tmp_path / "records.db")
    token = made_key(database)
    (tmp_path / "records.db.pepper").unlink()
    assert command(database, "add", "Mate", "--role", "ship").exit_code == 3
    assert command(database, "revoke", token.split("_")[1]).exit_code == 0
    again = made_key(database)
    assert started(database) is None
    assert opens(database, again) == 200
    assert opens(database, token) == 401


def test_another_pepper_is_refused(migrated_url: str) -> None:  # noqa: F811
    made_key(migrated_url, pepper="first")
    for pepper in ("second", "First", "first\u00e9"):
        refused = command(migrated_url, "add", "Mate", "--role", "ship", pepper=pepper)
        assert (refused.exit_code, refused.stdout) == (3, "")
        assert "not the one" in refused.stderr
        reason = started(migrated_url, key_pepper=pepper)
        assert reason is not None
        assert "not the one" in reason
    missing = started(migrated_url)
    assert missing is not None
    assert "missing" in missing
    assert started(migrated_url, key_pepper="first") is None
    made_key(migrated_url, pepper="first")
    storage = Storage(migrated_url)
    with storage.transaction() as tx:
        known = tx.pepper.last()
    assert known is not None
    assert known.id == 1
    assert "first" not in known.value
    assert verify(storage).keys == 2
    storage.close()


def test_the_pepper_of_an_older_release_is_known_by_the_first_key_that_it_opens(migrated_url: str) -> None:  # noqa: F811
    """That release kept keys and no check value."""
    storage = Storage(migrated_url)
    with storage.transaction(write=True) as tx:
        hashed = secret_hash(b"old", "s" * 32)
        tx.keys.add("abcdefgh", name="Office", role="administrator", secret_hash=hashed)
    token = "lc_abcdefgh_" + "s" * 32
    assert started(migrated_url, key_pepper="wrong") is None  # nothing tells yet
    with storage.transaction() as tx:
        assert tx.pepper.last() is None
    for pepper, status in (("wrong", 401), ("old", 200)):
        with running_office(migrated_url, key_pepper=pepper) as office:
            answer = office.http.get("/v1/vessels", headers={"Authorization": f"Bearer {token}"})
            assert answer.status_code == status
    reason = started(migrated_url, key_pepper="wrong")
    assert reason is not None
    assert started(migrated_url, key_pepper="old") is None
    verify(storage)
    storage.close()


def test_an_environment_pepper_is_named_by_the_backup(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    database = url(tmp_path / "records.db")
    made_key(database, pepper="set")
    monkeypatch.setenv("LOADING_KEY_PEPPER", "set")
    assert care.backup(database, tmp_path / "copy.db") == 0
    assert "keep LOADING_KEY_PEPPER as well" in capsys.readouterr().out.splitlines()[-1]
    assert care.restore(url(tmp_path / "new.db"), tmp_path / "copy.db", None, replace=False) == 0
    assert capsys.readouterr().out.splitlines()[-1] == "The pepper of its keys is there."
    monkeypatch.setenv("LOADING_KEY_PEPPER", "other")
    assert care.restore(url(tmp_path / "newer.db"), tmp_path / "copy.db", None, replace=False) == 0
    assert "not the one" in capsys.readouterr().out.splitlines()[-1]


def test_a_pepper_is_written_whole_and_once(tmp_path: Path) -> None:
    settings = Settings(database_url=url(tmp_path / "records.db"))
    assert settings.pepper() == b""
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "records.db.pepper").touch()  # by a process that was killed before it wrote
    made = settings.make_pepper()
    assert len(made) == 64
    assert settings.make_pepper() == settings.pepper() == made
    assert [path.name for path in tmp_path.iterdir()] == ["records.db.pepper"]
    assert Settings(database_url="postgresql://nobody@127.0.0.1/none").make_pepper() == b""


def test_a_changed_check_value_is_found(tmp_path: Path) -> None:
    database = url(tmp_path / "records.db")
    made_key(database)
    with sqlite3.connect(tmp_path / "records.db") as connection:
        connection.execute(
            "INSERT INTO pepper_checks VALUES (2, '2026-11-26T12:00:00.000000Z', 'scrypt:0:0')"
        )
    connection.close()
    assert care.verify(database, None, None) == 1


def test_an_office_without_keys_needs_no_pepper(migrated_url: str) -> None:  # noqa: F811
    app = create_app(settings_for(migrated_url, key_pepper=None))
    with local_server(app) as address, httpx.Client(base_url=address, timeout=30, trust_env=False) as http:
        office = Office(address, migrated_url, http)
        office.enter_vessel()
