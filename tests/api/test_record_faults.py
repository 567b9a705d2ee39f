"""Full disk, read-only file, locked database, database gone and back: a clear 503 with Retry-After, nothing
acknowledged lost, and everything works again by itself.
"""

import resource
import sys
from pathlib import Path

import httpx
import pytest

from service.app import create_app
from service.cli.local_server import local_server
from service.storage import Storage, verify
from tests.api.office import (
    Office,
    code_of,
    condition_document,
    running_office,
    settings_for,
    vessel_document,
)
from tests.endurance.server import ServerProcess
from tests.postgres import Server

UNLIMITED = (resource.RLIM_INFINITY, resource.RLIM_INFINITY)


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Busy time-outs of one second, so that the tests need not wait for five."""
    engine = __import__("service.storage.engine", fromlist=["_"])
    for function in ("_sqlite", "connect_sqlite", "_postgresql"):
        monkeypatch.setitem(getattr(engine, function).__kwdefaults__, "patience", 1)


def _unavailable(answer: httpx.Response, code: str) -> None:
    assert code_of(answer) == (503, code)
    assert int(answer.headers["Retry-After"]) >= 1
    assert answer.json()["detail"].startswith("Nothing was stored")


def _verified(database: str) -> int:
    storage = Storage(database)
    found = verify(storage).condition_revisions
    storage.close()
    return found


def test_a_locked_database_is_busy_for_writers_and_open_to_readers(
    impatient: None, migrated_url: str
) -> None:
    with running_office(migrated_url) as office:
        id, tag = office.enter_condition(office.enter_vessel())
        holder = Storage(migrated_url)
        with holder.transaction(write=True):
            put = office.http.put(
                f"/v1/conditions/{id}", json=condition_document(), headers={"If-Match": tag}
            )
            _unavailable(put, "records_busy")
            assert office.http.get(f"/v1/conditions/{id}").headers["ETag"] == tag
            assert office.http.get("/livez").status_code == 200
            request = {"vessel": vessel_document(), "condition": condition_document()}
            assert office.http.post("/v1/assessments", json=request).status_code == 200
        holder.close()
        put = office.http.put(f"/v1/conditions/{id}", json=condition_document(), headers={"If-Match": tag})
        assert put.status_code == 200
        assert _verified(migrated_url) == 2


@pytest.mark.skipif(sys.platform != "linux", reason="limits of another process are set with prlimit")
def test_a_full_disk_refuses_clearly_and_goes_on_when_there_is_room(tmp_path: Path) -> None:
    """The room is a limit on the length of files of the server process: writes fail as they do on a full disk."""
    database = f"sqlite:///{tmp_path}/records.db"
    with (
        ServerProcess(database) as server,
        httpx.Client(base_url=server.address, timeout=30, trust_env=False) as http,
    ):
        vessel = http.post("/v1/vessels", json=vessel_document()).json()["vessel"]
        path = f"/v1/vessels/{vessel}/conditions"
        log = tmp_path / "records.db-wal"
        resource.prlimit(
            server.pid, resource.RLIMIT_FSIZE, (log.stat().st_size + 1_000_000, resource.RLIM_INFINITY)
        )
        kept, refused = [], 0
        while refused < 3:
            answer = http.post(path, json=condition_document(), headers={"Idempotency-Key": f"n{len(kept)}"})
            if answer.status_code == 201:
                kept.append(answer.json()["condition"])
            else:
                _unavailable(answer, "records_unavailable")
                refused += 1
        assert kept
        assert http.get(f"/v1/conditions/{kept[-1]}").status_code == 200
        resource.prlimit(server.pid, resource.RLIMIT_FSIZE, UNLIMITED)
        again = http.post(path, json=condition_document(), headers={"Idempotency-Key": f"n{len(kept)}"})
        assert again.status_code == 201
        kept.append(again.json()["condition"])
        listed = {item["id"] for item in http.get(path).json()["items"]}
    assert listed == set(kept)
    assert _verified(database) == len(kept)


def test_a_read_only_database_refuses_writes_and_takes_them_again(tmp_path: Path) -> None:
    """SQLite itself is told to refuse writes, with the code it has for a file it may not write to."""
    database = f"sqlite:///{tmp_path}/records.db"
    app = create_app(settings_for(database))
    with local_server(app) as address, httpx.Client(base_url=address, timeout=30, trust_env=False) as http:
        office = Office(address, database, http)
        id, tag = office.enter_condition(office.enter_vessel())
        for word, status in (("ON", 503), ("OFF", 200)):
            connection = app.state.parts.records.storage._write.raw_connection()
            connection.cursor().execute(f"PRAGMA query_only={word}")
            connection.close()
            put = http.put(f"/v1/conditions/{id}", json=condition_document(), headers={"If-Match": tag})
            assert put.status_code == status
            if status == 503:
                _unavailable(put, "records_unavailable")
                assert int(put.headers["Retry-After"]) == 30
                assert http.get(f"/v1/conditions/{id}").headers["ETag"] == tag
    assert _verified(database) == 2


def test_a_sqlite_file_gone_and_back(tmp_path: Path) -> None:
    path = tmp_path / "records.db"
    database = f"sqlite:///{path}"
    with running_office(database) as office:
        id, tag = office.enter_condition(office.enter_vessel())
        away = path.rename(tmp_path / "away.db")
        _unavailable(office.http.get(f"/v1/conditions/{id}"), "records_unavailable")
        ready = office.http.get("/readyz")
        assert code_of(ready) == (503, "not_ready")
        assert "Retry-After" in ready.headers
        assert office.http.get("/livez").status_code == 200
        away.rename(path)
        assert office.http.get("/readyz").status_code == 200
        put = office.http.put(f"/v1/conditions/{id}", json=condition_document(), headers={"If-Match": tag})
        assert put.status_code == 200
    assert _verified(database) == 2


def test_postgresql_gone_and_back(postgres_server: Server) -> None:
    database = postgres_server.create()
    name = database.rpartition("/")[2]
    disconnect = f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{name}'"
    with running_office(database) as office:
        id, tag = office.enter_condition(office.enter_vessel())
        postgres_server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false")
        postgres_server.execute(disconnect)
        for _ in range(2):
            _unavailable(office.http.get(f"/v1/conditions/{id}"), "records_unavailable")
            put = office.http.put(
                f"/v1/conditions/{id}", json=condition_document(), headers={"If-Match": tag}
            )
            _unavailable(put, "records_unavailable")
        assert code_of(office.http.get("/readyz")) == (503, "not_ready")
        postgres_server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true")
        assert office.http.get("/readyz").status_code == 200
        put = office.http.put(f"/v1/conditions/{id}", json=condition_document(), headers={"If-Match": tag})
        assert put.status_code == 200
        postgres_server.execute(disconnect)  # between two requests: not even noticed
        assert office.http.get(f"/v1/conditions/{id}").status_code == 200
    assert _verified(database) == 2
    postgres_server.drop(database)


def test_keys_are_not_told_while_the_database_is_away(tmp_path: Path) -> None:
    """A key that cannot be looked up is neither good nor bad: 503, not 401, and never the local administrator."""
    path = tmp_path / "records.db"
    with running_office(f"sqlite:///{path}") as office:
        mate = office.key("integrator")
        away = path.rename(tmp_path / "away.db")
        _unavailable(office.http.get("/v1/fleet", headers=mate), "records_unavailable")
        _unavailable(office.http.get("/v1/fleet"), "records_unavailable")
        away.rename(path)
        assert office.http.get("/v1/fleet", headers=mate).status_code == 200
        assert office.http.get("/v1/fleet").status_code == 401


def test_damage_is_told_without_its_words(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("secret words of the inside")

    monkeypatch.setattr("service.api.fleet.list_fleet", broken)
    answer = office.http.get("/v1/fleet")
    assert code_of(answer) == (500, "internal")
    assert "secret" not in answer.text
